"""Options of the kind ``woven``, as written in costume.toml."""

from __future__ import annotations

from typing import Literal

from pydantic import BaseModel, ConfigDict, Field, ValidationInfo, field_validator

from layfigure.draft.window.options import ACROSS_SEAMS, BACKING_AS, WINDOW_EDGE, BackingAs, WindowEdge
from layfigure.draft.woven.ease import USUAL_EASE, Garment, GirthEase
from layfigure.files.quantities import Length

Closure = Literal["front_buttons", "back_zip", "front_open"]


class WovenOptions(BaseModel):
    """Options of a garment of woven cloth."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    garment: Garment = Field(description="which garment")
    ease_bust: Length | None = Field(None, ge=0.0, description="room round the bust; usual for the garment")
    ease_waist: Length | None = Field(None, ge=0.0, description="room round the waist; usual for the garment")
    ease_hip: Length | None = Field(None, ge=0.0, description="room round the hips; usual for the garment")
    closure: Closure | None = Field(None, description="how it opens; usual for the garment")
    overlap: Length = Field(
        20.0, ge=0.0, le=120.0, description="how far a buttoned front laps past the centre"
    )
    button_spacing: Length = Field(90.0, ge=30.0, description="between buttons, about")
    shaping: Literal["darts", "princess"] = Field(
        "darts", description="what shapes a bodice: darts, or seams over bust and blade"
    )
    sleeves: bool = Field(True, description="whether a bodice or coat has set-in sleeves")
    cap_ease: Length = Field(
        25.0, ge=0.0, le=60.0, description="of a sleeve's cap over its armhole, all told"
    )
    collar: Literal["none", "stand", "stand_and_fall"] = Field(
        "none", description="of a bodice or coat, sewn to its neckline"
    )
    collar_height: Length = Field(38.0, ge=15.0, le=90.0, description="of a collar's stand")
    armhole_drop: Length = Field(22.0, ge=0.0, le=80.0, description="of the armhole below the armpit")
    sleeve_hem: Length | None = Field(None, gt=0.0, description="width of a sleeve's hem; as the hand needs")
    leg_hem: Length | None = Field(None, gt=0.0, description="width round a trouser hem; as the heel needs")
    pleats: int | None = Field(
        None, ge=4, le=80, description="right round a skirt, an even number; as many as lie flat if not said"
    )
    pleat_depth: Length = Field(
        25.0, ge=5.0, le=150.0, description="from the fold that shows to the fold behind"
    )
    pleat_style: Literal["knife", "box"] = Field("knife", description="all turned to the back, or in pairs")
    front_plain: Length = Field(
        80.0, ge=30.0, description="of a skirt, beside its front edge before the first pleat"
    )
    waistband: bool = Field(True, description="whether a skirt or trousers have a waistband")
    waist_facing: bool = Field(
        False,
        description="whether a bodice's waist edge is faced, not hemmed; a skirt or trousers without a "
        "waistband are faced anyway",
    )
    waistband_depth: Length = Field(40.0, ge=15.0, le=120.0, description="finished depth of the waistband")
    seam_allowance: Length = Field(15.0, ge=5.0, le=40.0, description="of seams")
    let_out: Length = Field(
        25.0, ge=5.0, le=60.0, description="allowance at side and back seams, to let out later"
    )
    hem_allowance: Length = Field(40.0, ge=0.0, le=100.0, description="turned up at a hem")
    facing_width: Length = Field(60.0, ge=25.0, le=150.0, description="of facings")
    window_edge: WindowEdge = WINDOW_EDGE
    backing_as: BackingAs = BACKING_AS
    across_seams: bool = ACROSS_SEAMS

    @field_validator("pleats")
    @classmethod
    def _even(cls, pleats: int | None) -> int | None:
        if pleats is not None and pleats % 2:
            raise ValueError("give an even number of pleats, so that left and right are alike")
        return pleats

    @field_validator("collar")
    @classmethod
    def _on_a_neckline(cls, collar: str, info: ValidationInfo) -> str:
        garment = info.data.get("garment")
        if collar != "none" and garment in ("skirt", "trousers"):
            raise ValueError(f"a {garment} piece has no neckline: leave the collar out")
        return collar

    @field_validator("waist_facing")
    @classmethod
    def _of_a_bodice(cls, faced: bool, info: ValidationInfo) -> bool:
        garment = info.data.get("garment")
        if faced and garment == "coat":
            raise ValueError("the waist edge of a coat is sewn to its skirt: leave the facing out")
        if faced and garment in ("skirt", "trousers"):
            raise ValueError(f"{garment} without a waistband are faced: write waistband = false instead")
        return faced

    @property
    def ease(self) -> GirthEase:
        """Ease of this garment: the usual, overruled where the maker says."""
        usual = USUAL_EASE[self.garment]
        return GirthEase(
            bust=usual.bust if self.ease_bust is None else self.ease_bust,
            waist=usual.waist if self.ease_waist is None else self.ease_waist,
            hip=usual.hip if self.ease_hip is None else self.ease_hip,
            arm=usual.arm,
        )
