"""What a boot cover is asked to be."""

from __future__ import annotations

from typing import Literal

from pydantic import BaseModel, ConfigDict, Field

from layfigure.files.quantities import Length

LOWEST_SHOE, LONGEST_TOE, WIDEST_LEG = 50.0, 80.0, 120.0
"""Least height of a shoe, and the most room before the toes and ease of the leg [mm]."""


class BootOptions(BaseModel):
    """A soft cover over a shoe in place of a stiff sheet."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    bottom: Literal["separate", "sewn"] = Field(
        "separate", description="separate, held by an elastic under the instep, or sewn to the shoe"
    )
    opening: Literal["back", "inside", "none"] = Field("back", description="where the zip is")
    sole: Length = Field(20.0, ge=2.0, le=60.0, description="thickness of the shoe's sole under the ball")
    heel: Length = Field(
        0.0, ge=0.0, le=200.0, description="how much higher the shoe's heel stands than its ball; 0 for flat"
    )
    sole_length: Length | None = Field(
        None, ge=120.0, le=420.0, description="the sole from heel to toe, in place of toe_room"
    )
    sole_width: Length | None = Field(
        None, ge=40.0, le=180.0, description="the sole where it is widest; as the cover hangs if not said"
    )
    sole_traced: bool = Field(False, description="the tracing is the outline of the shoe's sole")
    sole_line: Length | None = Field(
        None,
        ge=0.0,
        le=90.0,
        description="height of the lower edge above the floor; else 5 mm, or the top of the sole where sewn",
    )
    shoe: Length = Field(8.0, ge=2.0, le=40.0, description="room round the foot for the shoe's upper")
    toe_room: Length = Field(
        20.0, ge=4.0, le=LONGEST_TOE, description="how far the shoe reaches beyond the toes"
    )
    heel_room: Length = Field(10.0, ge=2.0, le=40.0, description="how far the shoe reaches behind the heel")
    shoe_top: Length = Field(
        90.0, ge=LOWEST_SHOE, le=400.0, description="height of the shoe's top above the floor"
    )
    leg_ease: Length = Field(20.0, ge=0.0, le=WIDEST_LEG, description="added to the girth of the leg")
    under: Length = Field(15.0, ge=5.0, le=40.0, description="turned under the sole where sewn to the shoe")

    @property
    def line(self) -> float:
        """Height of the lower edge above the floor [mm]."""
        if self.sole_line is not None:
            return self.sole_line
        return self.sole if self.bottom == "sewn" else 5.0
