"""Options of the kind ``circular``, as written in costume.toml."""

from __future__ import annotations

from typing import Literal

from pydantic import BaseModel, ConfigDict, Field, model_validator

from layfigure.draft.window.options import ACROSS_SEAMS, BACKING_AS, WINDOW_EDGE, BackingAs, WindowEdge
from layfigure.files.quantities import Length, Share

Use = Literal["skirt", "cape", "ruffle"]
Direction = Literal["front", "left", "back", "right"]
TopFinish = Literal["band", "elastic", "collar", "binding", "sewn"]

TURN: dict[Direction, float] = {"front": 0.0, "left": 0.25, "back": 0.5, "right": 0.75}
"""In turns from the front toward the wearer's left."""

_SHARES = {
    "full": 1.0,
    "three_quarters": 0.75,
    "half": 0.5,
    "third": 1.0 / 3.0,
    "quarter": 0.25,
    "straight": 0.0,
}


class CircularOptions(BaseModel):
    """A skirt, cape or ruffle cut from part of a circle."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    use: Use = Field("skirt", description="what it is: skirt, cape or ruffle")
    circle: Literal["full", "three_quarters", "half", "third", "quarter", "straight"] = Field(
        "half", description="how much of a circle; straight is a strip, to be pleated or gathered"
    )
    share: Share | None = Field(
        None, ge=0.0, le=8.0, description="share of a circle, instead of circle: 60 %; above 100 % for more"
    )
    fullness: float | None = Field(
        None, ge=1.0, le=10.0, description="hem over top edge, instead of circle, for a ruffle: 2.5"
    )
    top_girth: Length | None = Field(
        None, gt=50.0, description="length of the top edge where no edge of the costume gives it"
    )
    ease: Length = Field(10.0, ge=-200.0, le=200.0, description="added to the top edge's own length")
    length: Length | None = Field(
        None, gt=10.0, description="down the cloth from the top edge, where length_at says"
    )
    length_at: Direction = Field("back", description="where the length is measured")
    hem_height: Length | None = Field(None, ge=0.0, description="height of the hem above the floor instead")
    levelled: bool = Field(True, description="level the hem on the body; else one length all round")
    opens: Direction | Literal["nowhere"] | None = Field(
        None, description="where it opens: a skirt at the back, a cape in front, a ruffle nowhere"
    )
    panels: int | None = Field(
        None, ge=1, le=48, description="how many pieces; as few as the cloth's width allows if not said"
    )
    grain: Literal["centre", "edge"] = Field(
        "centre", description="grain of the cloth along the middle of each panel, or along its first edge"
    )
    top_finish: TopFinish | None = Field(
        None,
        description="band, elastic in a casing, stand collar, binding, or sewn to another edge; "
        "a skirt has a band, a cape a collar, a ruffle is sewn on",
    )
    band_depth: Length = Field(35.0, gt=5.0, le=200.0, description="of a band or casing, finished")
    overlap: Length = Field(30.0, ge=0.0, le=150.0, description="of a band's ends where it closes")
    collar_height: Length = Field(50.0, gt=10.0, le=250.0, description="of a stand collar at the back")
    collar_lean: Length = Field(
        20.0, ge=-200.0, le=200.0, description="how much shorter a collar's upper edge is: it leans in"
    )
    hood: bool = Field(False, description="a hood as well, in two halves, sewn to the neck edge")
    passes_over: Length | None = Field(
        None, gt=50.0, description="girth that an elastic top must pass over, where there is no body to ask"
    )
    gather: float = Field(
        1.0, ge=1.0, le=6.0, description="the top edge is cut so many times longer and drawn up: 2"
    )
    pleats: Literal["none", "knife", "box", "inverted"] = Field("none", description="pleats at the top edge")
    pleat_count: int = Field(12, ge=1, le=200, description="how many pleats")
    pleat_depth: Length = Field(25.0, gt=2.0, le=200.0, description="how far each reaches under its fold")
    hem_allowance: Length | None = Field(None, ge=0.0, le=150.0, description="of the hem; else by material")
    window_edge: WindowEdge = WINDOW_EDGE
    backing_as: BackingAs = BACKING_AS
    across_seams: bool = ACROSS_SEAMS

    @model_validator(mode="after")
    def _one_of_each(self) -> CircularOptions:
        if self.share is not None and self.fullness is not None:
            raise ValueError("give share or fullness, not both")
        if self.length is not None and self.hem_height is not None:
            raise ValueError("give length or hem_height, not both")
        if self.gather > 1.0 and self.pleats != "none":
            raise ValueError("gather the top edge or pleat it, not both")
        return self

    @property
    def asked_share(self) -> float:
        """Share of a circle, where fullness does not decide it."""
        return _SHARES[self.circle] if self.share is None else self.share

    @property
    def finish(self) -> TopFinish:
        """The finish of the top edge, as said or usual."""
        usual: dict[Use, TopFinish] = {"skirt": "band", "cape": "collar", "ruffle": "sewn"}
        return self.top_finish or usual[self.use]

    @property
    def opening(self) -> Direction | None:
        """Where it opens, as said or usual; None for nowhere."""
        usual: dict[Use, Direction | None] = {"skirt": "back", "cape": "front", "ruffle": None}
        if self.opens is None:
            return None if self.finish == "elastic" else usual[self.use]
        return None if self.opens == "nowhere" else self.opens
