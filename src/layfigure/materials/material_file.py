"""``materials.toml``: the cloths and sheets of a costume, as the maker weighed and pulled them."""

from __future__ import annotations

from pathlib import Path

from layfigure.files.toml import parse_toml, read_toml
from layfigure.materials.cloth import Cloth
from layfigure.materials.material_schema import materials_from_toml, stock_from_toml
from layfigure.materials.starter import starter_cloths, starter_stock
from layfigure.materials.stock import Stock


def read_materials(path: Path) -> dict[str, Cloth]:
    """Materials by slug: the starter set, with those of the file beside and over it. Raises FileError."""
    return materials_from_toml(read_toml(path, what="the materials file"), starter=starter_cloths())


def parse_materials(text: str, *, name: str = "materials.toml") -> dict[str, Cloth]:
    """Materials from the text of a file; raises as ``read_materials``."""
    return materials_from_toml(parse_toml(text, name=name), starter=starter_cloths())


def read_stock(path: Path) -> Stock:
    """Everything the file says, with the starter set beneath it. Raises FileError."""
    return stock_from_toml(read_toml(path, what="the materials file"), starter=starter_stock())


def parse_stock(text: str, *, name: str = "materials.toml") -> Stock:
    """As ``read_stock``, from the text of a file."""
    return stock_from_toml(parse_toml(text, name=name), starter=starter_stock())
