"""Hanging pieces from a width and a length, or a girth."""

from __future__ import annotations

from collections.abc import Mapping

from layfigure.draft.quick.body import WOVEN, form_of_tapes, typed
from layfigure.draft.registry import QuickBody, QuickRecipe


def _panel(tapes: Mapping[str, float], _: float) -> QuickBody:
    return QuickBody(
        form=form_of_tapes(tapes),
        options={"width": typed(tapes["panel_width"]), "length": typed(tapes["panel_length"])},
    )


def _sash(tapes: Mapping[str, float], _: float) -> QuickBody:
    return QuickBody(
        form=form_of_tapes(tapes),
        options={"form": "sash", "girth": typed(tapes["sash_girth"]), "width": typed(tapes["sash_width"])},
    )


RECIPES = (
    QuickRecipe(
        name="hanging_panel",
        summary="a panel that hangs from a belt by loops",
        tapes={"panel_width": "across its top", "panel_length": "from the belt to its hem"},
        cloth=WOVEN,
        body=_panel,
    ),
    QuickRecipe(
        name="sash",
        summary="a sash, tied, with two ends",
        tapes={
            "sash_girth": "round the body, over the costume, where it will lie",
            "sash_width": "of the sash, flat",
        },
        cloth=WOVEN,
        body=_sash,
    ),
)
