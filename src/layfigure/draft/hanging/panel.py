"""The flat outline of a panel that hangs plumb from a line on the body."""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from layfigure.body.form import Form
from layfigure.draft.circular.options import TURN
from layfigure.draft.hanging.fall import ALL_BELOW_HEAD, TRUNK, Fall, fall_from, turns_of
from layfigure.draft.hanging.options import HangingOptions, Hem
from layfigure.draft.hanging.reach import reaching_round
from layfigure.errors import DraftError
from layfigure.geometry.polyline import arc_lengths
from layfigure.geometry.table import read_columns
from layfigure.place.placement import PlacedEdge

Points = NDArray[np.float64]

COLUMNS = 41
STEP = 2.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PanelPlan:
    """A hanging panel before it has edges.

    across : (COLUMNS,) places along the top from its middle, rising toward the right of the drawing, which is
    the wearer's left in front. rise : of the top line there, 0 in the middle. length : of the cloth below it,
    hem shape left out [mm]. flare : hem width over top width. fall, turn : how it hangs on the body, or None.
    spread : one standard deviation of the edges it follows [mm].
    """

    across: Points
    rise: Points
    length: Points
    flare: float
    fall: Fall | None
    turn: Points
    spread: float

    @property
    def width(self) -> float:
        """At the top [mm]."""
        return float(self.across[-1] - self.across[0])

    def widened(self, share: Points) -> Points:
        """How much wider than the top it is at a share of the way down."""
        wider: Points = 1.0 + (self.flare - 1.0) * share
        return wider


def panel_plan(
    options: HangingOptions,
    form: Form,
    top: PlacedEdge | None,
    bottom: PlacedEdge | None,
    *,
    clearance: float,
    where: str,
    folds: float = 0.0,
) -> PanelPlan:
    """Plan a panel between two lines, or from one line and a length.

    clearance, folds : thickness worn beneath, and how far folds of it stand off below the waist [mm].
    Raises DraftError for sizes that are missing, and for a hem above the top line.
    """
    spread = max((float(np.max(e.spread)) for e in (top, bottom) if e is not None), default=0.0)
    if top is None:
        if options.width is None or options.length is None:
            raise DraftError(
                "a panel without a line on the body needs a width and a length.",
                where=where,
                advice="Add top = 'edge name', or give width and length.",
            )
        across = np.linspace(-0.5, 0.5, COLUMNS) * options.width
        level = np.zeros(COLUMNS)
        return PanelPlan(
            across=across,
            rise=level,
            length=level + options.length,
            flare=options.flare,
            fall=None,
            turn=level,
            spread=spread,
        )
    if not {at.region for at in top.at} <= {"torso", "neck"}:
        raise DraftError(
            "it hangs from a line on a limb.", where=where, advice="Hang it from the trunk or the neck."
        )
    beneath = ALL_BELOW_HEAD if options.over == "cape" else TRUNK
    line = top.line
    if not top.edge.closed and options.width is not None:
        line = reaching_round(form, line, options.width, over=beneath, where=where)
    fall = fall_from(form, line, over=beneath, clearance=clearance, folds=folds)
    across, height, turn = _top_line(options, top, line, fall, where)
    if options.length is not None:
        middle = COLUMNS // 2
        target = np.full(COLUMNS, float(fall.at(turn[middle], options.length)[2]))
    elif options.hem_height is not None:
        target = np.full(COLUMNS, options.hem_height)
    elif bottom is not None:
        target = _bottom_heights(bottom, fall, turn)
    else:
        raise DraftError(
            "nothing says how long it is.",
            where=where,
            advice="Add bottom = 'edge name', or give length or hem_height.",
        )
    length = fall.down_to(turn, target)
    if float(length.min()) < 30.0 or float(target.min()) < 0.0:
        raise DraftError(
            "the hem lies above the top line or below the floor.",
            where=where,
            advice="Look at the bottom line, the length or hem_height.",
        )
    rise = np.zeros(COLUMNS) if options.carrying == "channel" else height - np.interp(0.0, across, height)
    # The body's facets are no shape of a hem: it takes the smooth curve through all its places.
    length = rise - np.polynomial.Polynomial.fit(across, rise - length, 4)(across)
    return PanelPlan(
        across=across,
        rise=rise,
        length=length,
        flare=options.flare,
        fall=fall,
        turn=turn,
        spread=spread,
    )


