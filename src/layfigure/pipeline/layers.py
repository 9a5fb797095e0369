"""What lies under a piece: the layers below it, where it sits, and how thick they are together."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from layfigure.design.design import PieceStatement
from layfigure.materials.cloth import Cloth
from layfigure.place.placement import Placement


def stacks_below(
    pieces: Sequence[PieceStatement], placement: Placement, cloths: Mapping[str, Cloth]
) -> dict[str, float]:
    """Thickness of what lies under every piece, by slug [mm]: the most over the regions that it covers.

    Of the pieces of one layer the thickest counts, for pieces of one layer lie side by side.
    """
    covered = {piece.slug: covered_by(piece, placement) for piece in pieces}

    def beneath(piece: PieceStatement, region: str) -> float:
        thickest: dict[int, float] = {}
        for other in pieces:
            if other.layer < piece.layer and region in covered[other.slug]:
                thickness = covered[other.slug][region] * _thickness(other, cloths)
                thickest[other.layer] = max(thickest.get(other.layer, 0.0), thickness)
        return sum(thickest.values())

    return {
        piece.slug: max((beneath(piece, region) for region in covered[piece.slug]), default=0.0)
        for piece in pieces
    }


def covered_by(statement: PieceStatement, placement: Placement) -> dict[str, float]:
    """Regions of the body that a piece covers, and how many layers of its cloth lie there.

    Where its edges lie it is there once, unless its kind knows better. A statement that its kind does not
    accept covers what its edges say: it is refused elsewhere.
    """
    from layfigure.draft.registry import find_kind, validated_options
    from layfigure.errors import DraftError

    placed = (placement.edges[slug] for slug in statement.edges.values() if slug in placement.edges)
    covered = {curve.region: 1.0 for edge in placed for curve in edge.curves}
    try:
        kind = find_kind(statement.kind)
        if kind.covers is not None:
            options = validated_options(kind, statement.options, where=statement.slug)
            covered |= kind.covers(options, statement.side)
    except DraftError:
        pass
    return covered


def _thickness(statement: PieceStatement, cloths: Mapping[str, Cloth]) -> float:
    """Of its cloth and its lining [mm]."""
    named = (statement.cloth, statement.cloths.get("lining", ""))
    return sum(cloths[slug].thickness for slug in named if slug in cloths)
