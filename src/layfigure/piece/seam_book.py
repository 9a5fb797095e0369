"""Which edge meets which: short marks for seams, the same on every piece that shares them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from layfigure.piece.piece import Notch, Piece, PieceEdge


@dataclass(frozen=True, slots=True, kw_only=True)
class SeamBook:
    """All seams of a set of pieces.

    marks : seam identity to its short mark, ``A`` to ``Z``, ``AA``, … in order of appearance.
    uses : seam identity to the (piece slug, edge slug) pairs that are sewn there.
    labels : piece slug to label.
    """

    marks: Mapping[str, str]
    uses: Mapping[str, tuple[tuple[str, str], ...]]
    labels: Mapping[str, str]

    @classmethod
    def of(cls, pieces: Iterable[Piece]) -> SeamBook:
        """The book of these pieces."""
        uses: dict[str, list[tuple[str, str]]] = {}
        labels: dict[str, str] = {}
        for piece in pieces:
            labels[piece.slug] = piece.label
            for edge in piece.edges:
                if edge.seam is not None:
                    uses.setdefault(edge.seam, []).append((piece.slug, edge.slug))
        return cls(
            marks={seam: _mark(index) for index, seam in enumerate(uses)},
            uses={seam: tuple(pairs) for seam, pairs in uses.items()},
            labels=labels,
        )

    def mark(self, edge: PieceEdge) -> str:
        """Short mark of the edge's seam; empty where nothing meets it."""
        return self.marks.get(edge.seam, "") if edge.seam is not None else ""

    def notch_mark(self, edge: PieceEdge, notch: Notch) -> str:
        """Short mark of a notch, the same on both mates: ``B2`` is the second along seam B.

        The notch's own name where nothing meets the edge.
        """
        mark = self.mark(edge)
        if not mark:
            return notch.name.replace("_", " ")
        order = sorted(edge.notches, key=lambda other: other.distance, reverse=edge.against)
        return f"{mark}{[other.name for other in order].index(notch.name) + 1}"

    def meets(self, piece: Piece, edge: PieceEdge) -> str:
        """What the edge is sewn to, in words: ``meets side of Back``; empty where nothing meets it."""
        if edge.seam is None:
            return ""
        others = [use for use in self.uses.get(edge.seam, ()) if use != (piece.slug, edge.slug)]
        if not others:
            mirrored = piece.side == "both" and piece.count > 1
            return "meets its mirror image" if mirrored else ""
        mate, mate_edge = others[0]
        words = mate_edge.replace("_", " ")
        if mate == piece.slug:
            return f"meets {words} of this piece"
        return f"meets {words} of {self.labels[mate]}"


def _mark(index: int) -> str:
    letters = ""
    index += 1
    while index:
        index, rest = divmod(index - 1, 26)
        letters = chr(ord("A") + rest) + letters
    return letters
