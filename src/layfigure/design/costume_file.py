"""``costume.toml``: the design as the maker writes it: its edges, and the pieces they bound.

A thing with ``side = "both"`` is stated once and becomes two, ``…_left`` and ``…_right``, because the two
sides of a wearer may differ.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import replace
from pathlib import Path

from layfigure.body.levels import Side
from layfigure.design.costume import COSTUME_FILE, Costume, EdgeStatement, Erratum, Reference
from layfigure.design.costume_rows import stated_rows
from layfigure.design.costume_tables import BOTH_SIDES, CostumeFile, EdgeFile, PieceFile
from layfigure.design.design import PieceStatement, Trace
from layfigure.design.motif import expanded_windows
from layfigure.design.relative_words import parse_placement
from layfigure.errors import FileError
from layfigure.files.formats import up_to_date
from layfigure.files.inside import refuse_outside
from layfigure.files.nearest import did_you_mean
from layfigure.files.toml import TomlFile, parse_toml, read_toml
from layfigure.files.validation import validated


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
    rows = {row.slug: row for slug in typed.rows for row in stated_rows(slug, typed, file, folder)}
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


def _edges(slug: str, typed: EdgeFile, stated: Mapping[str, EdgeFile], where: str) -> list[EdgeStatement]:
    """The edge, or one for each side."""
    if typed.words is not None and typed.closed is not None:
        raise FileError(
            "closed goes with a marked edge; words say it themselves.", where=where, advice="Leave it out."
        )
    sides: tuple[Side, ...] = BOTH_SIDES if typed.side == "both" else (typed.side,)
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
            names |= {f"{slug}_{own}": f"{slug}_{own}" for own in BOTH_SIDES}
            if side != "middle":
                names[slug] = f"{slug}_{side}"
        else:
            names[slug] = slug
    return names


def _pieces(typed: PieceFile, costume: CostumeFile) -> list[PieceStatement]:
    """The piece, or one for each side, each on the edges and the backing of its own side."""
    sides: tuple[Side, ...] = BOTH_SIDES if typed.side == "both" else (typed.side,)
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
