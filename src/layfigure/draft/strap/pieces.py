"""The pieces of one strap: one whole strap, or a tongue and a buckle part that meet at the fastening."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from layfigure.draft.belt.strap import HoleRow, across, girth_to, hole_lines, strap_edges
from layfigure.draft.strap.fasten import Fastening
from layfigure.draft.strap.keepers import SNAP_PITCH, Keeper, abreast
from layfigure.draft.strap.route import StrapRun
from layfigure.draft.strap.shape import Bend, bends_of, flat_middle
from layfigure.draft.strap.slots import SlotRow
from layfigure.geometry.polyline import length, points_at
from layfigure.piece.piece import InnerLine, PieceEdge

Points = NDArray[np.float64]

FOLD_BACK = 60.0
"""Turned round a buckle's bar or a ring [mm] (common practice, no source)."""

SEWN_LAP = 30.0

SNAP_RADIUS = 6.0
"""Of the ring that marks a snap's place [mm]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class StrapMake:
    """How a strap is made [mm]. lap : overlap past where the ends meet, unless holes say. tab : added to
    ends that are fixed. at : share of its length where it fastens. keepers : what holds it aside.
    """

    width: float
    fastening: Fastening
    lap: float
    row: HoleRow
    tab: float
    at: float
    slots: SlotRow | None
    keepers: tuple[Keeper, ...] = ()

    @property
    def beyond(self) -> float:
        """Of the tongue past where the ends meet [mm]."""
        return self.row.beyond if self.fastening == "buckle" else self.lap


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class StrapPart:
    """One flat strap. part : added to the slug, empty for a strap in one. worn : length that is worn [mm].

    drawn : its whole middle line. middle : as long as is worn. start : where on the run it begins. lapped :
    stretches that lie double when it is closed, from its start [mm].
    """

    part: str
    words: str
    edges: tuple[PieceEdge, ...]
    lines: tuple[InnerLine, ...]
    drawn: Points
    middle: Points
    worn: float
    upto: str
    start: float
    lapped: tuple[tuple[float, float], ...]


def strap_parts(run: StrapRun, make: StrapMake) -> list[StrapPart]:
    """Parts to cut for one run, each drawn with its outside up."""
    if run.loop:
        return [_loop(run, make)]
    if make.fastening == "sewn":
        bends = bends_of(run, 0.0)
        middle = flat_middle(run.length, bends, make.width)
        edges = _ends(middle, make, first=("first_tab", make.tab), last=("last_tab", make.tab))
        marks = [*_marks(run, middle, make, 0.0, run.length), *_slots(middle, make)]
        return [_part("", "", edges, middle, run.length, "end to end", marks, start=0.0)]
    meet = make.at * run.length
    return [_tongue(run, make, meet), _buckle_part(run, make, meet)]


def _loop(run: StrapRun, make: StrapMake) -> StrapPart:
    """A strap right round: from the fastening on, once round and past its start."""
    start = make.at * run.length
    middle = flat_middle(run.length + make.beyond, bends_of(run, start), make.width)
    fold = FOLD_BACK if make.fastening == "buckle" else 0.0
    edges = strap_edges(middle, make.width, fold_back=fold, long_allowance=0.0)
    marks = _marks(run, middle, make, start, run.length)
    if make.fastening == "buckle":
        marks += hole_lines(middle, make.row, run.length)
    else:
        marks.append(_line(middle, run.length, make.width, "the other end comes to here"))
    upto = "the middle hole" if make.fastening == "buckle" else "the overlap line"
    marks += _slots(middle, make)
    lapped = ((0.0, make.beyond), (run.length, run.length + make.beyond))
    return _part("", "", edges, middle, run.length, upto, marks, start=start, lapped=lapped)


def _tongue(run: StrapRun, make: StrapMake, meet: float) -> StrapPart:
    """From the run's start to the fastening and past it."""
    bends = [bend for bend in bends_of(run, 0.0) if bend.along < meet]
    middle = flat_middle(meet + make.beyond, bends, make.width)
    edges = _ends(middle, make, first=("tab", make.tab), last=None)
    marks = [*_marks(run, middle, make, 0.0, meet), *_slots(middle, make)]
    if make.fastening == "buckle":
        marks += hole_lines(middle, make.row, meet)[:-1]
    else:
        marks.append(_line(middle, meet, make.width, "the other part begins here"))
    upto = "the middle hole" if make.fastening == "buckle" else "the overlap line"
    told, lapped = f"its fixed end to {upto}", ((meet, meet + make.beyond),)
    return _part("tongue", "tongue part", edges, middle, meet, told, marks, start=0.0, lapped=lapped)


