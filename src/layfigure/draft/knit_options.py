"""What a maker may say about a close knit garment."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import AfterValidator, BaseModel, ConfigDict

from layfigure.errors import UnitError
from layfigure.units import parse_length, parse_share

GarmentName = Literal["leggings", "top", "bodysuit"]
Finish = Literal["raw", "turned", "elastic"]

FINISH_ALLOWANCE: dict[Finish, float] = {"raw": 0.0, "turned": 20.0, "elastic": 12.0}
"""Beyond the finished edge [mm]: knit hem 20 to 25 or raw; narrow elastic turned in once (common
practice)."""


def _checked_share(text: str) -> str:
    try:
        parse_share(text)
    except UnitError as error:
        raise ValueError(str(error)) from error
    return text


def _checked_length(text: str) -> str:
    try:
        parse_length(text)
    except UnitError as error:
        raise ValueError(str(error)) from error
    return text


Share = Annotated[str, AfterValidator(_checked_share)]
Length = Annotated[str, AfterValidator(_checked_length)]


class KnitOptions(BaseModel):
    """Options of kind ``knit``.

    garment : what to draft. reduction_round, reduction_along : how much smaller than the body, such as
    "10 %"; the cloth decides where not given. panels_a_leg : a leg of one or two panels. sleeves : set-in
    sleeves on a top or bodysuit. seam_allowance : such as "7 mm" for an overlocked seam.
    hem, waist, leg_opening, neck, cuff : how each opening is finished. closure : opens at the centre back.
    """

    model_config = ConfigDict(extra="forbid")

    garment: GarmentName = "leggings"
    reduction_round: Share | None = None
    reduction_along: Share | None = None
    panels_a_leg: Literal[1, 2] = 2
    sleeves: bool = True
    seam_allowance: Length = "7 mm"
    hem: Finish = "turned"
    waist: Finish = "elastic"
    leg_opening: Finish = "elastic"
    neck: Finish = "elastic"
    cuff: Finish = "turned"
    closure: bool = False

    def finish_of(self, opening: str) -> Finish:
        """How an opening is finished: waist, ankle, wrist, neck, leg or armhole."""
        named: dict[str, Finish] = {
            "waist": self.waist,
            "ankle": self.hem,
            "wrist": self.cuff,
            "neck": self.neck,
            "leg": self.leg_opening,
            "armhole": self.neck,
        }
        return named[opening]
