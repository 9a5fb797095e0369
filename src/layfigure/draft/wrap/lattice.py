"""A lattice of bands round a limb whose points meet: in one piece, apart, or linked by elastic.

The sheet between the two edges is one developable band. Along it the lattice's bands lie one above the other;
each swells to a point at even turns round, where it meets the point of the next, and narrows between. All of
it is drawn on the rulings, so that it lies flat exactly like the sheet.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Literal

import numpy as np
from numpy.typing import NDArray
from pydantic import BaseModel, ConfigDict, Field

from layfigure.draft.wrap.outline import LONGEST_STEP, Trace, straight
from layfigure.draft.wrap.piece import BandOutline
from layfigure.errors import DraftError
from layfigure.files.quantities import Length, Share
from layfigure.geometry.developable import FlatBand
from layfigure.geometry.polyline import arc_lengths
from layfigure.piece.item import Item
from layfigure.piece.piece import Window

Points = NDArray[np.float64]

SEWN_END = 15.0
"""Of a link of elastic, behind either point [mm] (common practice, no source)."""
LEAST_HEIGHT = 15.0
"""Of a band where its points are [mm]."""


class LatticeOptions(BaseModel):
    """A lattice in place of a plain sheet."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    bands: int = Field(3, ge=2, le=9, description="bands one above the other")
    points: int = Field(6, ge=2, le=24, description="points round each band")
    narrow: Share = Field(
        0.5, gt=0.1, le=0.95, description="height between points, as a share of the height there"
    )
    joined: Literal["one piece", "separate", "elastic"] = Field(
        "one piece", description="how the bands hold together where points meet"
    )
    neck: Length = Field(
        12.0, ge=2.0, le=60.0, description="width of the sheet where points meet in one piece"
    )
    gap: Length = Field(10.0, ge=0.0, le=60.0, description="between points that elastic links")

    @property
    def apart(self) -> bool:
        """Whether its bands are cut one by one, and none is joined to the next by the sheet."""
        return self.joined != "one piece"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Sheet:
    """The plain sheet that a lattice is cut from.

    flat : laid out. distance, ruling : (m,) length along its middle line and the ruling there, so that
    points lie evenly on the sheet and not on the turn of its section. foot, tip : share of its edges there.
    """

    flat: FlatBand
    bottom: Trace
    top: Trace
    distance: Points
    ruling: Points
    foot: Points
    tip: Points

    @property
    def depth(self) -> float:
        """Least height between the edges [mm]."""
        ends = (self.flat.points(self.ruling, share) for share in (self.foot, self.tip))
        foot, tip = ends
        return float(np.linalg.norm(tip - foot, axis=1).min())

    def line(self, fraction: Points, corner: NDArray[np.bool_]) -> Trace:
        """A line at fractions of the way from the lower edge to the upper one."""
        return Trace(ruling=self.ruling, share=self.foot + fraction * (self.tip - self.foot), corner=corner)


def lattice_outlines(outline: BandOutline, options: LatticeOptions) -> list[BandOutline]:
    """The bands of a lattice, from the bottom, each cut by itself.

    Raises DraftError where the sheet is too low for so many bands.
    """
    sheet, meetings = _sheet(outline, options)
    lines = _lines(sheet, meetings, options)
    return [replace(outline, bottom=low, top=high) for low, high in lines]


def lattice_openings(outline: BandOutline, options: LatticeOptions) -> tuple[Window, ...]:
    """Openings of a lattice cut in one piece: between two bands, one from each meeting of points to the next.

    Raises DraftError where the necks leave no opening.
    """
    sheet, meetings = _sheet(outline, options)
    lines = _lines(sheet, meetings, options)
    openings: list[Window] = []
    for (_, lower), (upper, _) in pairwise(lines):
        for start, end in pairwise(meetings):
            low, high = start + 0.5 * options.neck, end - 0.5 * options.neck
            if high - low < 0.4 * (end - start):
                raise DraftError(
                    "the lattice's openings close up: its necks are too wide for so many points.",
                    advice="Ask for fewer points, or a narrower neck.",
                )
            # From the point beside one neck over the middle to the point beside the other, and back.
            middle = 0.5 * (start + end)
            there = np.interp([low, middle, high], sheet.distance, sheet.ruling)
            below = np.interp(there, lower.ruling, lower.share)
            above = np.interp(there, upper.ruling, upper.share)
            side = 0.5 * (below + above)
            corners = sheet.flat.points(
                np.append(there, there[1]), np.array([side[0], below[1], side[2], above[1]])
            )
            openings.append(Window(slug=f"opening_{len(openings) + 1}", curve=_along(corners)))
    return tuple(openings)


