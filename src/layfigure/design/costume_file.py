"""``costume.toml``: the design as the maker writes it: its edges, and the pieces they bound.

A thing with ``side = "both"`` is stated once and becomes two, ``…_left`` and ``…_right``, because the two
sides of a wearer may differ.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import replace
from pathlib import Path
from typing import Annotated, Any, Literal

from pydantic import BaseModel, Field

from layfigure.body.levels import Side
from layfigure.design.costume import COSTUME_FILE, Costume, EdgeStatement, Erratum, Reference
from layfigure.design.design import Meaning, PieceStatement, Trace
from layfigure.design.motif import (
    USUAL_WIDTH,
    MotifRow,
    ShapeName,
    Spacing,
    drawn_shape,
    expanded_windows,
    named_shape,
)
from layfigure.design.relative_words import parse_placement
from layfigure.errors import FileError
from layfigure.files.formats import up_to_date
from layfigure.files.inside import refuse_outside
from layfigure.files.nearest import did_you_mean
from layfigure.files.quantities import Angle, Length, Share
from layfigure.files.toml import TomlFile, parse_toml, read_toml
from layfigure.files.validation import validated

FileSide = Literal["left", "right", "middle", "both"]
Slug = Annotated[str, Field(pattern=r"^[a-z][a-z0-9_]*$", max_length=60)]
Remark = Annotated[str, Field(min_length=1, max_length=500)]
_SIDES: tuple[Side, ...] = ("left", "right")


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


def read_costume(folder: Path) -> Costume:
    """The costume of a folder. Raises FileError, or PlacementError for words that mean nothing."""
    return costume_from_toml(read_toml(folder / COSTUME_FILE, what="the costume's file"), folder=folder)


def parse_costume(text: str, *, name: str = COSTUME_FILE) -> Costume:
    """A costume from the text of a file; raises as ``read_costume``."""
    return costume_from_toml(parse_toml(text, name=name))


def costume_from_toml(file: TomlFile, *, folder: Path | None = None) -> Costume:
    """A costume from a parsed file; raises as ``read_costume``. folder : where drawings of motifs lie."""
    typed = validated(
        CostumeFile, up_to_date(file.data, "costume", where=file.where("format")), where=file.where
    )
    for number, reference in enumerate(typed.references):
        refuse_outside(reference.file, where=file.where("references", number, "file"))
    edges: dict[str, EdgeStatement] = {}
    for slug, edge in typed.edges.items():
        for one in _edges(slug, edge, typed.edges, file.where("edges", slug)):
            if one.slug in edges:
                raise FileError(f"two edges are called {one.slug!r}.", where=one.where, advice="Rename one.")
            edges[one.slug] = one
    rows = {row.slug: row for slug in typed.rows for row in _rows(slug, typed, file, folder)}
    pieces: list[PieceStatement] = []
    where: dict[str, str] = {}
    for number, piece in enumerate(typed.pieces):
        _check_edges(piece, number, typed, edges, file)
        if piece.trace is not None:
            refuse_outside(piece.trace.file, where=file.where("pieces", number, "trace", "file"))
        for stated in _pieces(piece, typed):
            statement = replace(stated, windows=expanded_windows(stated.windows, rows))
            if statement.slug in where:
                raise FileError(
                    f"two pieces are called {statement.slug!r}.",
                    where=file.where("pieces", number, "slug"),
                    advice="Rename one.",
                )
            pieces.append(statement)
            where[statement.slug] = file.where("pieces", number)
    return Costume(
        name=typed.name,
        edition=typed.edition,
        edges=edges,
        pieces=tuple(pieces),
        references=tuple(
            Reference(file=one.file, photograph=one.photograph, note=one.note) for one in typed.references
        ),
        errata=tuple(
            Erratum(edition=one.edition, what=one.what, pieces=tuple(one.pieces)) for one in typed.errata
        ),
        where=where,
        rows=rows,
    )


def _rows(slug: str, typed: CostumeFile, file: TomlFile, folder: Path | None) -> list[MotifRow]:
    """A row of motifs, or one for each side of the edge it runs along."""
    row, where = typed.rows[slug], file.where("rows", slug)
    if row.along not in typed.edges:
        raise FileError(
            f"the row {slug!r} runs along {row.along!r}, which the costume does not have.",
            where=file.where("rows", slug, "along"),
            advice=did_you_mean(row.along, typed.edges) or f"Add [edges.{row.along}].",
        )
    if slug in typed.edges:
        raise FileError(f"an edge and a row are both called {slug!r}.", where=where, advice="Rename one.")
    if (row.shape is None) == (row.file is None):
        raise FileError(
            f"the row {slug!r} needs a shape or a file, and not both.",
            where=where,
            advice='Write shape = "lens", or file = "motifs/star.svg".',
        )
    if row.file is not None:
        refuse_outside(row.file, where=file.where("rows", slug, "file"))
        if folder is None:
            raise FileError(f"the drawing {row.file} has no folder to lie in.", where=where)
        if row.width is not None:
            raise FileError(
                "a drawn motif is as wide as it is drawn.",
                where=file.where("rows", slug, "width"),
                advice="Leave width out, or change the drawing.",
            )
        shape = drawn_shape(folder / row.file, where=where)
    else:
        assert row.shape is not None
        shape = named_shape(row.shape, _breadth(row, file.where("rows", slug, "width")))
    one = MotifRow(
        slug=slug,
        along=row.along,
        shape=shape,
        count=row.count,
        size=row.size,
        size_end=row.size if row.size_end is None else row.size_end,
        spacing=row.spacing,
        first=row.first,
        last=row.last,
        turn=row.turn,
        follow=row.follow,
        where=where,
    )
    if typed.edges[row.along].side != "both":
        return [one]
    return [
        # The other side is this one's mirror image.
        replace(
            one,
            slug=f"{slug}_{side}",
            along=f"{row.along}_{side}",
            turn=one.turn if side == "left" else -one.turn,
            shape=shape if side == "left" else shape.mirrored(),
        )
        for side in _SIDES
    ]


def _breadth(row: RowFile, where: str) -> float:
    """Of its shape, as a share of its height."""
    if row.shape != "circle":
        return USUAL_WIDTH if row.width is None else row.width
    if row.width is not None and row.width < 1.0:
        raise FileError(
            "a circle is as wide as it is tall.",
            where=where,
            advice='Leave width out, or write shape = "ellipse".',
        )
    return 1.0


def _edges(slug: str, typed: EdgeFile, stated: Mapping[str, EdgeFile], where: str) -> list[EdgeStatement]:
    """The edge, or one for each side."""
    if typed.words is not None and typed.closed is not None:
        raise FileError(
            "closed goes with a marked edge; words say it themselves.", where=where, advice="Leave it out."
        )
    sides: tuple[Side, ...] = _SIDES if typed.side == "both" else (typed.side,)
    found = []
    for side in sides:
        own = f"{slug}_{side}" if typed.side == "both" else slug
        found.append(
            EdgeStatement(
                slug=own,
                side=side,
                marked_as=slug,
                closed=typed.closed is not False,
                meaning=typed.meaning,
                words=None
                if typed.words is None
                else parse_placement(
                    typed.words, edges=_names_on(side, stated), slug=own, side=side, where=where
                ),
                where=where,
            )
        )
    return found


def _names_on(side: Side, stated: Mapping[str, EdgeFile]) -> dict[str, str]:
    """What words on one side may call the costume's edges, and the edge each name means there."""
    names: dict[str, str] = {}
    for slug, edge in stated.items():
        if edge.side == "both":
            names |= {f"{slug}_{own}": f"{slug}_{own}" for own in _SIDES}
            if side != "middle":
                names[slug] = f"{slug}_{side}"
        else:
            names[slug] = slug
    return names


