"""What the tables of ``costume.toml`` may hold, as they are typed."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import BaseModel, Field

from layfigure.body.levels import Side
from layfigure.design.design import Meaning
from layfigure.design.motif import ShapeName, Spacing
from layfigure.files.quantities import Angle, Length, Share

FileSide = Literal["left", "right", "middle", "both"]
Slug = Annotated[str, Field(pattern=r"^[a-z][a-z0-9_]*$", max_length=60)]
Remark = Annotated[str, Field(min_length=1, max_length=500)]
BOTH_SIDES: tuple[Side, ...] = ("left", "right")


class ReferenceFile(BaseModel, extra="forbid"):
    """A picture in the ``references`` folder."""

    file: Annotated[str, Field(max_length=300)]
    photograph: bool = False
    note: Annotated[str, Field(max_length=2000)] = ""


class ErratumFile(BaseModel, extra="forbid"):
    """What an edition changed."""

    edition: Annotated[int, Field(ge=2)]
    what: Annotated[str, Field(min_length=1, max_length=2000)]
    pieces: list[Slug] = []


class EdgeFile(BaseModel, extra="forbid"):
    """One edge: said in words, or marked on the pictures under its own name."""

    words: Annotated[str, Field(max_length=300)] | None = None
    side: FileSide = "middle"
    closed: bool | None = None
    meaning: Meaning = "proportion"


class TraceFile(BaseModel, extra="forbid"):
    """An outline traced from paper or from a shell cut open, that the piece is cut by."""

    file: Annotated[str, Field(max_length=300)]
    outline: Literal["stitch", "cut"] = "stitch"
    allowance: Length = 10.0
    joins: list[Annotated[str, Field(max_length=140)]] = []


class RowFile(BaseModel, extra="forbid"):
    """A motif, or a row of one shape along an edge; it becomes the edges NAME_1, NAME_2, …"""

    along: Annotated[Slug, Field(description="edge that the middles of the motifs lie on")]
    shape: Annotated[ShapeName | None, Field(description="a shape by name, or else a file")] = None
    file: Annotated[str, Field(max_length=300, description="SVG drawing with one closed outline")] | None = (
        None
    )
    count: Annotated[int, Field(ge=1, le=200, description="how many")] = 1
    size: Annotated[Length, Field(gt=0.0, description="larger side of the first one on the wearer")]
    size_end: Annotated[Length, Field(gt=0.0, description="of the last one, if it differs")] | None = None
    width: (
        Annotated[Share, Field(gt=0.0, le=1.0, description="breadth of a named shape, of its height")] | None
    ) = None
    spacing: Annotated[Spacing, Field(description="what is even: the middles, the gaps, or gap to size")] = (
        "centres"
    )
    first: Annotated[Share, Field(ge=0.0, le=1.0, description="where on the edge the row starts")] = 0.0
    last: Annotated[Share, Field(ge=0.0, le=1.0, description="where on the edge the row ends")] = 1.0
    turn: Annotated[Angle, Field(description="every motif turned, counter-clockwise from outside")] = 0.0
    follow: Annotated[bool, Field(description="turned with the edge")] = False


class PieceFile(BaseModel, extra="forbid"):
    """One piece: its kind, the edges that bound it, and the kind's own options."""

    slug: Slug
    kind: Slug
    cloth: Slug | Literal[""] = ""
    side: FileSide = "middle"
    label: Annotated[str, Field(max_length=120)] = ""
    edges: dict[Slug, Slug] = {}
    windows: list[Slug] = []
    seams: list[Slug] = []
    backing: Slug | None = None
    layer: Annotated[int, Field(ge=0, le=50)] = 0
    cloths: dict[Slug, Slug] = {}
    count: Annotated[int, Field(ge=1, le=200)] = 1
    decisions: list[Remark] = []
    departures: list[Remark] = []
    trace: TraceFile | None = None
    options: dict[str, Any] = {}


class CostumeFile(BaseModel, extra="forbid"):
    """The whole of ``costume.toml`` but its ``format``."""

    name: Annotated[str, Field(min_length=1, max_length=120)]
    edition: Annotated[int, Field(ge=1)] = 1
    note: Annotated[str, Field(max_length=4000)] = ""
    references: list[ReferenceFile] = []
    edges: dict[Slug, EdgeFile] = {}
    rows: dict[Slug, RowFile] = {}
    pieces: Annotated[list[PieceFile], Field(max_length=500)] = []
    errata: list[ErratumFile] = []
