"""What was drafted last for one wearer."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from layfigure.errors import DraftError
from layfigure.piece.draw import Heading
from layfigure.piece.piece import Piece
from layfigure.pipeline.cut_pieces import CutPiece

if TYPE_CHECKING:
    from layfigure.body.wearer import LengthUnit
    from layfigure.draft.registry import DraftResult
    from layfigure.pipeline.work import Work


@dataclass(frozen=True, slots=True, kw_only=True)
class Drafted:
    """Results by statement, with what all pieces share.

    as_cut : every piece by slug as it would be cut. revisions : of the files they were made from.
    """

    wearer: str
    unit: LengthUnit
    results: Mapping[str, DraftResult]
    heading: Heading
    as_cut: Mapping[str, CutPiece]
    revisions: Mapping[str, str]
    work: Work

    @property
    def pieces(self) -> dict[str, Piece]:
        """Every piece by its slug, in the order of the design."""
        return {piece.slug: piece for result in self.results.values() for piece in result.pieces}

    def chosen(self, slugs: Sequence[str]) -> list[Piece]:
        """Some pieces, or all when none is named. Raises DraftError for one that is not there."""
        pieces = self.pieces
        for slug in slugs:
            if slug not in pieces:
                raise DraftError(
                    f"there is no piece {slug!r} among those drafted.", advice="Draft the costume again."
                )
        found = [pieces[slug] for slug in slugs] or list(pieces.values())
        if not found:
            raise DraftError("there is no piece to draw.", advice="Add a piece to the costume first.")
        return found
