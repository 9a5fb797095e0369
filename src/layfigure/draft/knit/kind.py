"""Close knit garments: leggings, tops and bodysuits, with windows and backing."""

from __future__ import annotations

from pydantic import BaseModel

from layfigure.design.design import PieceStatement
from layfigure.draft.knit.choices import knit_choices
from layfigure.draft.knit.covered import covered_regions
from layfigure.draft.knit.flat_remedy import NoCollar, NotFlat, with_what_helps
from layfigure.draft.knit.hood_piece import draft_hood
from layfigure.draft.knit.options import KnitOptions
from layfigure.draft.knit.panel_cloths import own_cloth, possible_panels
from layfigure.draft.knit.panelled import draft_panelled
from layfigure.draft.registry import DraftRequest, DraftResult, PieceKind, register


def draft_knit(request: DraftRequest) -> DraftResult:
    """Draft a close knit garment.

    Raises DraftError for a cloth that does not stretch, edges that leave no cloth, windows that do not fit.
    """
    try:
        return _drafted(request)
    except (NotFlat, NoCollar) as error:
        raise with_what_helps(error, request, _drafted) from error


def _drafted(request: DraftRequest) -> DraftResult:
    options = request.options
    assert isinstance(options, KnitOptions)
    own = own_cloth(request, options)
    if options.garment == "hood":
        return draft_hood(request, options, own.cloth, own.reduction)
    return draft_panelled(request, options, own)


def _unused(statement: PieceStatement, options: BaseModel) -> dict[str, str]:
    assert isinstance(options, KnitOptions)
    if options.garment != "hood":
        return {}
    unused = dict.fromkeys(("windows", "backing"), "a hood has no windows.")
    unused["seams"] = "a hood is cut by formula, and no seam can be put across it."
    return unused | dict.fromkeys(statement.cloths, "a hood is cut from one cloth.")


KIND = register(
    PieceKind(
        name="knit",
        summary="Close-fitting garments of stretch cloth: leggings, tops and bodysuits, with windows.",
        options=KnitOptions,
        draft=draft_knit,
        choices=knit_choices,
        covers=covered_regions,
        windows=True,
        backing=True,
        seams=True,
        panels=possible_panels,
        unused=_unused,
        edges={
            "top": "upper edge of leggings, right round the trunk; the waist where left out",
            "hem": "lower edge of each leg, or of a top",
            "hem_left": "lower edge of the left leg, where the two differ",
            "hem_right": "lower edge of the right leg, where the two differ",
            "neck": "neckline of a top or bodysuit, right round",
            "armhole": "each armhole, right round the shoulder",
            "armhole_left": "left armhole, where the two differ",
            "armhole_right": "right armhole, where the two differ",
            "leg": "each leg opening of a bodysuit, right round the top of the thigh",
            "leg_left": "left leg opening of a bodysuit, where the two differ",
            "leg_right": "right leg opening of a bodysuit, where the two differ",
            "cuff": "lower edge of each sleeve, right round the arm",
            "cuff_left": "lower edge of the left sleeve, where the two differ",
            "cuff_right": "lower edge of the right sleeve, where the two differ",
        },
    )
)
