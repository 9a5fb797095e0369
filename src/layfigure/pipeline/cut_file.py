"""``wearers/NAME.cut.json``: which pieces the maker has cut for one wearer, and how they were.

It shows her sizes, so it is as private as her measures and never goes along with a design.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Annotated, Any

import numpy as np
import shapely
from pydantic import BaseModel, Field

from layfigure.errors import FileError, FileSyntaxError, FileVersionError
from layfigure.files.validation import validated
from layfigure.pipeline.cut_pieces import CutPiece

FORMAT = 1
SUFFIX = ".cut.json"

Name = Annotated[str, Field(min_length=1, max_length=200)]
Line = Annotated[list[tuple[float, float]], Field(min_length=3, max_length=100_000)]


class CutPieceFile(BaseModel, extra="forbid"):
    """One piece in the file."""

    label: Annotated[str, Field(max_length=200)]
    cloth: Annotated[str, Field(max_length=60)] = ""
    count: Annotated[int, Field(ge=1)] = 1
    edition: Annotated[int, Field(ge=1)] = 1
    fingerprint: Name
    outline: Line
    windows: dict[Name, Line] = {}
    totals: dict[Name, float] = {}


class CutFile(BaseModel, extra="forbid"):
    """The whole of a ``.cut.json`` file."""

    format: Annotated[int, Field(ge=1)]
    pieces: dict[Name, CutPieceFile] = {}


def parse_cut(text: str, *, name: str) -> dict[str, CutPiece]:
    """Cut pieces by slug from the text of a file; none from an empty one.

    Raises FileError, whose messages repeat nothing of what the file holds: it shows a wearer's sizes.
    """
    if not text.strip():
        return {}
    try:
        data = json.loads(text)
    except (ValueError, RecursionError):
        raise FileSyntaxError(
            "it cannot be read as JSON.",
            where=name,
            advice="Move it aside, and mark the pieces as cut anew.",
        ) from None
    stated = data.get("format") if isinstance(data, dict) else None
    if isinstance(stated, int) and stated > FORMAT:
        raise FileVersionError(
            f"it is written in format {stated}, and this version reads format {FORMAT}.",
            where=name,
            advice="Use the newer version that wrote it.",
        )
    typed = validated(CutFile, data, where=lambda *_: name, private=True)
    pieces: dict[str, CutPiece] = {}
    for slug, one in typed.pieces.items():
        lines = [np.array(line) for line in (one.outline, *one.windows.values())]
        if not all(np.isfinite(line).all() and shapely.Polygon(line).is_valid for line in lines):
            raise FileError(
                f"the outline of {slug!r} crosses itself.",
                where=name,
                advice="Take the piece out of the file, and mark it as cut anew.",
            )
        pieces[slug] = CutPiece(
            slug=slug,
            label=one.label,
            cloth=one.cloth,
            count=one.count,
            edition=one.edition,
            outline=lines[0],
            windows=dict(zip(one.windows, lines[1:], strict=True)),
            totals=one.totals,
        )
    return pieces


def cut_text(pieces: Mapping[str, CutPiece]) -> str:
    """The text of a file: one line a piece, so that two versions can be compared."""
    if not pieces:
        return f'{{"format": {FORMAT}, "pieces": {{}}}}\n'
    lines = [f"{json.dumps(slug)}: {json.dumps(_as_data(piece))}" for slug, piece in pieces.items()]
    return f'{{"format": {FORMAT}, "pieces": {{\n' + ",\n".join(lines) + "\n}}\n"


def _as_data(piece: CutPiece) -> dict[str, Any]:
    return {
        "label": piece.label,
        "cloth": piece.cloth,
        "count": piece.count,
        "edition": piece.edition,
        "fingerprint": piece.fingerprint,
        "totals": dict(piece.totals),
        "outline": np.round(piece.outline, 2).tolist(),
        "windows": {name: np.round(line, 2).tolist() for name, line in piece.windows.items()},
    }
