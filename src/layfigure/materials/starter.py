"""A small set of generic cloths and sheets to begin with, each with its source."""

from __future__ import annotations

from functools import cache
from importlib.resources import files

from layfigure.files.toml import parse_toml
from layfigure.materials.cloth import Cloth
from layfigure.materials.material_schema import stock_from_toml
from layfigure.materials.stock import Stock


def starter_text() -> str:
    """The set as a file: what ``materials.toml`` of a new costume may be copied from."""
    return files("layfigure.materials").joinpath("data/starter.toml").read_text(encoding="utf-8")


def starter_cloths() -> dict[str, Cloth]:
    """Cloths by slug. None is tested: a verdict built on them stops at "scrap"."""
    return dict(starter_stock().cloths)


@cache
def starter_stock() -> Stock:
    """The set with how its things come; it has no prices, which are the maker's own to find."""
    return stock_from_toml(parse_toml(starter_text(), name="starter.toml"))
