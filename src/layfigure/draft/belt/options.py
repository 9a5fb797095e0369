"""Options of a belt, as a costume file gives them, and what follows from them alone."""

from __future__ import annotations

from typing import Literal

from pydantic import BaseModel, ConfigDict, Field

from layfigure.draft.belt.hole_count import HoleCount
from layfigure.draft.belt.parts import DropOptions
from layfigure.draft.belt.strap import HoleRow
from layfigure.draft.window.options import BACKING_AS, WINDOW_EDGE, BackingAs, WindowEdge
from layfigure.draft.wrap.plan import Place
from layfigure.files.quantities import Length


class BeltOptions(BaseModel):
    """Options of a belt, as written in costume.toml."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    shape: Literal["straight", "contour", "slung"] = Field(
        "straight", description="straight strap; contour: shaped to the slope of the hips; slung: tilted"
    )
    width: Length = Field(40.0, gt=5.0, le=250.0, description="width of the belt")
    fastening: Literal["buckle", "hook_and_loop"] = Field("buckle", description="how it closes")
    opens: Place = Field("front", description="where it opens")
    air: Length = Field(2.0, ge=0.0, le=60.0, description="room between the layer below and the belt")
    holes: HoleCount = 5
    hole_spacing: Length | None = Field(
        None, gt=5.0, description="between holes; the belt's width if not said"
    )
    overlap: Length = Field(50.0, ge=20.0, description="overlap of a hook-and-loop end")
    keepers: int = Field(1, ge=0, le=4, description="loops that hold the tip of a buckled belt down")
    drops: list[DropOptions] = Field([], max_length=20, description="straps that hang from it")
    lining: bool = Field(False, description="also cut a lining")
    lining_allowance: Length = Field(10.0, ge=0.0, description="of the lining, on its long edges")
    window_edge: WindowEdge = WINDOW_EDGE
    backing_as: BackingAs = BACKING_AS

    @property
    def buckled(self) -> bool:
        """Whether a buckle closes it, and not hook and loop."""
        return self.fastening == "buckle"

    @property
    def hole_row(self) -> HoleRow:
        """Holes of a buckled belt."""
        return HoleRow(count=self.holes, spacing=self.hole_spacing or self.width, width=self.width)

    @property
    def beyond(self) -> float:
        """How far it runs on under itself past once round [mm]."""
        return self.hole_row.beyond if self.buckled else self.overlap
