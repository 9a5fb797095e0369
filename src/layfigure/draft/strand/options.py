"""Options of a strand, as written in costume.toml."""

from __future__ import annotations

from typing import Literal

from pydantic import BaseModel, ConfigDict, Field

from layfigure.draft.strand.count import Making, StrandMake
from layfigure.files.quantities import Length, Mass, Share


class StrandOptions(BaseModel):
    """Options of a strand."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    made_of: Making = Field("chain", description="beads, rings linked to a chain, or cord")
    of: str = Field("brass", description="what beads, rings or cord are of, for the list of things to buy")
    lies: Literal["hanging", "on_body"] = Field(
        "hanging", description="hangs free from fixing to fixing, or lies on the body along the line"
    )
    swags: int = Field(1, ge=1, le=40, description="parts between two places that hold it, equally long")
    slack: Share | None = Field(
        None,
        ge=0.0,
        le=3.0,
        description="longer than the straight way by this; 15 % when hanging, none on the body if not said",
    )
    sag: Length | None = Field(
        None, ge=0.0, description="how deep each part hangs below the straight, instead of slack"
    )
    bead: Length = Field(10.0, gt=0.5, description="diameter of a bead")
    gap: Length = Field(0.0, ge=0.0, description="knot or spacer between two beads")
    ring: Length = Field(12.0, gt=1.0, description="inner diameter of a ring of the chain")
    wire: Length = Field(2.0, gt=0.2, description="thickness of the rings' wire")
    cord: Length = Field(4.0, gt=0.2, description="thickness of the cord, or of the beads' thread")
    mass_each: Mass | None = Field(None, gt=0.0, description="mass of one bead or ring")
    spare: Share = Field(0.05, ge=0.0, le=1.0, description="beads or rings to buy beyond those counted")
    fixing: Literal["ring", "sewn", "clip"] = Field(
        "ring", description="how it is fixed at each place: a small ring, stitches, or a clip that comes off"
    )
    template: bool = Field(True, description="also draw a strip with the places where it is fixed")
    over: Literal["left", "right"] = Field(
        "left", description="without a placed line: on a strap across the body over this shoulder"
    )
    low: float = Field(
        3.7, ge=2.5, le=4.5, description="without a placed line: how low that strap's hip is, as its own"
    )
    part: Literal["front", "back"] = Field(
        "front", description="without a placed line: on which side of that strap"
    )

    def make(self) -> StrandMake:
        """What the strand is made of."""
        return StrandMake(
            made_of=self.made_of,
            bead=self.bead,
            gap=self.gap,
            ring=self.ring,
            wire=self.wire,
            cord=self.cord,
        )
