"""What lies under a piece: the layers below it, where it sits, and how thick they are together."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from layfigure.design.design import PieceStatement
from layfigure.draft.beneath import Beneath
from layfigure.draft.garment_cover import FOLDS, PLEATED
from layfigure.place.placement import Placement


def stacks_below(
    pieces: Sequence[PieceStatement], placement: Placement, thick: Mapping[str, float]
) -> dict[str, float]:
    """Thickness of what lies under every piece, by slug [mm]: the most over the regions that it covers.

    thick : materials with their finish, by slug [mm]. Of the pieces of one layer the thickest counts, for
    pieces of one layer lie side by side.
    """
    return _stacks({piece.slug: covered_by(piece, placement) for piece in pieces}, pieces, thick)


def _stacks(
    covered: Mapping[str, Mapping[str, float]], pieces: Sequence[PieceStatement], thick: Mapping[str, float]
) -> dict[str, float]:
    def beneath(piece: PieceStatement, region: str) -> float:
        thickest: dict[int, float] = {}
        for other in pieces:
            if other.layer < piece.layer and region in covered[other.slug]:
                thickness = covered[other.slug][region] * _thickness(other, thick)
                thickest[other.layer] = max(thickest.get(other.layer, 0.0), thickness)
        return sum(thickest.values())

    return {
        piece.slug: max((beneath(piece, region) for region in covered[piece.slug]), default=0.0)
        for piece in pieces
    }


def cloth_below(
    pieces: Sequence[PieceStatement], placement: Placement, thick: Mapping[str, float]
) -> dict[str, Beneath]:
    """What lies under every piece, by slug: thickness, whether it spans hollows of the trunk, its folds."""
    covered = {piece.slug: covered_by(piece, placement) for piece in pieces}
    thickness = _stacks(covered, pieces, thick)
    trunk = {slug: regions.get("torso") for slug, regions in covered.items()}
    on_trunk = [piece for piece in pieces if trunk[piece.slug] is not None]
    found = {slug: Beneath(thickness=value) for slug, value in thickness.items()}
    for piece in on_trunk:
        lower = [other for other in on_trunk if other.layer < piece.layer]
        found[piece.slug] = Beneath(
            thickness=thickness[piece.slug],
            spans=any(_is_sheet(other) for other in lower),
            folds=FOLDS if any((trunk[other.slug] or 0.0) >= PLEATED for other in lower) else 0.0,
        )
    return found


def _is_sheet(statement: PieceStatement) -> bool:
    """Whether it covers the trunk as one sheet of its kind's own shape, rather than lying along its edges."""
    from layfigure.draft.registry import find_kind
    from layfigure.errors import DraftError

    try:
        kind = find_kind(statement.kind)
    except DraftError:
        return False
    return kind.covers is not None and kind.spans


def covered_by(statement: PieceStatement, placement: Placement) -> dict[str, float]:
    """Regions of the body that a piece covers, and how many layers of its cloth lie there.

    Where its edges lie it is there once, unless its kind knows better; a band lies along its edges alone, if
    it has any. A statement that its kind does not accept covers what its edges say: it is refused elsewhere.
    """
    from layfigure.draft.registry import find_kind, validated_options
    from layfigure.errors import DraftError

    placed = (placement.edges[slug] for slug in statement.edges.values() if slug in placement.edges)
    covered = {curve.region: 1.0 for edge in placed for curve in edge.curves}
    try:
        kind = find_kind(statement.kind)
        if kind.covers is not None and (kind.spans or not covered):
            options = validated_options(kind, statement.options, where=statement.slug)
            covered |= kind.covers(options, statement.side)
    except DraftError:
        pass
    return covered


def _thickness(statement: PieceStatement, thick: Mapping[str, float]) -> float:
    """Of its cloth and its lining [mm]."""
    named = (statement.cloth, statement.cloths.get("lining", ""))
    return sum(thick[slug] for slug in named if slug in thick)
