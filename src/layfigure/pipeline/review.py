"""What can be said about a costume's files before anything is computed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, dataclass
from typing import Any

from layfigure.body.prior import tape_to_take_again
from layfigure.body.wearer import Wearer
from layfigure.colour.colours import COLOURS_FILE
from layfigure.colour.colours_file import read_colours
from layfigure.materials.swatch import larger_swatch, sure_to
from layfigure.pipeline.buying import costume_money
from layfigure.pipeline.folder import CostumeFolder
from layfigure.pipeline.slips import refuse_slips
from layfigure.units import format_length


@dataclass(frozen=True, slots=True, kw_only=True)
class Review:
    """A costume at a glance. remarks : what the maker may want to mend, in words."""

    name: str
    edition: int
    edges: int
    pieces: int
    pictures: int
    wearers: tuple[str, ...]
    remarks: tuple[str, ...]

    def as_data(self) -> dict[str, Any]:
        """For ``--json``."""
        return asdict(self)


def review(folder: CostumeFolder, wearers: Sequence[Wearer]) -> Review:
    """Hold the files against each other and against the kinds' schemas.

    Raises DraftError for a piece whose kind or options cannot be used, FileError for a slip in the files of
    money or colours.
    """
    costume = folder.costume
    remarks: list[str] = []
    costume_money(folder)
    if (folder.root / COLOURS_FILE).is_file():
        read_colours(folder.root)
    for statement in costume.pieces:
        refuse_slips(statement, costume.where.get(statement.slug, f"piece {statement.slug}"))
    used = {slug for piece in costume.pieces for slug in (*piece.edges.values(), *piece.windows)}
    idle = sorted(set(costume.edges) - used - costume.said_from())
    if idle:
        remarks.append(f"no piece uses the edges {', '.join(idle)}.")
    if folder.marks is not None:
        remarks += [f"the picture {name} is not there; its marks are used." for name in folder.marks.missing]
        unmarked = sorted(_unmarked(folder))
        if unmarked:
            remarks.append(f"not yet marked on any picture: {', '.join(unmarked)}.")
    remarks += _coarse_swatches(folder)
    remarks += _strange_zones(folder)
    remarks += [
        f"{statement.called} shows {folder.stock.cloths[statement.cloth].name}, which is kept for hidden use."
        for statement in costume.pieces
        if statement.cloth in folder.stock.cloths and folder.stock.supply(statement.cloth).hidden_use
    ]
    if not wearers:
        remarks.append("there is no wearer yet: write wearers/NAME.toml.")
    for wearer in wearers:
        remarks += [f"{wearer.name}: {text}" for text in wearer.warnings]
        doubts = tape_to_take_again(wearer.standing_measures, wearer.sex)
        remarks += [f"{wearer.name}: {doubt.words}" for doubt in doubts]
    return Review(
        name=costume.name,
        edition=costume.edition,
        edges=len(costume.edges),
        pieces=len(costume.pieces),
        pictures=0 if folder.marks is None else len(folder.marks.pictures),
        wearers=tuple(folder.wearers),
        remarks=tuple(remarks),
    )


def _coarse_swatches(folder: CostumeFolder) -> list[str]:
    """Materials in use whose swatch was too light for kitchen scales."""
    remarks = []
    used = {piece.cloth for piece in folder.costume.pieces}
    for slug in sorted(used & set(folder.stock.cloths)):
        cloth, swatch = folder.stock.cloths[slug], folder.stock.supply(slug).swatch
        side = None if swatch is None else larger_swatch(*swatch, cloth.areal_mass)
        if swatch is not None and side is not None:
            off = sure_to(*swatch, cloth.areal_mass)
            remarks.append(
                f"{cloth.name}: scales that read whole grams tell the mass of so small a swatch to {off:.0%} "
                f"only; weigh a square of {format_length(side, 'cm')}, or as many small ones together."
            )
    return remarks


def _strange_zones(folder: CostumeFolder) -> list[str]:
    """Pieces that ``poorest_zone`` names and no statement has; a piece's name begins with its statement's."""
    known = tuple(statement.slug for statement in folder.costume.pieces)
    return [
        f"{slug}: poorest_zone names {name}, which is no piece of this costume."
        for slug, supply in sorted(folder.stock.supplies.items())
        for name in supply.poorest_zone
        if not name.startswith(known)
    ]


def _unmarked(folder: CostumeFolder) -> set[str]:
    """Edges that are to be marked and are not."""
    assert folder.marks is not None
    marked = set(folder.marks.edge_slugs())
    return {
        edge.marked_as
        for edge in folder.costume.edges.values()
        if edge.words is None and not {edge.slug, edge.marked_as} & marked
    }
