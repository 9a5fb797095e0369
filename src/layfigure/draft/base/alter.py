"""Alterations on a traced piece: where to cut across and spread or fold, how its sides move, and the outline.

A length is changed at a line straight across: all above it moves up. A girth is changed along the sides, by
the same at every seam edge, straight on from level to level, and fading out between the highest level and the
top of the piece, so that armholes and necks keep the length they are sewn to; where the highest level is the
top itself, as the waist of trousers is, it moves the top with it. All are common practice, no source.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from layfigure.draft.base.fit import Change
from layfigure.draft.base.lie import Lie

Points = NDArray[np.float64]

ACROSS: Mapping[str, tuple[tuple[str, str, float], ...]] = {
    "nape_to_waist": (("bust", "waist", 1.0),),
    "nape_to_waist_navel": (("bust", "waist", 1.0),),
    "front_waist_length": (("bust", "waist", 1.0),),
    "trunk_loop": (("bust", "waist", 0.25), ("waist", "crotch", 0.25)),
    "crotch_length": (("waist", "crotch", 0.5),),
    "crotch_height": (("crotch", "knee", 1.0),),
    "knee_height": (("knee", "ankle", 1.0),),
    "waist_height": (("crotch", "knee", 0.5), ("knee", "ankle", 0.5)),
    "arm_length": (("shoulder_point", "elbow", 0.5), ("elbow", "wrist", 0.5)),
    "upper_arm_length": (("shoulder_point", "elbow", 1.0),),
    "forearm_length": (("elbow", "wrist", 1.0),),
    "hip_height": (("hip", "knee", 1.0),),
}
"""Measure to lines halfway between two levels, and the share of its change that falls to each. Of what runs
over front and back, half falls to each of both pieces."""

GIRTH_AT: Mapping[str, str] = {
    "bust_girth": "bust",
    "under_bust_girth": "under_bust",
    "waist_girth": "waist",
    "hip_girth": "hip",
    "thigh_girth": "crotch",
    "knee_girth": "knee",
    "ankle_girth": "ankle",
    "upper_arm_girth": "armpit",
    "elbow_girth": "elbow",
    "wrist_girth": "wrist",
    "neck_base_girth": "neck_base",
    "neck_girth": "under_chin",
}
"""Measure to the level at which it is taken."""

SLEEVE_EDGES, LEG_EDGES = 2, 4
"""Seam edges round an arm and round a leg: one seam, and an inner and an outer one."""

TOP_EDGE = 50.0
"""A level no further below the top of its piece is that of its top edge, a waistband turned down counted [mm]
(common practice, no source)."""

ARM_WIDEST = 0.35
"""Share of the way from shoulder point to elbow at which a sleeve is widest, below its cap."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CrossCut:
    """A line across a piece. height : on the paper [mm]. by : spread there, negative to fold out [mm]."""

    height: float
    by: float
    measure: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SideMove:
    """How far each side moves out at a level. height : on the paper [mm]. by : a seam edge [mm].
    whole : of the girth [mm].
    """

    height: float
    by: float
    whole: float
    measure: str
    level: str


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Alteration:
    """What a traced piece is altered by. lie : as it is. cuts, moves : from the top down."""

    lie: Lie
    cuts: tuple[CrossCut, ...]
    moves: tuple[SideMove, ...]

    @property
    def any(self) -> bool:
        """Whether the piece is altered at all."""
        return bool(self.cuts or any(move.by for move in self.moves))

    def out_at(self, height: float | Points, *, inner: bool = False) -> Points:
        """How far a side moves out at heights of the paper as it is [mm].

        inner : that of the inner leg, which stays on the trunk, where it is the middle of front or back.
        """
        heights = np.asarray(height, dtype=np.float64)
        if not self.moves:
            return np.zeros_like(heights)
        if inner:
            steps = self.inner_steps()
        else:
            top, highest = float(self.lie.outline[:, 1].max()), self.moves[0]
            above = highest.by if top - highest.height <= TOP_EDGE else 0.0
            steps = [(top + 1e-6, above), *((move.height, move.by) for move in self.moves)]
        at, by = np.array(steps).T
        moved: Points = np.interp(heights, at[::-1], by[::-1])
        return moved

    def inner_steps(self) -> list[tuple[float, float]]:
        """Heights and how far the inner leg moves out there [mm]: not at all at the crotch, unless a girth is
        changed there.
        """
        own = [(move.height, move.by) for move in self.moves if self.lie.on_leg(move.height)]
        crotch = self.lie.levels.get("crotch", min(self.lie.trunk_heights(), default=0.0))
        return own if own and own[0][0] >= crotch - 1e-6 else [(crotch, 0.0), *own]

    def up_at(self, height: float | Points) -> Points:
        """How far heights move up, what lies below every cut staying [mm].

        What is folded out lies half above and half below its line, and comes to lie at one height.
        """
        heights = np.asarray(height, dtype=np.float64)
        risen: Points = np.zeros_like(heights)
        for cut in self.cuts:
            if cut.by > 0.0:
                risen = risen + np.where(heights > cut.height, cut.by, 0.0)
            else:
                risen = risen + np.clip(cut.height + 0.5 * cut.by - heights, cut.by, 0.0)
        return risen

    def moved(self, places: Points) -> Points:
        """Places of the paper where they come to lie, (n, 2)."""
        if self.lie.leg is not None:
            return self._moved_leg(places)
        x = places[:, 0] - self.lie.centre
        reach = np.array([self.lie.widths(float(y)) for y in places[:, 1]])
        own = np.where(x < 0.0, reach[:, 0], reach[:, 1])
        share = np.divide(x, own, out=np.zeros_like(x), where=own > 1.0)
        out = np.clip(share, -1.0, 1.0) * self.out_at(places[:, 1])
        return places + np.column_stack([out, self.up_at(places[:, 1])])

    def _moved_leg(self, places: Points) -> Points:
        """On trunk and leg in one: evenly across from how far one side moves to how far the other does."""
        heights = places[:, 1]
        ends = np.array([self.lie.ends(float(y)) or (x, x) for x, y in places])
        wide = ends[:, 1] - ends[:, 0]
        share = np.divide(places[:, 0] - ends[:, 0], wide, out=np.full(len(places), 0.5), where=wide > 1.0)
        sides = [
            -self.out_at(heights, inner=self.lie.half > 0),
            self.out_at(heights, inner=self.lie.half < 0),
        ]
        out = (1.0 - share) * sides[0] + share * sides[1]
        moved: Points = places + np.column_stack([out, self.up_at(heights)])
        return moved

    def altered(self) -> Lie:
        """The piece as it lies once it is altered."""
        corners = _close_together(self.lie.outline, [move.height for move in self.moves])
        levels = {name: float(y + self.up_at(y)) for name, y in self.lie.levels.items()}
        return Lie(
            levels=levels,
            centre=self.lie.centre,
            around=self.lie.around,
            half=self.lie.half,
            outline=self.moved(corners),
            leg=self.lie.leg,
        )


