"""One piece now: a kind and a few tapes, no picture and no costume."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from layfigure.design.design import PieceStatement
from layfigure.draft.quick.body import check_tapes
from layfigure.draft.registry import (
    DraftRequest,
    DraftResult,
    PieceKind,
    QuickRecipe,
    known_kinds,
    validated_options,
)
from layfigure.errors import DraftError
from layfigure.files.nearest import did_you_mean
from layfigure.materials.cloth import Cloth
from layfigure.place.place import place_edge
from layfigure.place.placement import Placement


def quick_recipes() -> dict[str, tuple[PieceKind, QuickRecipe]]:
    """Every quick piece by name, with the kind that drafts it, kinds of other packages included.

    Raises DraftError for a name that two kinds use.
    """
    found: dict[str, tuple[PieceKind, QuickRecipe]] = {}
    for kind in known_kinds().values():
        for recipe in kind.quick:
            if recipe.name in found:
                raise DraftError(
                    f"the quick piece {recipe.name!r} is made by two kinds.",
                    where=kind.name,
                    advice="Remove the package that brings one of them.",
                )
            found[recipe.name] = (kind, recipe)
    return dict(sorted(found.items()))


def quick_piece(
    name: str,
    tapes: Mapping[str, float],
    options: Mapping[str, Any] | None = None,
    *,
    cloth: Cloth | None = None,
    point: float = 0.0,
) -> DraftResult:
    """Draft one piece from a few tapes.

    name : of a recipe. tapes : sizes [mm] by the names that it asks for. options : of the kind that drafts
    it, as typed in a costume file. point : how far the top edge of a wrap rises to a point in front [mm].
    Raises DraftError for an unknown piece or option, MeasureError and MeasureMissing for the tapes.
    """
    recipes = quick_recipes()
    if name not in recipes:
        raise DraftError(
            f"there is no quick piece {name!r}.",
            advice=did_you_mean(name, recipes) or f"There are: {', '.join(recipes)}.",
        )
    kind, recipe = recipes[name]
    check_tapes(name, recipe.tapes, tapes)
    body = recipe.body(tapes, point)
    cloth = cloth or recipe.cloth
    statement = PieceStatement(
        slug=name,
        kind=kind.name,
        cloth=cloth.slug,
        edges={role: edge.slug for role, edge in body.edges.items()},
        options={**body.options, **(options or {})},
    )
    result = kind.draft(
        DraftRequest(
            statement=statement,
            options=validated_options(kind, statement.options, where=f"piece {name}"),
            form=body.form,
            placement=Placement(
                wearer="", edges={edge.slug: place_edge(edge, body.form) for edge in body.edges.values()}
            ),
            cloths={cloth.slug: cloth},
            assumed=recipe.assumed,
        )
    )
    either = "Left and right are alike: cut one for each side."
    return replace(
        result,
        pieces=tuple(
            replace(piece, side="middle", note=(*piece.note, either)) if piece.side == "left" else piece
            for piece in result.pieces
        ),
    )
