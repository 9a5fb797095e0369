"""How much of what lies beneath a sheer covers, where the material it is of tells it."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from layfigure.colour.colours import Colours, Sheer
from layfigure.errors import FileError
from layfigure.files.nearest import did_you_mean
from layfigure.materials.material_file import read_stock
from layfigure.materials.starter import starter_stock
from layfigure.materials.stock import Stock

_MATERIALS = "materials.toml"


def with_cloths_coverage(colours: Colours, folder: Path) -> Colours:
    """The colours, each sheer that names a material with that material's coverage.

    Materials are read only where one is named. Raises FileError for one that is unknown or tells none.
    """
    if not any(sheer.material for sheer in colours.sheers.values()):
        return colours
    path = folder / _MATERIALS
    stock = read_stock(path) if path.is_file() else starter_stock()
    sheers = {
        slug: replace(sheer, coverage=_coverage(sheer, stock)) if sheer.material else sheer
        for slug, sheer in colours.sheers.items()
    }
    return replace(colours, sheers=sheers)


def _coverage(sheer: Sheer, stock: Stock) -> float:
    if sheer.material not in stock.cloths:
        raise FileError(
            f"sheer {sheer.slug!r} is of {sheer.material!r}, which is no material.",
            where=sheer.where,
            advice=did_you_mean(sheer.material, stock.cloths),
        )
    coverage = stock.supply(sheer.material).coverage
    if coverage is None:
        raise FileError(
            f"material {sheer.material!r} does not say how much it covers.",
            where=sheer.where,
            advice='Write coverage = "58 %" there, or net or grounds here.',
        )
    return coverage