def alteration_of(lie: Lie, changes: Sequence[Change], seams_round: int) -> Alteration:
    """What the needed changes do to one piece. seams_round : seam edges round the trunk."""
    cuts, moves = [], []
    for change in changes:
        if change.girth:
            level = GIRTH_AT.get(change.measure)
            height = None if level is None else _height(lie, level)
            if height is not None:
                by = change.by if change.needed else 0.0
                moves.append(
                    SideMove(
                        height=height,
                        by=by / edges_round(change.measure, seams_round),
                        whole=by,
                        measure=change.measure,
                        level=str(level),
                    )
                )
        elif change.needed:
            for upper, lower, share in ACROSS.get(change.measure, ()):
                if upper in lie.levels and lower in lie.levels:
                    height = 0.5 * (lie.levels[upper] + lie.levels[lower])
                    cuts.append(CrossCut(height=height, by=share * change.by, measure=change.measure))
    if not any(move.by for move in moves):
        moves = []
    return Alteration(
        lie=lie,
        cuts=tuple(sorted(cuts, key=lambda cut: -cut.height)),
        moves=tuple(sorted(moves, key=lambda move: -move.height)),
    )


def edges_round(measure: str, seams_round: int) -> int:
    """Seam edges that a change of a girth is shared over."""
    if measure in ("upper_arm_girth", "elbow_girth", "wrist_girth", "neck_girth", "neck_base_girth"):
        return SLEEVE_EDGES
    if measure in ("thigh_girth", "knee_girth", "ankle_girth", "calf_girth"):
        return LEG_EDGES
    return seams_round


def _height(lie: Lie, level: str) -> float | None:
    if level == "armpit":
        if "shoulder_point" not in lie.levels or "elbow" not in lie.levels:
            return None
        return lie.levels["shoulder_point"] + ARM_WIDEST * (
            lie.levels["elbow"] - lie.levels["shoulder_point"]
        )
    return lie.levels.get(level)


def _close_together(outline: Points, heights: Sequence[float]) -> Points:
    """The outline with places 5 mm apart and at those heights, its own corners kept, (m, 2)."""
    parts = []
    for start, end in zip(outline, np.roll(outline, -1, axis=0), strict=True):
        steps = max(1, int(np.ceil(np.linalg.norm(end - start) / 5.0)))
        rise = end[1] - start[1]
        crossed = [(height - start[1]) / rise for height in heights if rise]
        shares = [share for share in crossed if 0.0 < share < 1.0]
        along = np.unique(np.concatenate([np.linspace(0.0, 1.0, steps, endpoint=False), shares]))
        parts.append(start + along[:, None] * (end - start))
    return np.concatenate(parts)
