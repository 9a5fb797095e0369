"""An owned paper pattern, as its envelope and its sheets describe it."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BaseModel, Field, field_validator, model_validator

from layfigure.body.measures import ALIASES, CATALOGUE
from layfigure.errors import MeasureError
from layfigure.files.nearest import did_you_mean
from layfigure.files.quantities import Length, Share

Opening = Literal["waist", "neck", "wrist", "ankle"]

PASSES: dict[Opening, tuple[str, ...]] = {
    "waist": ("hip_girth",),
    "neck": ("head_girth",),
    "wrist": ("hand_with_thumb_girth",),
    "ankle": ("heel_girth",),
}
"""What must pass an opening that has no closure."""

SizeTable = dict[Annotated[str, Field(min_length=1, max_length=20)], dict[str, Length]]


class BasePattern(BaseModel, extra="forbid", frozen=True):
    """One pattern.

    body : size to the body measures it is drawn for. finished : size to the sewn garment's own measures, as
    far as they are printed. Both go by the names of the measures of a wearer.
    """

    name: Annotated[str, Field(min_length=1, max_length=80, description="as it is called")]
    body: Annotated[SizeTable, Field(min_length=1, description="size to the body it is drawn for")]
    finished: SizeTable = Field({}, description="size to finished measures, as far as printed")
    design_stretch: Share = Field(0.0, ge=0.0, le=3.0, description="stretch the pattern asks of its cloth")
    openings: dict[Opening, Length] = Field({}, description="finished girth of openings without a closure")
    features: list[Annotated[str, Field(max_length=60)]] = Field(
        [], description="what it has, such as 'round neck', 'long sleeves'"
    )
    seams_round: int = Field(4, ge=1, le=24, description="seam edges that a change of girth is shared over")
    pieces_traced: str = Field("", max_length=20, description="the size that the tracing shows")

    @field_validator("body", "finished")
    @classmethod
    def _known_measures(cls, table: dict[str, dict[str, float]]) -> dict[str, dict[str, float]]:
        return {
            size: {_stem(name): value for name, value in measures.items()} for size, measures in table.items()
        }

    @model_validator(mode="after")
    def _same_sizes(self) -> BasePattern:
        for size in self.finished:
            if size not in self.body:
                raise ValueError(
                    f"size {size!r} has finished measures and no body: {did_you_mean(size, self.body)}"
                )
        if self.pieces_traced and self.pieces_traced not in self.body:
            raise ValueError(f"size {self.pieces_traced!r} is not in its table")
        return self


def _stem(name: str) -> str:
    """The measure that a column of a size table means; a table has no left and right."""
    stem = ALIASES.get(name, name)
    if stem not in CATALOGUE or CATALOGUE[stem].kind == "mass":
        error = MeasureError(f"there is no measure {name!r}.", advice=did_you_mean(name, CATALOGUE))
        raise ValueError(str(error))
    return stem
