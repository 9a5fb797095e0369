"""Options of a glove, as written in costume.toml."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from pydantic import BaseModel, ConfigDict, Field

from layfigure.draft.glove.fit import GloveFit
from layfigure.draft.window.options import ACROSS_SEAMS, BACKING_AS, WINDOW_EDGE, BackingAs, WindowEdge
from layfigure.errors import DraftError
from layfigure.files.quantities import Length, Share
from layfigure.materials.cloth import Cloth, MaterialKind
from layfigure.materials.stretch import LEAST_STRETCH, choose_reduction


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
    window_edge: WindowEdge = WINDOW_EDGE
    backing_as: BackingAs = BACKING_AS
    across_seams: bool = ACROSS_SEAMS


SLOT_SPARE = 0.3
"""Between two allowances in a slot, half of the cut itself [mm]."""

FAN = {True: 3.0, False: 7.0}
"""From one finger to the next on the table, with and without strips [degrees]."""


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


def fit_of(options: GloveOptions, practice: GlovePractice, cloth: Cloth, beneath: float) -> GloveFit:
    """What an options table and a material make of a hand. beneath : thickness worn under the glove [mm].

    Raises DraftError for two pieces of a cloth that hardly stretches.
    """
    stretchy = cloth.kind in ("knit", "mesh") and cloth.stretch_across >= LEAST_STRETCH
    strips = not stretchy if options.construction == "auto" else options.construction == "strips"
    if not strips and not stretchy:
        raise DraftError(
            f"{cloth.name} does not stretch enough for a glove of two pieces.",
            advice="Take construction = 'strips', or a knit that stretches a quarter of its length.",
        )
    ease, along = practice.ease, practice.length_ease
    if stretchy:
        reduction = choose_reduction(cloth)
        ease, along = -reduction.around, -reduction.along
    seam = practice.seam if options.allowance is None else options.allowance
    return GloveFit(
        round=ease if options.ease is None else options.ease,
        along=along if options.length_ease is None else options.length_ease,
        beneath=beneath,
        slot=2.0 * (seam + SLOT_SPARE),
        strips=strips,
        fan=FAN[strips],
        at_web=0.5 * cloth.stretch_across,
        thumb_in_outline=not strips,
    )
