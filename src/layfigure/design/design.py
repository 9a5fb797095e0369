"""A body-independent design: where edges and motifs lie, and which pieces they bound."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Literal

from layfigure.body.chart import ChartPoint
from layfigure.design.motif import MotifRow
from layfigure.files.drawn_path import DrawnPath
from layfigure.geometry.mesh import TriangleMesh

Meaning = Literal["proportion", "anatomy"]
Source = Literal["marks", "words", "typed"]


@dataclass(frozen=True, slots=True, kw_only=True, weakref_slot=True)
class EdgePoint:
    """One point of an edge and how sure it is.

    at : place on any body. spread_along, spread_around : one standard deviation on the character, as a
    share of stature (so it carries to any wearer). corner : a point that must stay sharp.
    """

    at: ChartPoint
    spread_along: float = 0.0
    spread_around: float = 0.0
    corner: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class DesignEdge:
    """A line of the costume on the body.

    closed : runs back to its first point: right round a region, or a window. goes_round : right round the
    body, however few of its points were seen.
    meaning : ``proportion`` (same chart coordinate, the default) or ``anatomy`` (same point of skin).
    source : read from marks, said in words, or typed as numbers. text : the words, as typed.
    drawn : of a motif of known size, its points as they lie flat from its middle, (right, up) as seen from
    outside [mm]; empty for a line that has no size of its own.
    """

    slug: str
    points: tuple[EdgePoint, ...]
    closed: bool = False
    goes_round: bool = False
    meaning: Meaning = "proportion"
    source: Source = "marks"
    text: str = ""
    drawn: tuple[tuple[float, float], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Trace:
    """An outline that a piece starts from, instead of being drafted, or a mesh that is laid flat.

    file : in the costume's folder. lines : what it holds [mm], y up; empty until the folder is read.
    mesh : what a mesh file holds, in its own unit, None until the folder is read and for outlines.
    outline : whether the stitch line or the cut line was traced. allowance : from a traced stitch line to
    the cut line [mm]. joins : pairs of edges to sew, as ``front 2 to back 4``. mirrored : cut for the other
    side of the body.
    """

    file: str
    lines: tuple[DrawnPath, ...] = ()
    mesh: TriangleMesh | None = None
    outline: Literal["stitch", "cut"] = "stitch"
    allowance: float = 10.0
    joins: tuple[str, ...] = ()
    mirrored: bool = False


@dataclass(frozen=True, slots=True, kw_only=True, weakref_slot=True)
class PieceStatement:
    """A piece as the design states it: its kind, the edges that bound it, and the kind's own options.

    edges : role in the kind's schema to edge slug, such as ``{"top": "shin_top"}``.
    windows : edge slugs of cut-outs. seams : edge slugs of lines along which its panels are divided.
    options : checked against the kind's registered schema.
    cloths : other material than ``cloth`` and ``backing`` by its role in the piece, such as ``lining``.
    count : how many like this are made, a mirrored pair counting as stated twice.
    decisions : what the pictures do not show and the maker chose. departures : where she means to differ
    from the pictures. Both are sentences for the report. trace : the outline it is cut by, if one was traced.
    """

    slug: str
    kind: str
    cloth: str
    side: Literal["left", "right", "middle", "both"] = "middle"
    label: str = ""
    edges: Mapping[str, str] = field(default_factory=dict)
    windows: tuple[str, ...] = ()
    seams: tuple[str, ...] = ()
    backing: str | None = None
    layer: int = 0
    cloths: Mapping[str, str] = field(default_factory=dict)
    count: int = 1
    decisions: tuple[str, ...] = ()
    departures: tuple[str, ...] = ()
    trace: Trace | None = None
    options: Mapping[str, Any] = field(default_factory=dict)

    @property
    def called(self) -> str:
        """Its label or its slug in words, with the side where a name stands for two."""
        name = self.label or self.slug.replace("_", " ")
        return f"{name}, {self.side}" if self.side in ("left", "right") else name


@dataclass(frozen=True, slots=True, kw_only=True)
class Design:
    """One costume for any body.

    rows : motifs repeated along an edge, which become edges of their own once a wearer is known.
    """

    name: str
    edition: int
    edges: Mapping[str, DesignEdge]
    pieces: tuple[PieceStatement, ...]
    rows: tuple[MotifRow, ...] = ()
