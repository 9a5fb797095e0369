"""Nothing hard where somebody sits all day: under the seat and under the thighs.

Pressure sores begin unfelt. What the check finds is told with the usual caution; whoever advises the wearer
on her seating decides.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from layfigure.body.form import Form
from layfigure.draft.registry import Check, DraftResult
from layfigure.materials.cloth import Cloth

Points = NDArray[np.float64]

HARD = frozenset({"leather", "foam", "thermoplastic"})
REACH = 30.0
"""What lies within this of the skin that bears weight is sat upon [mm]."""
UNDERSIDE = np.linspace(0.28, 0.72, 23)
"""Places round thigh and trunk that bear weight, as shares of the girth: the back."""

CAUTION = (
    "Seated wearer: nothing hard, seamed thick or buckled under seat and thighs. Look at the skin after the "
    "first hour; whoever advises on her seating has the last word."
)


def seat_check(result: DraftResult, form: Form, cloths: Mapping[str, Cloth]) -> DraftResult:
    """The result with one more check where something hard of it lies on what bears a seated wearer's weight.

    A standing wearer's result comes back as it is.
    """
    hard = [
        surface
        for surface in result.worn
        if surface.cloth not in cloths or cloths[surface.cloth].kind in HARD
    ]
    if form.posture != "seated" or not hard:
        return result
    tree = cKDTree(_underside(form))
    near, whole = 0.0, 0.0
    for surface in hard:
        areas = surface.mesh.face_areas()
        distance, _ = tree.query(surface.mesh.face_corners().mean(axis=1))
        near += float(areas[distance < REACH].sum())
        whole += float(areas.sum())
    share = near / max(whole, 1e-9)
    check = Check(
        what="how much of it lies where the wearer sits",
        unit="%",
        value=100.0 * share,
        limit=1.0,
        passed=share <= 0.01,
        advice="" if share <= 0.01 else "Open it behind, end it in front, or make the back of soft cloth.",
    )
    pieces = tuple(replace(piece, cautions=(*piece.cautions, CAUTION)) for piece in result.pieces)
    return replace(result, checks=(*result.checks, check), pieces=pieces)


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
