"""Circular pieces from one girth and a length."""

from __future__ import annotations

from collections.abc import Mapping

from layfigure.draft.quick.body import WOVEN, form_of_tapes, typed
from layfigure.draft.registry import QuickBody, QuickRecipe


def _skirt(tapes: Mapping[str, float], _: float) -> QuickBody:
    return QuickBody(
        form=form_of_tapes(tapes),
        options={"top_girth": typed(tapes["waist_girth"]), "length": typed(tapes["skirt_length"])},
    )


def _cape(tapes: Mapping[str, float], _: float) -> QuickBody:
    return QuickBody(
        form=form_of_tapes(tapes),
        options={
            "use": "cape",
            "top_girth": typed(tapes["neck_base_girth"]),
            "length": typed(tapes["cape_length"]),
        },
    )


def _ruffle(tapes: Mapping[str, float], _: float) -> QuickBody:
    return QuickBody(
        form=form_of_tapes(tapes),
        options={
            "use": "ruffle",
            "ease": "0 mm",
            "fullness": 2.0,
            "top_girth": typed(tapes["edge_length"]),
            "length": typed(tapes["ruffle_depth"]),
        },
    )


RECIPES = (
    QuickRecipe(
        name="circle_skirt",
        summary="a skirt cut from part of a circle, with a waistband",
        tapes={
            "waist_girth": "round the waist, where the band will lie",
            "skirt_length": "from there to the hem, over the hip",
        },
        cloth=WOVEN,
        body=_skirt,
    ),
    QuickRecipe(
        name="cape",
        summary="a cape cut from part of a circle, with a stand collar",
        tapes={
            "neck_base_girth": "round the base of the neck",
            "cape_length": "from there down the middle of the back to the hem",
        },
        cloth=WOVEN,
        body=_cape,
    ),
    QuickRecipe(
        name="ruffle",
        summary="a ruffle that lies flat at its edge, its hem twice as long",
        tapes={
            "edge_length": "along the edge that it is sewn to",
            "ruffle_depth": "from that edge to its hem",
        },
        cloth=WOVEN,
        body=_ruffle,
    ),
)
