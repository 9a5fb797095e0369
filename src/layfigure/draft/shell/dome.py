"""Domes, shoulder caps and breastplate cups: caps over a part of the body, in gores."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from layfigure.draft.registry import Check, DraftRequest, DraftResult
from layfigure.draft.sheet_practice import cautions_for, sheet_practice
from layfigure.draft.shell.behind import length_behind
from layfigure.draft.shell.cap import standing_out
from layfigure.draft.shell.cap_place import PlacedCap, place_cap
from layfigure.draft.shell.gore_pieces import PieceWords, gore_pieces
from layfigure.draft.shell.gores import Gores, cut_gores
from layfigure.draft.shell.note import gore_note, mass_words
from layfigure.draft.shell.options import ShellOptions
from layfigure.draft.shell.shell_checks import (
    join_check,
    mass_of,
    outline_check,
    room_check,
    stretch_checks,
)
from layfigure.draft.shell.shell_windows import gore_sheets
from layfigure.draft.shell.surface_mesh import cap_mesh
from layfigure.draft.verdict import wrap_verdict
from layfigure.draft.window.cut_out import with_windows
from layfigure.materials.cloth import Cloth
from layfigure.piece.item import Item
from layfigure.piece.piece import Verdict
from layfigure.piece.worn import WornSurface

Points = NDArray[np.float64]

RIM_GAP = 35.0
"""A rim that stands further off than this catches on things [mm] (common practice, no source)."""

STRAP_WIDTH = 25.0
"""Straps of armour under half a kilogram: 20 mm, above 25 to 40 (common practice, no source)."""

FASTENING = 80.0
"""Of a strap, at its two ends together [mm] (common practice, no source)."""


def draft_dome(
    request: DraftRequest, options: ShellOptions, cloth: Cloth, label: str, assumed: tuple[str, ...] = ()
) -> DraftResult:
    """A dome's gores, straps and worn surface."""
    beneath = request.stack + options.air
    placed = place_cap(request, options, beneath + sheet_practice(cloth).neutral_share * cloth.thickness)
    gores = cut_gores(placed.cap, request.statement.slug, count=options.gores)
    blank = PieceWords(verdict=Verdict(level="paper"), note=(), cautions=cautions_for(cloth))
    drawn = gore_pieces(request, cloth, blank, gores, label=label, marks=strap_marks(gores))
    worn = cap_mesh(placed.cap)
    mass = mass_of(worn, cloth)
    checks = (
        *stretch_checks(*gores.stretch, "Take more gores, or a smaller rise."),
        join_check(drawn),
        outline_check(drawn),
        room_check(standing_out(placed.cap, placed.beneath)),
        rim_check(placed, cloth.thickness),
    )
    verdict = wrap_verdict(
        checks,
        form=request.form,
        cloth=cloth,
        measures=placed.measures,
        spread=placed.spread,
        assumed=assumed,
    )
    straps = strap_items(request, placed, options)
    note = (
        *gore_note(cloth, gores, "rim"),
        *(f"{strap.name}, {strap.length:.0f} mm: {strap.use}" for strap in straps if strap.length),
        mass_words(mass),
        *(check.advice for check in checks if check.advice),
        "Try it in card first: bend, kneel and reach, and see that no rim digs in.",
    )
    cut = with_windows(
        request,
        [replace(piece, verdict=verdict, note=note) for piece in drawn],
        lambda: gore_sheets(gores, drawn, request.statement.slug),
    )
    return DraftResult(
        pieces=cut.pieces,
        checks=(*(replace(check, what=f"{label}: {check.what}") for check in checks), *cut.checks),
        items=straps,
        worn=(WornSurface(name=request.statement.slug, mesh=worn, cloth=cloth.slug),),
    )


def rim_check(placed: PlacedCap, thickness: float) -> Check:
    """How far the rim stands off what is beneath it."""
    azimuth = np.linspace(0.0, 2.0 * np.pi, 90, endpoint=False)
    rim = placed.cap.points(azimuth, np.ones_like(azimuth))
    gap = cKDTree(placed.beneath).query(rim)[0] - 0.5 * thickness
    worst = float(np.percentile(gap, 95))
    passed = worst <= RIM_GAP
    return Check(
        what="how far its rim stands off the body, but for 5 % of its length",
        value=worst,
        limit=RIM_GAP,
        unit="mm",
        passed=passed,
        advice="" if passed else "Make it smaller, or pad its rim.",
    )


def strap_marks(gores: Gores) -> dict[str, list[tuple[float, float, str]]]:
    """Where straps are fixed: near the rim at the two sides, a pair above the middle and one below."""
    marks: dict[str, list[tuple[float, float, str]]] = {}
    for degrees in (62.0, 118.0, 242.0, 298.0):
        azimuth = np.radians(degrees)
        number = int(np.clip(np.searchsorted(gores.azimuths, azimuth) - 1, 0, gores.count - 1))
        start, end = gores.azimuths[number : number + 2]
        across = float(np.clip((azimuth - start) / (end - start), 0.2, 0.8))
        marks.setdefault(f"gore_{number + 1}", []).append((across, 0.1, "strap"))
    return marks


def strap_items(request: DraftRequest, placed: PlacedCap, options: ShellOptions) -> tuple[Item, ...]:
    """Two straps round the limb behind a knee or elbow dome; others hang from what is above."""
    cap = placed.cap
    if options.over in ("shoulder", "bust") or options.shape == "cup" or "rim" in request.statement.edges:
        return (
            Item(
                slug="webbing_25mm",
                name="Webbing or leather strap, 25 mm",
                count=2,
                length=250.0,
                use="from the marks on its rim to the layer beneath or the harness, with snaps or hook and "
                "loop; a third of it elastic, so that it gives when the arm moves.",
            ),
        )
    items = []
    for name, up, down in (("upper", 62.0, 298.0), ("lower", 118.0, 242.0)):
        ends = cap.points(np.radians([up, down]), np.full(2, 0.93))
        around = length_behind(placed.beneath, ends, cap.frame.axis[:2])
        items.append(
            Item(
                slug=f"elastic_{STRAP_WIDTH:.0f}mm",
                name=f"{name.capitalize()} strap, elastic {STRAP_WIDTH:.0f} mm wide",
                length=0.9 * around + FASTENING,
                use=f"round the back from mark to mark, a tenth shorter than the limb there and "
                f"{FASTENING:.0f} mm for both ends.",
            )
        )
    return tuple(items)
