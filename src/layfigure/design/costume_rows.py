"""Rows of motifs as ``costume.toml`` states them: along which edge they run, and the shape they repeat."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from layfigure.design.costume_tables import BOTH_SIDES, CostumeFile, RowFile
from layfigure.design.motif import USUAL_WIDTH, MotifRow, drawn_shape, named_shape
from layfigure.errors import FileError
from layfigure.files.inside import refuse_outside
from layfigure.files.nearest import did_you_mean
from layfigure.files.toml import TomlFile


def stated_rows(slug: str, typed: CostumeFile, file: TomlFile, folder: Path | None) -> list[MotifRow]:
    """A row of motifs, or one for each side of the edge it runs along. folder : where drawings lie.

    Raises FileError for an edge that is not there, a name taken, and a shape that is not clear.
    """
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
        for side in BOTH_SIDES
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
