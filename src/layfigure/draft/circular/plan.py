"""What a circular piece measures: its top edge, its share of a circle, and how far it falls."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Literal

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import CubicSpline

from layfigure.body.form import Form
from layfigure.draft.circular.hung import PLACES, Worn, hem_heights, hung, level_length
from layfigure.draft.circular.options import TURN, CircularOptions
from layfigure.draft.hanging.fall import ALL_BELOW_HEAD, TRUNK, Fall, fall_from, turns_of
from layfigure.errors import DraftError
from layfigure.geometry.part_circle import PartCircle, share_for_fullness
from layfigure.geometry.pleat_row import PleatRow
from layfigure.geometry.polyline import arc_lengths
from layfigure.place.placement import PlacedEdge

Points = NDArray[np.float64]

SHORTEST = 20.0
OVER_HIPS = 20.0
"""Added to the girth that an elastic top passes over [mm] (common practice, no source)."""


@dataclass(frozen=True, kw_only=True, eq=False)
class CircularPlan:
    """Everything that is decided before panels are drawn.

    flat : the ring of cloth. finished : length of the top edge as worn [mm]. along, length : (n,) fall of the
    cloth at shares of the top edge as worn [mm]. joined : it closes on itself. pleats : of the top edge, or
    None. gathered : the top edge is drawn up from its flat length. worn : on the body, or None without one.
    spread : one standard deviation of the edges it follows [mm]. stations : of the top edge, with its region.
    """

    flat: PartCircle
    finished: float
    along: Points
    length: Points
    joined: bool
    pleats: PleatRow | None
    gathered: bool
    worn: Worn | None
    spread: float
    region: str = ""
    stations: tuple[float, float] = (0.0, 0.0)

    def length_at(self, along: Points) -> Points:
        """Length of the cloth at shares of the flat top edge [mm]; hidden in a pleat, as what covers it."""
        if self.pleats is not None:
            place = self.pleats.worn(np.asarray(along) * self.flat.top) / self.finished
            along = np.mod(place, 1.0) if self.joined else np.clip(place, 0.0, 1.0)
        return self.worn_length_at(along)

    def worn_length_at(self, along: Points) -> Points:
        """Length of the cloth at shares of the top edge as worn [mm]."""
        found: Points = self._curve(np.clip(along, 0.0, 1.0))
        return found

    @cached_property
    def _curve(self) -> CubicSpline:
        ends: Literal["periodic", "natural"] = "periodic" if self.joined else "natural"
        return CubicSpline(self.along, self.length, bc_type=ends)

    @property
    def deepest(self) -> float:
        """Greatest length [mm]."""
        return float(self.length.max())


def circular_plan(
    options: CircularOptions,
    form: Form,
    top: PlacedEdge | None,
    hem: PlacedEdge | None,
    *,
    clearance: float,
    where: str,
    folds: float = 0.0,
) -> CircularPlan:
    """Plan a circular piece.

    top, hem : its placed edges, or None. clearance : thickness worn beneath [mm]. folds : how far folds of
    it stand off below the waist [mm]. Raises DraftError for sizes that are missing or contradict each other.
    """
    if top is None and options.top_girth is None:
        raise DraftError(
            "nothing says how long the top edge is.",
            where=where,
            advice="Add an edge top = 'edge name', or the option top_girth.",
        )
    line = None if top is None else _line_from_opening(top, options)
    # A skirt that opens is sewn below its zip; a cape or a ruffle that opens has free edges.
    joined = (top is None or _closed(top)) and (options.use == "skirt" or options.opening is None)
    own = options.top_girth or 0.0 if line is None else float(arc_lengths(line)[-1])
    round_body = 2.0 * np.pi * clearance if line is not None and _closed(top) else 0.0
    finished = (options.top_girth or own) + round_body + options.ease
    fall = None
    if line is not None and top is not None and _on_trunk(top):
        fall = fall_from(form, line, over=_over(options), clearance=clearance, folds=folds)
    gathered = options.finish == "elastic" or options.gather > 1.0
    pleats = None
    flat_top = finished * options.gather
    if options.finish == "elastic":
        passes = options.passes_over or (float(fall.beneath.max()) if fall is not None else None)
        if passes is None:
            raise DraftError(
                "nothing says what an elastic top must pass over.",
                where=where,
                advice="Give passes_over, such as the hips' girth.",
            )
        flat_top = max(flat_top, passes + OVER_HIPS)
    elif options.pleats != "none":
        pleats = PleatRow(
            kind=options.pleats, count=_even_count(options), depth=options.pleat_depth, finished=finished
        )
        flat_top = pleats.flat
    along = np.linspace(0.0, 1.0, PLACES)
    guess = _asked_length(options, fall, hem, where)
    share = (
        options.asked_share
        if options.fullness is None
        else share_for_fullness(flat_top, guess, options.fullness)
    )
    flat = PartCircle(top=flat_top, share=share)
    worn = None
    length = np.full(PLACES, guess)
    if fall is not None and line is not None:
        worn = hung(options, fall, line, hem, flat, along, guess, joined=joined, where=where)
        if options.levelled:
            length = level_length(worn, joined=joined)
    if float(length.min()) < SHORTEST:
        raise DraftError(
            "the hem lies at the top edge or above it.",
            where=where,
            advice="Place the hem lower, or give a greater length.",
        )
    return CircularPlan(
        flat=flat,
        finished=finished,
        along=along,
        length=length,
        joined=joined,
        pleats=pleats,
        gathered=gathered,
        worn=worn,
        spread=_spread(top, hem),
        region="" if top is None else top.at[0].region,
        stations=(0.0, 0.0)
        if top is None
        else (min(at.station for at in top.at), max(at.station for at in top.at)),
    )


def _closed(top: PlacedEdge | None) -> bool:
    return top is not None and top.edge.closed


def _on_trunk(top: PlacedEdge) -> bool:
    return {at.region for at in top.at} <= {"torso", "neck"}


def _over(options: CircularOptions) -> tuple[str, ...]:
    return ALL_BELOW_HEAD if options.use == "cape" else TRUNK


def _even_count(options: CircularOptions) -> int:
    """As many pleats as asked, rounded up so that every panel has the same number."""
    panels = options.panels or 1
    return -(-options.pleat_count // panels) * panels


def _spread(*edges: PlacedEdge | None) -> float:
    return max((float(np.max(edge.spread)) for edge in edges if edge is not None), default=0.0)


def _line_from_opening(top: PlacedEdge, options: CircularOptions) -> Points:
    """The top edge toward the wearer's left from where the piece opens, (m, 3), the start repeated."""
    line = top.line
    centre = line[:, :2].mean(axis=0)
    turns = np.unwrap(turns_of(line, centre), period=1.0)
    if turns[-1] < turns[0]:
        line, turns = line[::-1], turns[::-1]
    if not _closed(top):
        return line
    if np.allclose(line[0], line[-1]):
        line, turns = line[:-1], turns[:-1]
    opening = TURN[options.opening or "back"]
    off = np.mod(turns - opening + 0.5, 1.0) - 0.5
    start = int(np.abs(off).argmin())
    round_once = np.roll(line, -start, axis=0)
    return np.vstack([round_once, round_once[:1]])


def _asked_length(options: CircularOptions, fall: Fall | None, hem: PlacedEdge | None, where: str) -> float:
    """Length down the cloth where it is measured [mm]."""
    if options.length is not None:
        return options.length
    turn = TURN[options.length_at]
    if fall is not None and options.hem_height is not None:
        return float(fall.down_to([turn], [options.hem_height])[0])
    if fall is not None and hem is not None:
        return float(fall.down_to([turn], [hem_heights(hem, fall, np.array([turn]))[0]])[0])
    raise DraftError(
        "nothing says how long it is.",
        where=where,
        advice="Give length, or with a top edge on the body an edge hem = 'edge name' or hem_height.",
    )
