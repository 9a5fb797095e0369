"""What wearing asks of one piece's cloth, as data for the cutting table to draw over the flat piece."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from layfigure.drawing.field_bands import field_areas, path_of
from layfigure.drawing.sheet import arrange, record
from layfigure.piece.tight_places import tight_places

if TYPE_CHECKING:
    from layfigure.piece.cloth_field import ClothField
    from layfigure.piece.piece import Piece
    from layfigure.workroom.drafted import Drafted


def cloth_fields(drafted: Drafted, slug: str) -> Sequence[ClothField]:
    """Fields over a piece that was drafted last, none where its kind tells none."""
    for result in drafted.results.values():
        if result.working is not None and any(piece.slug == slug for piece in result.pieces):
            return result.working.over(drafted.work.body.value().form).get(slug, ())
    return ()


def fields_as_data(drafted: Drafted, piece: Piece) -> list[dict[str, Any]]:
    """Each field with its bands as paths on the piece's drawing [mm], and its worst places in words."""
    fields = cloth_fields(drafted, piece.slug)
    if not fields:
        return []
    sheet = arrange([record(piece, drafted.heading)])
    (_, offset) = sheet.placed[0]
    return [
        {
            "slug": field.slug,
            "title": field.title,
            "areas": [
                {
                    "words": area.words,
                    "limits": area.limits,
                    "colour": area.colour,
                    "share": round(area.share, 4),
                    "path": path_of(area.shape, offset, sheet.height),
                }
                for area in field_areas(piece, field, drafted.unit)
            ],
            "places": [
                {
                    "x": round(place.at[0] + offset[0], 1),
                    "y": round(sheet.height - place.at[1] - offset[1], 1),
                    "words": place.words,
                }
                for place in tight_places(piece, field, drafted.unit)
            ],
        }
        for field in fields
    ]
