"""Pieces as documented JSON: see docs/exchange.md."""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from layfigure.piece.draw import Heading
from layfigure.piece.notch import notch_marks
from layfigure.piece.piece import Piece, PieceEdge
from layfigure.piece.seam_allowance import cut_line
from layfigure.piece.thin import thinned, thinned_edge

Points = NDArray[np.float64]

FORMAT = 1


def pieces_as_json(pieces: Sequence[Piece], heading: Heading) -> str:
    """All pieces as one JSON document, coordinates in millimetres rounded to 0.0001."""
    document = {
        "format": "layfigure pieces",
        "version": FORMAT,
        "units": "mm",
        "costume": heading.costume,
        "wearer": heading.wearer,
        "seams": {
            seam: {"mark": mark, "uses": [{"piece": p, "edge": e} for p, e in heading.seams.uses[seam]]}
            for seam, mark in heading.seams.marks.items()
        },
    }
    pieces_text = ",\n".join(_lines(piece_as_dict(piece), "  ") for piece in pieces)
    return f'{_lines(document, "")[:-2]},\n "pieces": [\n{pieces_text}\n ]\n}}\n'


def _lines(fields: dict[str, Any], indent: str) -> str:
    """A JSON object with a field on each line: what changed shows, and no point takes four lines."""
    rows = (
        f"{indent} {json.dumps(name)}: {json.dumps(value, ensure_ascii=False)}"
        for name, value in fields.items()
    )
    return f"{indent}{{\n" + ",\n".join(rows) + f"\n{indent}}}"


def piece_as_dict(piece: Piece) -> dict[str, Any]:
    """One piece as plain lists and dictionaries."""
    cut = cut_line(piece.edges)
    return {
        "slug": piece.slug,
        "label": piece.label,
        "kind": piece.kind,
        "cloth": piece.cloth,
        "side": piece.side,
        "count": piece.count,
        "layer": piece.layer,
        "edition": piece.edition,
        "thickness": piece.thickness,
        "cut_line": _points(thinned(cut, closed=True)),
        "edges": [_edge(edge, cut) for edge in piece.edges],
        "windows": [
            {
                "slug": window.slug,
                "curve": _points(thinned(window.curve, closed=True)),
                "backing": window.backing,
            }
            for window in piece.windows
        ],
        "lines": [
            {
                "kind": line.kind,
                "label": line.label,
                "closed": line.closed,
                "curve": _points(thinned(line.curve, closed=line.closed)),
            }
            for line in piece.lines
        ],
        "grainline": {
            "kind": piece.grainline.kind,
            "start": _points(np.array(piece.grainline.start)),
            "end": _points(np.array(piece.grainline.end)),
        },
        "totals": [{"what": total.what, "length": round(total.length, 4)} for total in piece.totals],
        "verdict": {
            "level": piece.verdict.level,
            "reasons": [{"why": r.why, "lifted_by": r.lifted_by} for r in piece.verdict.reasons],
        },
        "note": list(piece.note),
        "cautions": list(piece.cautions),
    }


def _edge(edge: PieceEdge, cut: Points) -> dict[str, Any]:
    return {
        "slug": edge.slug,
        "role": edge.role,
        "seam": edge.seam,
        "runs": "against" if edge.against else "along",
        "allowance": edge.allowance,
        "eased": edge.eased,
        "length": round(edge.length, 4),
        "curve": _points(thinned_edge(edge)),
        "notches": [
            {
                "name": mark.notch.name,
                "distance": round(mark.notch.distance, 4),
                "count": mark.notch.count,
                "at": _points(mark.at),
                "strokes": _points(mark.strokes),
            }
            for mark in notch_marks(edge, cut)
        ],
    }


def _points(points: Points) -> Any:
    return np.round(points, 4).tolist()
