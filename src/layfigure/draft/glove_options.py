"""Options of a glove, as written in costume.toml."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from pydantic import BaseModel, ConfigDict, Field

from layfigure.files.quantities import Length, Share
from layfigure.materials.cloth import Cloth, MaterialKind


class GloveOptions(BaseModel):
    """Options of a glove."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    style: Literal["fingerless", "full", "gauntlet"] = Field(
        "full", description="fingers cut short, whole fingers, or whole with a cuff up the forearm"
    )
    construction: Literal["auto", "strips", "two_piece"] = Field(
        "auto",
        description="strips: set-in thumb and strips between the fingers; two_piece: back and palm alone, "
        "for knits; auto: by the material",
    )
    fingers: Share | None = Field(
        None, gt=0.1, le=1.0, description="share of each finger that is covered; by style if not said"
    )
    thumb: Share | None = Field(
        None, gt=0.1, le=1.0, description="share of the thumb that is covered; as the fingers if not said"
    )
    ease: Share | None = Field(
        None,
        ge=-0.15,
        le=0.3,
        description="added to all girths, negative for a knit; by material if not said",
    )
    length_ease: Share | None = Field(
        None, ge=-0.05, le=0.15, description="added to the length of the digits; by material if not said"
    )
    allowance: Length | None = Field(
        None, ge=1.0, le=8.0, description="seam allowance; by material if not said"
    )
    hem: Length | None = Field(
        None, ge=0.0, le=40.0, description="hem of cuff and open fingers; by material if not said"
    )
    opening: Literal["auto", "none", "slit", "elastic"] = Field(
        "auto", description="how the hand gets in where the wrist is too narrow for it"
    )
    pencil: Length = Field(0.0, ge=0.0, le=8.0, description="how far outside the hand a traced outline runs")


@dataclass(frozen=True, slots=True, kw_only=True)
class GlovePractice:
    """How gloves of one kind of material are made; lengths [mm], the rest as shares."""

    ease: float
    length_ease: float
    seam: float
    hem: float


_PRACTICE: dict[MaterialKind, GlovePractice] = {
    "leather": GlovePractice(ease=0.04, length_ease=0.03, seam=3.0, hem=0.0),
    "woven": GlovePractice(ease=0.10, length_ease=0.04, seam=5.0, hem=12.0),
    "knit": GlovePractice(ease=0.03, length_ease=0.0, seam=4.0, hem=12.0),
    "mesh": GlovePractice(ease=0.03, length_ease=0.0, seam=4.0, hem=8.0),
    "paper": GlovePractice(ease=0.10, length_ease=0.04, seam=5.0, hem=0.0),
}


def glove_practice(cloth: Cloth) -> GlovePractice | None:
    """Practice for a material; None for sheets too stiff to sew round a finger. Common practice, no source:
    thin leather gives a little and its seams are trimmed to 3 mm, woven cloth needs room to bend in.
    A knit's ease here is for one that hardly stretches; others are made smaller than the hand.
    """
    return _PRACTICE.get(cloth.kind)
