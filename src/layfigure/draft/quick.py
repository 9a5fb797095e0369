"""One piece now: a kind and a few tapes, no picture and no costume."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from types import MappingProxyType
from typing import Any

import numpy as np

from layfigure.body.chart import ChartPoint
from layfigure.body.form import Form
from layfigure.design.design import DesignEdge, EdgePoint, PieceStatement
from layfigure.draft.belt import draft_belt
from layfigure.draft.quick_limb import BELT_SPAN, QUICK_KINDS, QuickKind, quick_form
from layfigure.draft.registry import DraftRequest, DraftResult, find_kind, validated_options
from layfigure.draft.wrap import draft_wrap
from layfigure.errors import DraftError
from layfigure.files.nearest import did_you_mean
from layfigure.materials.cloth import Cloth
from layfigure.place.place import place_edge
from layfigure.place.placement import Placement

CRAFT_FOAM = Cloth(
    slug="foam", kind="foam", name="5 mm craft foam", width=1000.0, areal_mass=500.0, thickness=5.0
)
STRAP_LEATHER = Cloth(
    slug="leather", kind="leather", name="3 mm leather", width=1000.0, areal_mass=2300.0, thickness=3.0
)
DEFAULT_CLOTHS: Mapping[str, Cloth] = MappingProxyType({"wrap": CRAFT_FOAM, "belt": STRAP_LEATHER})
"""What a quick piece is cut from when nothing is said; foam at 100 kg/m³ from memory, leather as traded."""


def quick_piece(
    kind: str,
    tapes: Mapping[str, float],
    options: Mapping[str, Any] | None = None,
    *,
    cloth: Cloth | None = None,
    point: float = 0.0,
) -> DraftResult:
    """Draft one piece from a few tapes.

    kind : a key of ``QUICK_KINDS``. tapes : sizes [mm] by the names that kind asks for. options : of the
    kind that drafts it (``wrap`` or ``belt``), as typed in a costume file. point : how far the top edge of a
    wrap rises to a point in front [mm]. Raises DraftError for an unknown kind or option, MeasureError and
    MeasureMissing for the tapes.
    """
    if kind not in QUICK_KINDS:
        raise DraftError(
            f"there is no quick piece {kind!r}.",
            advice=did_you_mean(kind, QUICK_KINDS) or f"There are: {', '.join(QUICK_KINDS)}.",
        )
    quick = QUICK_KINDS[kind]
    drafting = find_kind(quick.kind)
    form = quick_form(kind, tapes)
    cloth = cloth or DEFAULT_CLOTHS[quick.kind]
    edges = _edges(quick, form, tapes, point)
    statement = PieceStatement(
        slug=kind,
        kind=quick.kind,
        cloth=cloth.slug,
        edges={role: edge.slug for role, edge in edges.items()},
        options={**quick.options, **(options or {})},
    )
    request = DraftRequest(
        statement=statement,
        options=validated_options(drafting, statement.options, where=f"piece {kind}"),
        form=form,
        placement=Placement(wearer="", edges={edge.slug: place_edge(edge, form) for edge in edges.values()}),
        cloths={cloth.slug: cloth},
    )
    draft = draft_belt if quick.kind == "belt" else draft_wrap
    result = draft(request, assumed=quick.assumed)
    either = "Left and right are alike: cut one for each side."
    return replace(
        result,
        pieces=tuple(
            replace(piece, side="middle", note=(*piece.note, either)) if piece.side == "left" else piece
            for piece in result.pieces
        ),
    )


def _edges(quick: QuickKind, form: Form, tapes: Mapping[str, float], point: float) -> dict[str, DesignEdge]:
    (region,) = form.charts
    span = tapes[quick.length_tape] if quick.length_tape is not None else BELT_SPAN
    per_millimetre = (quick.last - quick.first) / span
    if quick.kind == "belt":
        return {"line": _ring("line", region, 0.5 * (quick.first + quick.last))}
    top = quick.first + quick.keep_top * per_millimetre
    bottom = quick.last - quick.keep_bottom * per_millimetre
    if bottom - top < 30.0 * per_millimetre:
        raise DraftError(
            f"nothing is left of {quick.name} between what bends at its ends.",
            advice="Look at the length's unit.",
        )
    # The point takes the edge's own place; the sides and the back move down to make room for it.
    peak = _ring("top", region, top + point * per_millimetre, rise=point * per_millimetre)
    return {"top": peak, "bottom": _ring("bottom", region, bottom)}


def _ring(slug: str, region: str, station: float, *, rise: float = 0.0) -> DesignEdge:
    """A line right round at one station, rising from both sides to a sharp point in front."""
    around = np.arange(16) / 16.0
    share = np.maximum(0.0, 1.0 - np.minimum(around, 1.0 - around) / 0.25)
    points = tuple(
        EdgePoint(
            at=ChartPoint(region=region, station=station - rise * float(up), around=float(a)),
            corner=rise > 0.0 and a == 0.0,
        )
        for a, up in zip(around, share, strict=True)
    )
    return DesignEdge(slug=slug, points=points, closed=True, source="typed")
