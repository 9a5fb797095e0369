"""What a maker may say about a close knit garment."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import AfterValidator, BaseModel, ConfigDict, Field

from layfigure.draft.panels.neckline import Neckline, NecklineShape
from layfigure.errors import UnitError
from layfigure.units import parse_length, parse_share

GarmentName = Literal["leggings", "shorts", "bodysuit", "top", "undershirt", "hood"]
SleeveLength = Literal["long", "three_quarter", "elbow", "short"]
Finish = Literal["raw", "turned", "elastic"]

FINISH_ALLOWANCE: dict[Finish, float] = {"raw": 0.0, "turned": 20.0, "elastic": 12.0}
"""Beyond the finished edge [mm]: knit hem 20 to 25 or raw; narrow elastic turned in once (common
practice)."""


NECKLINES: dict[str, Neckline] = {
    "round": Neckline(),
    "v": Neckline(shape="v", front=110.0),
    "stand": Neckline(shape="stand", front=0.0, back=0.0, width=0.1),
    "undershirt": Neckline(front=90.0, back=60.0, width=0.4),
}
"""Usual necklines; depths are common practice, no source."""
UNDERSHIRT_ARMHOLE = 30.0
"""How far in from the shoulder point an undershirt's straps end [mm]; common practice."""


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
    """Options of kind ``knit``."""

    model_config = ConfigDict(extra="forbid")

    garment: GarmentName = Field("leggings", description="what to draft")
    reduction_round: Share | None = Field(
        None, description="how much smaller than the body, round it; the cloth decides where not given"
    )
    reduction_along: Share | None = Field(None, description="how much shorter than the body, along it")
    seams: Literal["auto", "plain", "princess"] = Field(
        "auto", description="front of a top or bodysuit: in one piece, or in three by seams over the bust"
    )
    panels_a_leg: Literal[1, 2] = Field(2, description="a leg of one or two panels")
    sleeves: bool | None = Field(None, description="set-in sleeves; an undershirt has none if not said")
    sleeve_length: SleeveLength = Field("long", description="where sleeves end, unless cuffs are placed")
    neckline: NecklineShape = Field("round", description="shape of the neckline, unless it is placed")
    neck_depth: Length | None = Field(None, description="below the pit of the neck, at the front")
    back_depth: Length | None = Field(None, description="below the nape: 30 cm makes an open back")
    neck_width: Share | None = Field(None, description="share of the shoulder, from the neck outward")
    collar_height: Length = Field("40 mm", description="height of a stand collar")
    face_width: Length = Field("150 mm", description="opening of a hood at the brow, along the skin")
    armhole_in: Length | None = Field(None, description="armhole in from the shoulder point")
    seam_allowance: Length = Field("7 mm", description="as wide as an overlocked seam")
    hem: Finish = Field("turned", description="how hems are finished")
    waist: Finish = Field("elastic", description="how the upper edge is finished, or the hem of a top")
    leg_opening: Finish = Field("elastic", description="how leg openings are finished")
    neck: Finish = Field("elastic", description="how neckline and armholes are finished")
    cuff: Finish = Field("turned", description="how cuffs are finished")
    backing_as: Literal["panel", "inset"] = Field(
        "panel", description="backing cut as the whole panel and trimmed, or set into each window"
    )
    window_edge: Literal["raw", "folded"] = Field(
        "raw", description="edge of a window without backing: as cut, or folded back"
    )
    across_seams: bool = Field(False, description="windows may run across seams; they need a backing")
    closure: bool = Field(False, description="opens at the centre back with a zip")

    @property
    def has_sleeves(self) -> bool:
        """Whether sleeves are set in."""
        return self.garment != "undershirt" if self.sleeves is None else self.sleeves

    @property
    def armhole_in_by(self) -> float:
        """How far in on the shoulder the armhole lies [mm]."""
        if self.armhole_in is not None:
            return parse_length(self.armhole_in)
        return UNDERSHIRT_ARMHOLE if self.garment == "undershirt" else 0.0

    def cut_neckline(self) -> Neckline:
        """The neckline asked for, the usual one of its garment where nothing is."""
        usual = NECKLINES["undershirt" if self.garment == "undershirt" else self.neckline]
        return Neckline(
            shape=self.neckline,
            front=usual.front if self.neck_depth is None else parse_length(self.neck_depth),
            back=usual.back if self.back_depth is None else parse_length(self.back_depth),
            width=usual.width if self.neck_width is None else parse_share(self.neck_width),
        )

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
