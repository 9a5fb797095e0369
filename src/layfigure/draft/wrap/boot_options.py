"""What a boot cover is asked to be."""

from __future__ import annotations

from typing import Literal

from pydantic import BaseModel, ConfigDict, Field

from layfigure.files.quantities import Length


class BootOptions(BaseModel):
    """A soft cover over a shoe in place of a stiff sheet."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    bottom: Literal["separate", "sewn"] = Field(
        "separate", description="separate, held by an elastic under the instep, or sewn to the shoe"
    )
    opening: Literal["back", "inside", "none"] = Field("back", description="where the zip is")
    sole: Length = Field(20.0, ge=2.0, le=60.0, description="thickness of the shoe's sole, flat shoes only")
    sole_line: Length | None = Field(
        None,
        ge=0.0,
        le=90.0,
        description="height of the lower edge above the floor; else 5 mm, or the top of the sole where sewn",
    )
    shoe: Length = Field(8.0, ge=2.0, le=40.0, description="room round the foot for the shoe's upper")
    toe_room: Length = Field(20.0, ge=4.0, le=80.0, description="how far the shoe reaches beyond the toes")
    heel_room: Length = Field(10.0, ge=2.0, le=40.0, description="how far the shoe reaches behind the heel")
    shoe_top: Length = Field(90.0, ge=50.0, le=400.0, description="height of the shoe's top above the floor")
    leg_ease: Length = Field(20.0, ge=0.0, le=120.0, description="added to the girth of the leg")
    under: Length = Field(15.0, ge=5.0, le=40.0, description="turned under the sole where sewn to the shoe")

    @property
    def line(self) -> float:
        """Height of the lower edge above the floor [mm]."""
        if self.sole_line is not None:
            return self.sole_line
        return self.sole if self.bottom == "sewn" else 5.0