def _top_line(
    options: HangingOptions, top: PlacedEdge, line: Points, fall: Fall, where: str
) -> tuple[Points, Points, Points]:
    """Places along the panel's top: across from its middle, height, and direction, each (COLUMNS,).

    line : (m, 3) it hangs from, which goes on past the ends of the edge where the panel is wider.
    """
    turns = np.unwrap(turns_of(line, fall.centre), period=1.0)
    if turns[-1] < turns[0]:
        line, turns = line[::-1], turns[::-1]
    if top.edge.closed:
        if options.width is None:
            raise DraftError(
                "its top line goes right round, and nothing says how wide it is.",
                where=where,
                advice="Give width, or a top line that goes part of the way round.",
            )
        # Twice round, so that a panel may lie over the line's own start.
        line, turns = np.vstack([line, line]), np.concatenate([turns, turns + 1.0])
    order = np.argsort(turns, kind="stable")
    line, turns = line[order], turns[order]
    keep = np.concatenate([[True], np.diff(turns) > 1e-9])
    line, turns = line[keep], turns[keep]
    along = arc_lengths(line[:, :2])
    wanted = 0.5 * (turns[0] + turns[-1])
    if not top.edge.closed:
        own = np.unwrap(turns_of(top.line, fall.centre), period=1.0)
        middle_turn = 0.5 * (own[0] + own[-1])
        wanted += np.mod(middle_turn - wanted + 0.5, 1.0) - 0.5
    if top.edge.closed:
        off = np.mod(TURN[options.at] - wanted + 0.5, 1.0) - 0.5
        wanted += off
    middle = float(np.interp(wanted, turns, along))
    width = options.width or float(along[-1])
    across = np.linspace(-0.5, 0.5, COLUMNS) * width
    at = middle + across
    return across, np.interp(at, along, line[:, 2]), np.interp(at, along, turns)


def _bottom_heights(bottom: PlacedEdge, fall: Fall, turn: Points) -> Points:
    """Height of the bottom line below each place of the top [mm]; of a line on a limb, its mean."""
    if {at.region for at in bottom.at} != {"torso"}:
        return np.full(turn.shape, float(bottom.line[:, 2].mean()))
    turns = turns_of(bottom.line, fall.centre)
    order = np.argsort(turns)
    heights: Points = np.interp(np.mod(turn, 1.0), turns[order], bottom.line[order, 2], period=1.0)
    return heights


def hem_profile(hem: Hem, depth: float, count: int) -> Points:
    """Shape of a hem as (share across, -1 to 1; drop below its highest place [mm]), (n, 2)."""
    if hem == "point":
        return np.array([(-1.0, 0.0), (0.0, depth), (1.0, 0.0)])
    if hem == "swallowtail":
        return np.array([(-1.0, depth), (0.0, 0.0), (1.0, depth)])
    if hem == "points":
        places = np.linspace(-1.0, 1.0, 2 * count + 1)
        return np.column_stack([places, np.where(np.arange(2 * count + 1) % 2, depth, 0.0)])
    if hem in ("curve", "scallops"):
        bows = 1 if hem == "curve" else count
        share = np.linspace(-1.0, 1.0, 40 * bows + 1)
        within = np.mod(np.linspace(0.0, bows, 40 * bows + 1), 1.0)
        return np.column_stack([share, depth * 4.0 * within * (1.0 - within)])
    return np.array([(-1.0, 0.0), (1.0, 0.0)])


def hem_runs(plan: PanelPlan, options: HangingOptions) -> list[Points]:
    """The hem left to right, a run from corner to corner, flat [mm]."""
    depth = 0.0 if options.hem_shape == "straight" else options.hem_depth
    profile = hem_profile(options.hem_shape, depth, options.hem_count)
    half = 0.5 * plan.width
    even = np.linspace(-1.0, 1.0, max(2, math.ceil(plan.width * plan.flare / STEP)) + 1)
    share = np.unique(np.round(np.concatenate([even, profile[:, 0]]), 9))
    drop = np.interp(share, profile[:, 0], profile[:, 1])
    under = np.interp(share * half, plan.across, plan.rise - plan.length)
    line = np.column_stack([share * half * plan.flare, under + depth - drop])
    corners = {
        "point": [0.0],
        "swallowtail": [0.0],
        "points": np.linspace(-1.0, 1.0, 2 * options.hem_count + 1)[1:-1].tolist(),
        "scallops": np.linspace(-1.0, 1.0, options.hem_count + 1)[1:-1].tolist(),
    }.get(options.hem_shape, [])
    cuts = [0, *[int(np.abs(share - corner).argmin()) for corner in corners], len(share) - 1]
    return [_fine(line[a : b + 1]) for a, b in itertools.pairwise(cuts)]


def top_curve(plan: PanelPlan) -> Points:
    """The top edge left to right, flat [mm]."""
    return _fine(np.column_stack([plan.across, plan.rise]))


def _fine(curve: Points) -> Points:
    """The same line with no step above ``STEP``."""
    steps = np.linalg.norm(np.diff(curve, axis=0), axis=1)
    parts = np.maximum(np.ceil(steps / STEP), 1.0).astype(np.int64)
    first = np.repeat(parts.cumsum() - parts, parts)
    place = np.repeat(np.arange(len(parts)), parts) + (np.arange(parts.sum()) - first) / np.repeat(
        parts, parts
    )
    return np.vstack([read_columns(place, np.arange(float(len(curve))), curve), curve[-1:]])
