"""A pouch from one thing that must fit in it."""

from __future__ import annotations

from collections.abc import Mapping

from layfigure.draft.quick.body import form_of_tapes, typed
from layfigure.draft.registry import QuickBody, QuickRecipe
from layfigure.materials.cloth import Cloth

POUCH_LEATHER = Cloth(
    slug="leather", kind="leather", name="2 mm leather", width=600.0, areal_mass=1540.0, thickness=2.0
)


def _pouch(tapes: Mapping[str, float], _: float) -> QuickBody:
    content = {
        "name": "what it is for",
        "length": typed(tapes["thing_length"]),
        "width": typed(tapes["thing_width"]),
        "thickness": typed(tapes["thing_thickness"]),
    }
    return QuickBody(form=form_of_tapes(tapes), options={"contents": [content]})


RECIPES = (
    QuickRecipe(
        name="pouch",
        summary="a box pouch for one thing, with a flap and belt loops",
        tapes={
            "thing_length": "of what must fit in, its longest side",
            "thing_width": "of what must fit in, across",
            "thing_thickness": "of what must fit in, its thinnest side",
        },
        cloth=POUCH_LEATHER,
        body=_pouch,
    ),
)
