"""Nothing hard and nothing thick where somebody sits all day: under the seat and under the thighs.

Pressure sores begin unfelt. What the check finds is told with the usual caution; whoever advises the wearer
on her seating decides.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from layfigure.body.form import Form
from layfigure.draft.bulk import Bulk
from layfigure.draft.registry import Check, DraftResult
from layfigure.materials.cloth import Cloth
from layfigure.piece.worn import WornSurface

Points = NDArray[np.float64]

HARD = frozenset({"leather", "foam", "thermoplastic"})
REACH = 30.0
"""What lies within this of the skin that bears weight is sat upon [mm]."""
MOST_BULK = 1.0
"""What adds no more than this to the layers around it is not felt [mm] (common practice, no source): a seam
of thin cloth pressed open."""
FEW = 0.02
"""Share of a thick part that may lie on the border of what is sat upon."""
UNDERSIDE = np.linspace(0.28, 0.72, 23)
"""Places round thigh and trunk that bear weight, as shares of the girth: the back."""

CAUTION = (
    "Seated wearer: nothing hard, seamed thick or buckled under seat and thighs. Look at the skin after the "
    "first hour; whoever advises on her seating has the last word."
)


def seat_check(result: DraftResult, form: Form, cloths: Mapping[str, Cloth]) -> DraftResult:
    """The result with a check of what is hard, and one of what is thick, where a seated wearer's weight lies.

    A standing wearer's result comes back as it is, and so does one with nothing hard or thick in it.
    """
    hard = [
        surface
        for surface in result.worn
        if surface.cloth not in cloths or cloths[surface.cloth].kind in HARD
    ]
    if form.posture != "seated" or not (hard or result.bulk):
        return result
    tree = cKDTree(_underside(form))
    checks = [_hard_check(tree, hard)] if hard else []
    if result.bulk:
        checks.append(_bulk_check(tree, result.bulk))
    pieces = tuple(
        piece if CAUTION in piece.cautions else replace(piece, cautions=(*piece.cautions, CAUTION))
        for piece in result.pieces
    )
    return replace(result, checks=(*result.checks, *checks), pieces=pieces)


def _hard_check(tree: cKDTree, hard: Sequence[WornSurface]) -> Check:
    """How much of what is hard is sat upon."""
    near, whole = 0.0, 0.0
    for surface in hard:
        areas = surface.mesh.face_areas()
        distance, _ = tree.query(surface.mesh.face_corners().mean(axis=1))
        near += float(areas[distance < REACH].sum())
        whole += float(areas.sum())
    share = near / max(whole, 1e-9)
    return Check(
        what="how much of it lies where the wearer sits",
        unit="%",
        value=100.0 * share,
        limit=1.0,
        passed=share <= 0.01,
        advice="" if share <= 0.01 else "Open it behind, end it in front, or make the back of soft cloth.",
    )


def _bulk_check(tree: cKDTree, bulk: Sequence[Bulk]) -> Check:
    """How thick the thickest part is that is sat upon, and what they all are."""
    under = [part for part in bulk if float((tree.query(part.places)[0] < REACH).mean()) > FEW]
    felt = list(dict.fromkeys(part.what for part in under if part.thickness > MOST_BULK))
    return Check.at_most(
        what="how much what is thick adds where the wearer sits",
        unit="mm",
        value=max((part.thickness for part in under), default=0.0),
        limit=MOST_BULK,
        advice=f"Under her: {', '.join(felt)}. Move it to the sides or the front, or leave it out behind.",
    )


def _underside(form: Form) -> Points:
    """Places on the standing skin that bear weight when seated, (n, 3) [mm]."""
    runs = [("torso", np.linspace(4.2, 5.0, 12))]
    runs += [(f"thigh_{side}", np.linspace(0.0, 0.85, 24)) for side in ("left", "right")]
    places = []
    for region, stations in runs:
        if region in form.charts:
            station, around = (grid.ravel() for grid in np.meshgrid(stations, UNDERSIDE))
            places.append(form.charts[region].points(station, around))
    return np.concatenate(places)
