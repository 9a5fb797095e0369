"""The pieces of a tiled pattern by their numbers in its plan, and the sheets that each lies on."""

from __future__ import annotations

import shapely

from layfigure.drawing.paper.printed_once import Copy, named
from layfigure.drawing.paper.tiling import Tile, Tiling
from layfigure.piece.piece import Piece


def numbered_pieces(tiling: Tiling) -> list[tuple[str, Piece, Copy | None]]:
    """Every piece with its number on the map; one cut from the print of number 7 is 7b, the next 7c."""
    found: list[tuple[str, Piece, Copy | None]] = []
    for number, (drawn, _) in enumerate(tiling.sheet.placed, start=1):
        if drawn.piece is None:
            continue
        found.append((str(number), drawn.piece, None))
        own = [copy for copy in tiling.copies if copy.of == drawn.piece.slug]
        for letter, copy in enumerate(own, start=ord("b")):
            last = chr(letter) if letter <= ord("z") else f".{letter - ord('b') + 2}"
            found.append((f"{number}{last}", copy.piece, copy))
    return found


def pieces_on_sheets(tiling: Tiling) -> dict[str, list[str]]:
    """By page, its pieces with their numbers in the plan: ``8 Gauntlet, left``."""
    found: dict[str, list[str]] = {tile.name: [] for tile in tiling.tiles}
    cut_from: dict[str, list[str]] = {}
    for name, _, copy in numbered_pieces(tiling):
        if copy:
            cut_from.setdefault(copy.of, []).append(name)
    for number, (drawn, (x, y)) in enumerate(tiling.sheet.placed, start=1):
        if drawn.piece is None:
            continue
        own = ", ".join(cut_from.get(drawn.piece.slug, ()))
        words = f"{number} {named(drawn.piece)}" + (f" (and {own})" if own else "")
        cut = next(line.points for line in drawn.lines if line.ink == "boundary")
        area = shapely.affinity.translate(shapely.Polygon(cut), x, y)
        shapely.prepare(area)
        for tile in tiling.tiles:
            if area.intersects(tile.box):
                found[tile.name].append(words)
    return found


def sheets_of_pieces(tiling: Tiling) -> list[str]:
    """The pages each piece lies on, so that one can be joined alone: ``A1-A3 B1-B3``."""
    found = []
    for drawn, (x, y) in tiling.sheet.placed:
        cut = next(line.points for line in drawn.lines if line.ink == "boundary")
        area = shapely.affinity.translate(shapely.Polygon(cut), x, y)
        rows: dict[int, list[Tile]] = {}
        for tile in tiling.tiles:
            if tile.box.intersects(area):
                rows.setdefault(tile.row, []).append(tile)
        ends = [(row[0].name, row[-1].name) for row in rows.values()]
        found.append(" ".join(first if first == last else f"{first}-{last}" for first, last in ends))
    return found
