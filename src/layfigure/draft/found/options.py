"""Options of the kind ``found``, as written in costume.toml."""

from __future__ import annotations

from pydantic import BaseModel, ConfigDict, Field, field_validator

from layfigure.body.measures import CATALOGUE
from layfigure.files.nearest import did_you_mean
from layfigure.files.quantities import Length, Mass
from layfigure.piece.item import Source

Box = tuple[Length, Length, Length]


class PrintedOptions(BaseModel):
    """A part printed from a model: how it is scaled to the wearer, and how it is split for the printer."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    size: Box = Field(description="of the model as it comes: width, depth, height")
    fits: str | None = Field(
        None, description="measure it is scaled by, such as head_girth; printed as it comes if not said"
    )
    model_fits: Length | None = Field(
        None, gt=1.0, description="what that measure is for the model as it comes, inside"
    )
    clearance: Length = Field(5.0, ge=0.0, le=80.0, description="room between the body and its inside")
    bed: Box = Field((220.0, 220.0, 250.0), description="what the printer prints: width, depth, height")
    margin: Length = Field(5.0, ge=0.0, le=40.0, description="of the bed kept free all round")
    shell: bool = Field(True, description="a shell of one thickness, so its mass grows with its surface")

    @field_validator("fits")
    @classmethod
    def _known(cls, fits: str | None) -> str | None:
        if fits is not None and fits not in CATALOGUE:
            raise ValueError(f"there is no measure {fits!r}. {did_you_mean(fits, CATALOGUE)}".rstrip())
        return fits


class ThingOptions(BaseModel):
    """One thing that is not cut from a pattern."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    name: str = Field(min_length=1, max_length=120, description="what it is, without a brand")
    count: int = Field(1, ge=1, le=1000, description="how many")
    source: Source = Field("shop", description="where it comes from")
    size: Box | None = Field(None, description="width, depth, height as worn, for the picture of the whole")
    length: Length | None = Field(None, gt=0.0, description="of each, for what is cut from a roll")
    mass: Mass | None = Field(None, gt=0.0, description="of each")
    price: float | None = Field(None, ge=0.0, description="of each, in your own currency")
    alter: list[str] = Field(
        default_factory=list, max_length=20, description="what is changed about it, in order"
    )
    use: str = Field("", max_length=400, description="where it goes and how it is fixed")
    printed: PrintedOptions | None = Field(None, description="for a printed part")


class FoundOptions(BaseModel):
    """Bought, printed, altered or owned things."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    things: list[ThingOptions] = Field(min_length=1, max_length=100, description="the things")