def _along(corners: Points) -> Points:
    """A closed outline with straight sides, a point every couple of millimetres, (n, 2)."""
    ring = np.vstack([corners, corners[:1]])
    sides = [straight(a, b)[:-1] for a, b in pairwise(ring)]
    outline: Points = np.concatenate(sides)
    return outline


def _sheet(outline: BandOutline, options: LatticeOptions) -> tuple[_Sheet, Points]:
    """The sheet, and the distances along its middle line where points meet."""
    assert outline.bottom is not None
    assert outline.top is not None
    foot, tip = outline.traces
    fine = np.unique(np.concatenate([foot.ruling, tip.ruling]))
    middle = 0.5 * (np.interp(fine, foot.ruling, foot.share) + np.interp(fine, tip.ruling, tip.share))
    along = arc_lengths(outline.flat.points(fine, middle))
    meetings = np.linspace(0.0, along[-1], options.points + 1)
    turns = np.linspace(0.0, along[-1], 2 * options.points + 1)
    even = np.linspace(0.0, along[-1], int(np.ceil(along[-1] / LONGEST_STEP)) + 1)
    distance = np.unique(np.concatenate([even, turns]))
    distance = distance[np.concatenate([[True], np.diff(distance) > 1e-6])]
    ruling = np.interp(distance, along, fine)
    sheet = _Sheet(
        flat=outline.flat,
        bottom=foot,
        top=tip,
        distance=distance,
        ruling=ruling,
        foot=np.interp(ruling, foot.ruling, foot.share),
        tip=np.interp(ruling, tip.ruling, tip.share),
    )
    return sheet, meetings


def _lines(sheet: _Sheet, meetings: Points, options: LatticeOptions) -> list[tuple[Trace, Trace]]:
    """Lower and upper line of every band, from the bottom; the outermost are the sheet's own edges."""
    depth = sheet.depth
    apart = options.gap / depth if options.joined == "elastic" else 0.0
    each = (1.0 - apart * (options.bands - 1)) / options.bands
    if each * depth < LEAST_HEIGHT:
        raise DraftError(
            f"the lattice's bands would be less than {LEAST_HEIGHT:g} mm high.",
            advice="Ask for fewer, or a higher piece.",
        )
    # 1 at a meeting, `narrow` halfway between two.
    place = np.mod(sheet.distance / meetings[-1] * options.points, 1.0)
    height = options.narrow + (1.0 - options.narrow) * np.abs(1.0 - 2.0 * place)
    turns = 0.5 * meetings[1] * np.arange(1, 2 * options.points)
    corner = np.abs(sheet.distance[:, None] - turns).min(axis=1) < 1e-6
    lines = []
    for number in range(options.bands):
        middle = number * (each + apart) + 0.5 * each
        low = sheet.bottom if number == 0 else sheet.line(middle - 0.5 * each * height, corner)
        high = sheet.top if number == options.bands - 1 else sheet.line(middle + 0.5 * each * height, corner)
        lines.append((low, high))
    return lines


def lattice_note(options: LatticeOptions) -> tuple[str, ...]:
    """How the bands hold together, for the maker."""
    return {
        "one piece": ("Cut the openings after the outline, with a punch at each point first.",),
        "separate": ("Points of neighbouring bands meet: glue or rivet them where they touch.",),
        "elastic": (
            f"Points of neighbouring bands stay {options.gap:g} mm apart: sew elastic behind each pair.",
        ),
    }[options.joined]


def lattice_links(label: str, options: LatticeOptions, sides: int) -> tuple[Item, ...]:
    """Elastic between the points of a linked lattice, the sewn ends counted in."""
    if options.joined != "elastic":
        return ()
    return (
        Item(
            slug="elastic_10mm",
            name="elastic, 10 mm wide",
            count=(options.bands - 1) * (options.points + 1) * sides,
            length=options.gap + 2.0 * SEWN_END,
            use=f"{label}: behind each pair of points, {SEWN_END:g} mm sewn at either end",
        ),
    )
