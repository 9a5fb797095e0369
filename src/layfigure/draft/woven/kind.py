"""The kind ``woven``: garments of cloth that does not stretch, with room to move."""

from __future__ import annotations

from pydantic import BaseModel

from layfigure.design.design import PieceStatement
from layfigure.draft.garment_cover import PLEATED, SLEEVES, garment_cover
from layfigure.draft.registry import DraftRequest, DraftResult, PieceKind, register
from layfigure.draft.stand_collar import FALL_LAYERS, STAND_LAYERS
from layfigure.draft.woven.choices import woven_choices
from layfigure.draft.woven.garment_bodice import draft_bodice
from layfigure.draft.woven.garment_coat import draft_coat
from layfigure.draft.woven.garment_skirt import draft_skirt
from layfigure.draft.woven.garment_trousers import draft_trousers
from layfigure.draft.woven.options import WovenOptions
from layfigure.errors import DraftError


def draft_woven(request: DraftRequest) -> DraftResult:
    """Draft a garment of woven cloth. Raises DraftError for missing cloths and edges that leave no
    garment.
    """
    options = request.options
    assert isinstance(options, WovenOptions)
    statement = request.statement
    for slug in (statement.cloth, *statement.cloths.values()):
        if slug not in request.cloths:
            raise DraftError(
                f"there is no cloth {slug!r}.",
                where=f"piece {statement.slug}",
                advice=f"Known: {', '.join(sorted(request.cloths)) or 'none'}.",
            )
    if options.garment == "bodice":
        return draft_bodice(request, options)
    if options.garment == "coat":
        return draft_coat(request, options)
    if options.garment == "trousers":
        return draft_trousers(request, options)
    return draft_skirt(request, options)


def covered_regions(options: BaseModel, _side: str) -> dict[str, float]:
    """Where the garment lies; pleats three cloths thick, a collar's stand two and its fall two more."""
    assert isinstance(options, WovenOptions)
    if options.garment == "skirt":
        return garment_cover(("torso",), PLEATED)
    if options.garment == "trousers":
        return garment_cover(("torso", "thigh", "shank"))
    covered = garment_cover(("torso", *SLEEVES) if options.sleeves else ("torso",))
    if options.collar != "none":
        covered |= garment_cover(
            ("neck",), FALL_LAYERS if options.collar == "stand_and_fall" else STAND_LAYERS
        )
    return covered


def _unused(_statement: PieceStatement, options: BaseModel) -> dict[str, str]:
    """A skirt that closes behind and has a waistband has no facings."""
    assert isinstance(options, WovenOptions)
    if options.garment == "skirt" and options.closure == "back_zip" and options.waistband:
        return {"facing": "a skirt with a waistband that closes with a zip behind has no facings."}
    return {}


KIND = register(
    PieceKind(
        name="woven",
        summary="a garment of woven cloth: bodice, coat, pleated skirt, trousers",
        options=WovenOptions,
        draft=draft_woven,
        choices=woven_choices,
        covers=covered_regions,
        cloths={
            "lining": "of the whole garment",
            "interfacing": "of facings and waistband",
            "facing": "facings from another cloth than the garment",
        },
        unused=_unused,
        windows=True,
        backing=True,
        edges={
            "waist": "waist edge, right round; the waist itself if left out",
            "hem": "of a skirt or trousers; the knee, or the ankle, if left out",
            "hem_left": "hem on the left leg, where the two differ",
            "hem_right": "hem on the right leg",
            "cuff": "end of both sleeves; the wrist if left out",
            "cuff_left": "end of the left sleeve, where the two differ",
            "cuff_right": "end of the right sleeve",
        },
    )
)
"""The piece kind ``woven``."""