def _buckle_part(run: StrapRun, make: StrapMake, meet: float) -> StrapPart:
    """From the fastening to the run's end."""
    rest = run.length - meet
    bends = [Bend(along=b.along - meet, angle=b.angle) for b in bends_of(run, 0.0) if b.along >= meet]
    middle = flat_middle(rest, bends, make.width)
    buckled = make.fastening == "buckle"
    first = ("buckle_end", FOLD_BACK) if buckled else ("under_end", 0.0)
    edges = _ends(middle, make, first=first, last=("tab", make.tab))
    marks = _marks(run, middle, make, meet, rest)
    if buckled:
        marks += hole_lines(middle, make.row, rest)[-1:]
    part = "buckle" if buckled else "under"
    told, lapped = "end to end, without what is folded", ((0.0, make.beyond),)
    return _part(part, f"{part} part", edges, middle, rest, told, marks, start=meet, lapped=lapped)


def _part(
    part: str,
    words: str,
    edges: Sequence[PieceEdge],
    middle: Points,
    worn: float,
    upto: str,
    marks: Sequence[InnerLine],
    *,
    start: float,
    lapped: tuple[tuple[float, float], ...] = (),
) -> StrapPart:
    centre = InnerLine(kind="centre", curve=middle, label="middle line")
    return StrapPart(
        part=part,
        words=words,
        edges=tuple(edges),
        lines=(centre, *marks),
        drawn=middle,
        middle=girth_to(middle, worn),
        worn=worn,
        upto=upto,
        start=start,
        lapped=lapped,
    )


def _ends(
    middle: Points, make: StrapMake, *, first: tuple[str, float], last: tuple[str, float] | None
) -> tuple[PieceEdge, ...]:
    """Outline of a strap whose ends are fixed; last None for a free tip."""
    bottom, tip, top, end = strap_edges(middle, make.width, fold_back=0.0, long_allowance=0.0)
    if last is not None:
        tip = replace(tip, slug=last[0], role="closure", allowance=last[1])
    return bottom, tip, top, replace(end, slug=first[0], role="closure", allowance=first[1])


def _marks(run: StrapRun, middle: Points, make: StrapMake, start: float, reach: float) -> list[InnerLine]:
    """Lines across where the strap is held, and half-way."""
    lines = [_line(middle, 0.5 * reach, make.width, "half-way", "balance")]
    for held in run.held:
        at = held.along - start
        at = at % run.length if run.loop else at
        if 1.0 < at < reach - 1.0:
            keeper = next((one for one in make.keepers if one.along == held.along), None)
            label = f"{held.name}: under a loop" if keeper and keeper.by == "loop" else held.name
            lines.append(_line(middle, at, make.width, label))
            if keeper and keeper.by == "snap":
                lines += _snaps(middle, at, keeper, make.width)
    return lines


def _snaps(middle: Points, at: float, keeper: Keeper, width: float) -> list[InnerLine]:
    """A ring where every snap of one place is set, in rows across the strap."""
    wide = abreast(width)
    rows = math.ceil(keeper.count / wide)
    turn = 2.0 * np.pi * np.arange(16) / 16
    ring = SNAP_RADIUS * np.column_stack([np.cos(turn), np.sin(turn)])
    lines = []
    for row in range(rows):
        in_row = min(wide, keeper.count - row * wide)
        along = at + (row - 0.5 * (rows - 1)) * SNAP_PITCH
        line = across(middle, min(max(along, 0.6), length(middle) - 0.6), SNAP_PITCH)
        centre, way = 0.5 * (line[0] + line[-1]), line[-1] - line[0]
        lines += [
            InnerLine(kind="placement", curve=centre + place * way + ring, label="snap", closed=True)
            for place in np.arange(in_row) - 0.5 * (in_row - 1)
        ]
    return lines


def _slots(middle: Points, make: StrapMake) -> list[InnerLine]:
    """Rivet of the fixed plate, and a slot for every plate that slides."""
    row = make.slots
    if row is None:
        return []
    turn = 2.0 * np.pi * np.arange(16) / 16
    ring = 0.5 * row.rivet * np.column_stack([np.cos(turn), np.sin(turn)])
    fixed = points_at(middle, [row.first])[0]
    lines = [InnerLine(kind="placement", curve=fixed + ring, label="first plate", closed=True)]
    for k, (start, end) in enumerate(row.slots(), start=2):
        inner = np.linspace(start + 0.5 * row.rivet, end - 0.5 * row.rivet, 8)
        lines.append(InnerLine(kind="slit", curve=points_at(middle, inner), label=f"plate {k} slides"))
    return lines


def _line(middle: Points, at: float, width: float, label: str, kind: str = "placement") -> InnerLine:
    curve = across(middle, min(max(at, 0.6), length(middle) - 0.6), width)
    return InnerLine(kind="balance" if kind == "balance" else "placement", curve=curve, label=label)
