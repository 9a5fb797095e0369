"""A zip at the centre back: how long it must be to get in, and where it is cut."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from layfigure.body.form import Form
from layfigure.draft.flatten.panel import FlatPanel
from layfigure.draft.knit.garment import KnitGarment, Opening
from layfigure.draft.knit.lines import centre_line
from layfigure.draft.knit.openings import cut_round, stretch_round
from layfigure.draft.knit.panel_cloths import PanelCloth
from layfigure.draft.registry import Check
from layfigure.draft.window.rest_windows import LEAST_STRIP
from layfigure.geometry.polyline import length, points_at
from layfigure.piece.item import Item
from layfigure.piece.piece import InnerLine, Window

Points = NDArray[np.float64]

LEAST, STEP = 150.0, 50.0
"""Zips come in steps of 50 mm, and one shorter than 150 lets nobody in; common practice."""
USUAL = 450.0
"""Where the measure that must pass is not known [mm]."""
END = 40.0
"""Of the back below the zip that stays closed [mm]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Closure:
    """A zip at the centre back.

    opening : the one it lengthens. length : of the zip [mm]. panel : slug of the back with the line to cut,
    None where it lies in a seam. line : on that panel.
    """

    opening: Opening
    length: float
    panel: str | None = None
    line: InnerLine | None = None

    @property
    def extra(self) -> float:
        """What it adds to the opening, both its edges [mm]."""
        return 2.0 * self.length

    def item(self) -> Item:
        """The zip as a thing to buy."""
        return Item(
            slug="zip_closed_end",
            name="zip, closed at its end",
            length=self.length,
            use="centre back, from the upper edge down; snaps or laces of that length do as well",
        )

    def words(self) -> str:
        """How it is set in."""
        how = (
            "cut the slit, face it with a strip of the cloth's stable direction, and set the zip in"
            if self.line is not None
            else "leave the centre back seam open that far, stay its edges with tape, and set the zip in"
        )
        return f"Centre back: {how}, {self.length / 10.0:.0f} cm from the upper edge down."


def window_check(closure: Closure, windows: Sequence[Window]) -> Check | None:
    """Whether the zip's slit keeps clear of the windows of its panel; None where there is neither."""
    if closure.line is None or not windows:
        return None
    slit = shapely.LineString(closure.line.curve)
    hit = [w.slug.replace("_", " ") for w in windows if shapely.Polygon(w.curve).distance(slit) < LEAST_STRIP]
    return Check(
        what=f"the zip at the centre back runs into window {', '.join(hit)}"
        if hit
        else "the zip at the centre back keeps clear of the windows",
        value=float(len(hit)),
        limit=0.0,
        passed=not hit,
        advice="Put the zip into a side seam instead, or move the window." if hit else "",
    )


def closure_of(
    garment: KnitGarment, flats: Mapping[str, FlatPanel], form: Form, cloths: Mapping[str, PanelCloth]
) -> Closure | None:
    """The shortest zip that lets the body in; where even that is too short, one as long as the back or its
    part at the neck.
    """
    opening = next((o for o in garment.openings if o.kind in ("neck", "waist")), None)
    if opening is None:
        return None
    widest = form.measures.get(opening.measure)
    wanted = USUAL
    if widest is not None:
        stretch = stretch_round(garment, flats, opening, cloths)
        wanted = 0.5 * (widest - cut_round(garment, flats, opening) * (1.0 + stretch))
    wanted = float(max(LEAST, STEP * np.ceil(wanted / STEP)))
    slug = _back_at_the_neck(garment)
    back = None if slug is None else flats[slug]
    middle = None if back is None else centre_line(back, "centre")
    if back is None or middle is None:
        return Closure(opening=opening, length=wanted)
    line = middle.curve if middle.curve[0, 1] > middle.curve[-1, 1] else middle.curve[::-1]
    edges = [back.curves[edge.slug] for edge in back.panel.outline if edge.slug == "neck"]
    neck = np.concatenate(edges)
    line = np.vstack([neck[np.linalg.norm(neck - line[0], axis=1).argmin()], line])
    zipped = min(wanted, STEP * np.floor((length(line) - END) / STEP))
    slit = points_at(line, np.linspace(0.0, zipped, max(3, round(zipped / 10.0))))
    inner = InnerLine(kind="slit", curve=slit, label="slit for the zip")
    return Closure(opening=opening, length=float(zipped), panel=slug, line=inner)


def _back_at_the_neck(garment: KnitGarment) -> str | None:
    """The back, or the part of it that the neckline runs along; None where there is none or more than one."""
    found = [
        plan.slug
        for plan in garment.pattern.plan.panels
        if plan.of == "back" and any(edge.slug == "neck" for edge in plan.edges)
    ]
    return found[0] if len(found) == 1 else None
