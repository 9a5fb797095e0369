"""Results as plain data for a program to read: what ``--json`` prints. Lengths in mm, to a thousandth."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

import numpy as np

from layfigure.body.chart import ChartPoint
from layfigure.place.placement import PlacedEdge, Placement

if TYPE_CHECKING:
    from layfigure.draft.registry import Check, DraftResult
    from layfigure.piece.item import Item
    from layfigure.piece.piece import Piece


def placement_as_data(placement: Placement) -> dict[str, Any]:
    """Every edge on one wearer."""
    return {
        "wearer": placement.wearer,
        "unit": "mm",
        "edges": {slug: _edge(placed) for slug, placed in placement.edges.items()},
    }


def draft_as_data(drafts: Mapping[str, DraftResult]) -> dict[str, Any]:
    """Every piece with its verdict and checks, without its outline (that is in ``pieces.json``)."""
    return {
        "unit": "mm",
        "statements": {
            slug: {
                "pieces": [_piece(piece) for piece in result.pieces],
                "checks": [check_as_data(check) for check in result.checks],
                "items": [_item(item) for item in result.items],
                "notes": list(result.notes),
                "decisions": list(result.decisions),
                "departures": list(result.departures),
                "chosen": list(result.chosen),
            }
            for slug, result in drafts.items()
        },
    }


def _item(item: Item) -> dict[str, Any]:
    return {
        "slug": item.slug,
        "name": item.name,
        "count": item.count,
        "length": None if item.length is None else round(item.length, 1),
        "mass": item.mass,
        "price": item.price,
        "source": item.source,
        "use": item.use,
    }


def check_as_data(check: Check) -> dict[str, Any]:
    """One check."""
    return {
        "what": check.what,
        "value": round(check.value, 4),
        "limit": round(check.limit, 4),
        "unit": check.unit,
        "passed": check.passed,
        "advice": check.advice,
    }


def chart_point_as_data(at: ChartPoint) -> dict[str, Any]:
    """A place on any body."""
    return {"region": at.region, "station": round(at.station, 5), "around": round(at.around, 5)}


def _edge(placed: PlacedEdge) -> dict[str, Any]:
    data: dict[str, Any] = {
        "meaning": placed.edge.meaning,
        "source": placed.edge.source,
        "closed": placed.edge.closed,
        "points": [
            {
                **chart_point_as_data(at),
                "place": np.round(place, 3).tolist(),
                "spread": round(float(spread), 3),
            }
            for at, place, spread in zip(placed.at, placed.points, placed.spread, strict=True)
        ],
        "checks": [
            {"what": check.what, "length": round(check.length, 3), "spread": round(check.spread, 3)}
            for check in placed.checks
        ],
    }
    if placed.edge.text:
        data["words"] = placed.edge.text
    if placed.by_height is not None:
        off = np.linalg.norm(placed.points - placed.by_height, axis=1)
        data["scaled_by_height_off"] = round(float(np.median(off)), 3)
    return data


def _piece(piece: Piece) -> dict[str, Any]:
    return {
        "slug": piece.slug,
        "label": piece.label,
        "kind": piece.kind,
        "side": piece.side,
        "count": piece.count,
        "cloth": piece.cloth,
        "layer": piece.layer,
        "verdict": {
            "level": piece.verdict.level,
            "reasons": [{"why": r.why, "lifted_by": r.lifted_by} for r in piece.verdict.reasons],
        },
        "totals": [{"what": total.what, "length": round(total.length, 3)} for total in piece.totals],
        "note": list(piece.note),
        "cautions": list(piece.cautions),
    }
