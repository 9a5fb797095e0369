"""Options of the kind ``hanging``, as written in costume.toml."""

from __future__ import annotations

from typing import Literal

from pydantic import BaseModel, ConfigDict, Field, model_validator

from layfigure.draft.circular.options import Direction
from layfigure.draft.window.options import BACKING_AS, WINDOW_EDGE, BackingAs, WindowEdge
from layfigure.files.quantities import Angle, Length, Share

HangingForm = Literal["panel", "banner", "tail", "sash"]
Hem = Literal["straight", "point", "swallowtail", "points", "curve", "scallops"]
Carried = Literal["loops", "channel", "hook_and_loop", "sewn"]
Surface = Literal["smooth", "textured", "pile", "coated"]


class ArtworkOptions(BaseModel):
    """A motif, repeated with symmetry."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    motif: Literal["star", "petal", "swirl", "ring"] | None = Field(
        None, description="a simple motif to start from; or give path, points, or trace.file"
    )
    path: str | None = Field(
        None, max_length=200_000, description="motif as SVG path data, about the origin: M0 10 L5 40 Z"
    )
    points: list[tuple[float, float]] | None = Field(
        None, min_length=2, max_length=5000, description="motif as points about the origin, y up"
    )
    open: bool = Field(False, description="points do not run back to their start")
    order: int = Field(1, ge=1, le=72, description="how many times the motif is turned about the centre")
    mirror: bool = Field(False, description="each turn with its mirror image")
    turn: Angle = Field(0.0, description="the whole turned, clockwise")
    size: Length | None = Field(None, gt=5.0, description="across; 70 % of the width if not said")
    down: Share = Field(0.4, ge=0.0, le=1.0, description="where its centre lies, share of the length")

    @model_validator(mode="after")
    def _one_motif(self) -> ArtworkOptions:
        if sum(given is not None for given in (self.motif, self.path, self.points)) > 1:
            raise ValueError("give one of motif, path and points")
        return self

    @property
    def traced(self) -> bool:
        """The motif is what the piece's ``trace`` holds."""
        return self.motif is None and self.path is None and self.points is None


class HangingOptions(BaseModel):
    """A panel, banner, tail or sash that hangs from a line."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    form: HangingForm = Field(
        "panel", description="panel, banner (on a rod), tail (pointed), sash (tied round)"
    )
    width: Length | None = Field(
        None, gt=10.0, description="at the top; as long as the top line if that does not go round"
    )
    at: Direction = Field("front", description="where it hangs, on a top line that goes right round")
    length: Length | None = Field(None, gt=20.0, description="from the top line to the lowest place")
    hem_height: Length | None = Field(None, ge=0.0, description="height of the hem above the floor instead")
    over: Literal["body", "cape"] = Field(
        "body", description="what it hangs over: the body, or a cape that hides its arms too"
    )
    flare: float = Field(1.0, ge=0.1, le=5.0, description="width at the hem over width at the top")
    hem: Hem | None = Field(None, description="shape of the hem; a tail ends in a point")
    hem_depth: Length = Field(60.0, ge=0.0, description="how deep points, curve or scallops are")
    hem_count: int = Field(3, ge=2, le=40, description="how many points or scallops")
    carried: Carried | None = Field(
        None, description="loops, channel, hook_and_loop or sewn; a banner has a channel"
    )
    carrier_width: Length = Field(40.0, gt=2.0, le=300.0, description="of the belt or rod that carries it")
    carrier_thickness: Length = Field(5.0, ge=0.5, le=60.0, description="of the belt or rod")
    loops: int = Field(3, ge=2, le=12, description="how many loops")
    surface: Surface = Field("smooth", description="of the cloth, which decides how artwork is transferred")
    artwork: ArtworkOptions | None = Field(None, description="a motif to transfer to it")
    girth: Length | None = Field(None, gt=100.0, description="a sash's way round, if no edge gives it")
    turns: int = Field(1, ge=1, le=4, description="how often a sash goes round")
    tail_length: Length = Field(500.0, gt=20.0, description="of each end of a sash, below the knot")
    knot: Length = Field(250.0, ge=0.0, description="what a sash's knot takes up, both ends together")
    window_edge: WindowEdge = WINDOW_EDGE
    backing_as: BackingAs = BACKING_AS

    @model_validator(mode="after")
    def _one_length(self) -> HangingOptions:
        if self.length is not None and self.hem_height is not None:
            raise ValueError("give length or hem_height, not both")
        return self

    @property
    def hem_shape(self) -> Hem:
        """The hem, as said or usual."""
        return self.hem or ("point" if self.form == "tail" else "straight")

    @property
    def carrying(self) -> Carried:
        """How it is carried, as said or usual."""
        return self.carried or (
            "channel" if self.form == "banner" else "loops" if self.form == "panel" else "sewn"
        )
