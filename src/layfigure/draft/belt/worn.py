"""A belt as it lies on the wearer, for pictures of the whole costume."""

from __future__ import annotations

from layfigure.draft.belt.options import BeltOptions
from layfigure.draft.registry import DraftRequest
from layfigure.draft.round_edge import WrapEdge
from layfigure.draft.wrap.shown import strap_shown
from layfigure.materials.cloth import Cloth
from layfigure.piece.worn import WornSurface

FOLDS_SHOWN, THICK_BENEATH = 30.0, 2.0
"""Pictures show a gathered or pleated garment standing off by the first where it is thicker than the second,
though the belt draws it in [mm]."""


def worn_belt(request: DraftRequest, options: BeltOptions, edge: WrapEdge, cloth: Cloth) -> WornSurface:
    """A strap along the belt's line, outside the folds of a garment beneath it."""
    gathered = FOLDS_SHOWN if request.stack > THICK_BENEATH else 0.0
    off = request.stack + options.air + cloth.thickness + (request.folds or gathered)
    chart = request.form.charts[edge.region]
    return WornSurface(
        name=request.statement.slug, mesh=strap_shown(chart, edge, options.width, off), cloth=cloth.slug
    )
