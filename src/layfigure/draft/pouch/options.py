"""Options of the kind ``pouch``, as written in costume.toml."""

from __future__ import annotations

from typing import Literal

from pydantic import BaseModel, ConfigDict, Field, model_validator

from layfigure.draft.circular.options import Direction
from layfigure.draft.window.options import BACKING_AS, WINDOW_EDGE, BackingAs, WindowEdge
from layfigure.files.quantities import Length, Share

PouchForm = Literal["box", "flat", "roll"]
Hanging = Literal["on_belt", "below_belt"]
Closure = Literal["snap", "hook_and_loop", "buckle", "tie", "none"]


class ContentOptions(BaseModel):
    """Something that must fit in: a slab by length, width and thickness, or a round thing by diameter."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    name: str = Field(min_length=1, max_length=80, description="what it is, as you call it")
    count: int = Field(1, ge=1, le=60, description="how many")
    length: Length = Field(gt=1.0, le=1500.0, description="along the pouch, upright")
    width: Length | None = Field(None, gt=0.5, le=800.0, description="of a slab")
    thickness: Length | None = Field(None, gt=0.1, le=500.0, description="of a slab")
    diameter: Length | None = Field(None, gt=0.5, le=500.0, description="of something round")

    @model_validator(mode="after")
    def _slab_or_round(self) -> ContentOptions:
        slab = self.width is not None and self.thickness is not None
        if slab == (self.diameter is not None) or (self.diameter is not None and self.width is not None):
            raise ValueError("give width and thickness, or diameter")
        return self


class PouchOptions(BaseModel):
    """A pouch sized from what must fit in it."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    form: PouchForm = Field(
        "box", description="box (with a strip round its sides), flat, or roll with pockets"
    )
    contents: list[ContentOptions] = Field(
        default_factory=list, max_length=40, description="what must fit in it, in the order it lies"
    )
    arrangement: Literal["row", "stack", "auto"] = Field(
        "auto", description="side by side, one before the other, or whichever is smaller"
    )
    clearance: Length = Field(6.0, ge=0.0, le=60.0, description="room in every direction")
    inside_width: Length | None = Field(None, gt=10.0, description="inside, instead of by contents")
    inside_height: Length | None = Field(None, gt=10.0, description="inside, instead of by contents")
    inside_depth: Length | None = Field(
        None, gt=1.0, description="inside, front to back, instead of by contents"
    )
    flap: Share = Field(
        0.4, ge=0.0, le=1.0, description="share of the front that the flap covers; 0 % for none"
    )
    closure: Closure | None = Field(None, description="snap, or a tie for a roll, if not said")
    pocket: Share = Field(
        0.55, ge=0.1, le=0.95, description="height of a roll's pockets, share of the longest"
    )
    belt_width: Length = Field(40.0, gt=5.0, le=200.0, description="of the belt that carries it")
    belt_thickness: Length = Field(4.0, ge=0.5, le=30.0, description="of that belt, with what lies over it")
    loops: int = Field(2, ge=0, le=6, description="belt loops on the back; 0 for none")
    loop_width: Length = Field(30.0, gt=8.0, le=120.0, description="of a loop")
    hangs: Hanging | None = Field(
        None,
        description="on_belt, or below_belt by loops right round it, if it is too low; by height if unsaid",
    )
    at: Direction = Field("left", description="where on the belt it hangs, for the picture of the whole")
    window_edge: WindowEdge = WINDOW_EDGE
    backing_as: BackingAs = BACKING_AS

    @property
    def closing(self) -> Closure:
        """How it closes, as said or usual."""
        return self.closure or ("tie" if self.form == "roll" else "snap")