def _pieces(typed: PieceFile, costume: CostumeFile) -> list[PieceStatement]:
    """The piece, or one for each side, each on the edges and the backing of its own side."""
    sides: tuple[Side, ...] = _SIDES if typed.side == "both" else (typed.side,)
    two_sided = {slug for slug, edge in costume.edges.items() if edge.side == "both"}
    two_sided |= {slug for slug, row in costume.rows.items() if row.along in two_sided}
    two_sided_pieces = {piece.slug for piece in costume.pieces if piece.side == "both"}

    def own(slug: str, side: Side, both: Collection[str]) -> str:
        return f"{slug}_{side}" if slug in both and side != "middle" else slug

    return [
        PieceStatement(
            slug=own(typed.slug, side, two_sided_pieces),
            kind=typed.kind,
            cloth=typed.cloth,
            side=side,
            label=typed.label,
            edges={role: own(slug, side, two_sided) for role, slug in typed.edges.items()},
            windows=tuple(own(slug, side, two_sided) for slug in typed.windows),
            seams=tuple(
                each
                for slug in typed.seams
                for each in (
                    (f"{slug}_left", f"{slug}_right")
                    if side == "middle" and slug in two_sided
                    else (own(slug, side, two_sided),)
                )
            ),
            backing=None if typed.backing is None else own(typed.backing, side, two_sided_pieces),
            layer=typed.layer,
            cloths=typed.cloths,
            count=typed.count,
            decisions=tuple(typed.decisions),
            departures=tuple(typed.departures),
            trace=None
            if typed.trace is None
            else Trace(
                file=typed.trace.file,
                outline=typed.trace.outline,
                allowance=typed.trace.allowance,
                joins=tuple(typed.trace.joins),
                mirrored=typed.side == "both" and side == "right",
            ),
            options=typed.options,
        )
        for side in sides
    ]


def _check_edges(
    piece: PieceFile,
    number: int,
    typed: CostumeFile,
    edges: Mapping[str, EdgeStatement],
    file: TomlFile,
) -> None:
    """Every edge a piece names exists, and one of both sides is not asked of a piece of none."""
    stated = typed.edges
    named = [(("edges", role), slug) for role, slug in piece.edges.items()]
    named += [(("windows", str(k)), slug) for k, slug in enumerate(piece.windows)]
    named += [(("seams", str(k)), slug) for k, slug in enumerate(piece.seams)]
    for path, slug in named:
        where = file.where("pieces", number, *path)
        if slug in typed.rows and path[0] == "windows":
            continue
        if slug not in edges and slug not in stated:
            raise FileError(
                f"piece {piece.slug!r} names the edge {slug!r}, which the costume does not have.",
                where=where,
                advice=did_you_mean(slug, {*stated, *edges, *typed.rows}) or f"Add [edges.{slug}].",
            )
        # A garment of both sides has seams on both.
        two_sided = slug in stated and stated[slug].side == "both" and path[0] != "seams"
        if two_sided and piece.side == "middle":
            raise FileError(
                f"piece {piece.slug!r} has no side, and its edge {slug!r} has two.",
                where=where,
                advice=f'Write side = "both", or name {slug}_left or {slug}_right.',
            )
