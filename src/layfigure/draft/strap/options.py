"""Options of straps, as written in costume.toml, and what they make of one strap."""

from __future__ import annotations

from typing import Literal

from pydantic import BaseModel, ConfigDict, Field

from layfigure.draft.belt.hole_count import HoleCount
from layfigure.draft.belt.strap import HoleRow
from layfigure.draft.strap.fasten import hook_and_loop_lap
from layfigure.draft.strap.keepers import HeldBy
from layfigure.draft.strap.passes_at import HIGHEST_STATION, LOWEST_STATION
from layfigure.draft.strap.pieces import SEWN_LAP, StrapMake
from layfigure.draft.strap.slots import SlotRow
from layfigure.draft.window.options import BACKING_AS, WINDOW_EDGE, BackingAs, WindowEdge
from layfigure.files.quantities import Length, Mass, Share

RIVET = 4.0
"""Shank of a rivet that slides in a slot [mm]."""


class StrapOptions(BaseModel):
    """Options of a strap or harness, as written in costume.toml."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    over: Literal["left", "right"] = Field(
        "left", description="without a placed line: across the body over this shoulder to the other hip"
    )
    low: float = Field(
        3.7,
        ge=LOWEST_STATION,
        le=HIGHEST_STATION,
        description="without a placed line: how low on the hip, counted from nape 0, bust 1, under-bust 2, "
        "waist 3, hip 4",
    )
    width: Length = Field(40.0, gt=5.0, le=150.0, description="width of the strap")
    fastening: Literal["buckle", "hook_and_loop", "snaps", "sewn"] = Field(
        "buckle", description="how it is closed and made to fit"
    )
    fastens_at: Share = Field(
        0.3, ge=0.0, le=1.0, description="where along it the ends meet, from its start or highest place"
    )
    holes: HoleCount = 5
    hole_spacing: Length | None = Field(
        None, gt=5.0, description="between holes; the strap's width if not said"
    )
    overlap: Length | None = Field(None, ge=20.0, description="overlap of an end that is not buckled")
    tab: Length = Field(40.0, ge=0.0, le=150.0, description="added to ends that are folded or riveted")
    air: Length = Field(1.0, ge=0.0, le=60.0, description="room between the layer below and the strap")
    held_by: HeldBy = Field(
        "friction",
        description="what holds it where it turns aside: friction, or a snap or loop on the layer below",
    )
    carries: Mass | None = Field(None, gt=0.0, description="mass that hangs from it")
    moving: Literal["walking", "dancing"] = Field(
        "walking", description="dancing or crowds ask for more than walking"
    )
    plates: int = Field(0, ge=0, le=30, description="overlapping plates riveted to it, 0 for none")
    plate_height: Length = Field(50.0, gt=10.0, description="height of one plate")
    plate_overlap: Length = Field(20.0, gt=0.0, description="overlap of neighbours pushed together")
    plate_travel: Length = Field(12.0, ge=0.0, description="how far each plate slides")
    window_edge: WindowEdge = WINDOW_EDGE
    backing_as: BackingAs = BACKING_AS


def make_of(options: StrapOptions, load: float) -> StrapMake:
    """How one strap is made. load : that its fastening must hold [N]."""
    lap = options.overlap
    if lap is None:
        lap = {
            "hook_and_loop": hook_and_loop_lap(options.width, load),
            "snaps": max(40.0, options.width),
            "sewn": SEWN_LAP,
            "buckle": 0.0,
        }[options.fastening]
    slots = None
    if options.plates >= 2:
        slots = SlotRow(
            count=options.plates,
            plate=options.plate_height,
            overlap=options.plate_overlap,
            travel=options.plate_travel,
            rivet=RIVET,
            first=max(12.0, 0.5 * options.plate_overlap),
        )
    return StrapMake(
        width=options.width,
        fastening=options.fastening,
        lap=lap,
        row=HoleRow(count=options.holes, spacing=options.hole_spacing or options.width, width=options.width),
        tab=options.tab,
        at=options.fastens_at,
        slots=slots,
    )
