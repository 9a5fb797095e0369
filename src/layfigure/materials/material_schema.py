"""What a file of materials may hold, and the cloths it means."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields, replace
from typing import Annotated, Any

from pydantic import BaseModel, BeforeValidator, Field, WithJsonSchema
from pydantic_core import PydanticCustomError

from layfigure.errors import FileError, UnitError
from layfigure.files.formats import up_to_date
from layfigure.files.nearest import did_you_mean
from layfigure.files.quantities import ArealMass, Length, Share, Tension
from layfigure.files.toml import TomlFile
from layfigure.files.validation import validated
from layfigure.materials.cloth import Cloth, MaterialKind
from layfigure.materials.pull_strip import parse_stretch

Slug = Annotated[str, Field(pattern=r"^[a-z][a-z0-9_]*$", max_length=60)]


def _read_stretch(value: Any) -> tuple[float, bool]:
    try:
        return parse_stretch(value)
    except UnitError as error:
        raise PydanticCustomError("unit", "{reason}", {"reason": str(error)}) from error


Stretch = Annotated[
    tuple[float, bool],
    BeforeValidator(_read_stretch),
    WithJsonSchema(
        {
            "type": "string",
            "description": "greatest comfortable stretch, as pulled or as a share",
            "examples": ["10 cm stretches to 16 cm", "60 %"],
        }
    ),
]
"""Stretch as a share of rest length, and whether a strip was pulled."""


class MaterialFile(BaseModel, extra="forbid"):
    """One material. ``like`` takes everything not said from another, of this file or the starter set."""

    like: Slug | None = None
    kind: MaterialKind | None = None
    name: Annotated[str, Field(max_length=120)] | None = None
    width: Length | None = None
    areal_mass: ArealMass | None = None
    thickness: Length | None = None
    stretch_across: Stretch | None = None
    stretch_along: Stretch | None = None
    recovery: Share | None = None
    tension: Tension | None = None
    tested: bool | None = None
    colour: Annotated[str, Field(pattern=r"^#[0-9a-f]{6}$")] | None = None
    source: Annotated[str, Field(max_length=1000)] = ""


class MaterialsFile(BaseModel, extra="forbid"):
    """The whole of ``materials.toml`` but its ``format``."""

    materials: dict[Slug, MaterialFile] = {}


def materials_from_toml(file: TomlFile, *, starter: Mapping[str, Cloth] | None = None) -> dict[str, Cloth]:
    """Materials by slug, from a parsed file: those of the file before those of the starter set.

    Raises FileError with the line: syntax, unknown keys, wrong units, sizes no cloth has.
    """
    data = up_to_date(file.data, "materials", where=file.where("format"))
    typed = validated(MaterialsFile, data, where=file.where)
    cloths = dict(starter or {})
    for slug, material in typed.materials.items():
        cloths[slug] = _cloth(slug, material, cloths, file)
    return cloths


def _cloth(slug: str, typed: MaterialFile, known: Mapping[str, Cloth], file: TomlFile) -> Cloth:
    where = file.where("materials", slug)
    said: dict[str, Any] = {
        field.name: getattr(typed, field.name)
        for field in fields(Cloth)
        if field.name != "slug" and getattr(typed, field.name) is not None
    }
    pulled = False
    for name in ("stretch_across", "stretch_along"):
        if name in said:
            said[name], by_hand = said[name]
            pulled = pulled or by_hand
    if pulled:
        # A pulled strip is a test; the maker may still write tested = false for a borrowed figure.
        said.setdefault("tested", True)
    if typed.like is not None:
        if typed.like not in known:
            raise FileError(
                f"material {slug!r} is like {typed.like!r}, which is not known yet.",
                where=file.where("materials", slug, "like"),
                advice=did_you_mean(typed.like, known) or "Write it above, or name one of the starter set.",
            )
        cloth = replace(known[typed.like], slug=slug, **{"tested": False, **said})
    else:
        for needed in ("kind", "width", "areal_mass"):
            if needed not in said:
                raise FileError(
                    f"material {slug!r} needs {needed}.",
                    where=where,
                    advice="Write it, or say what it is like.",
                )
        cloth = Cloth(slug=slug, **{"name": slug.replace("_", " "), **said})
    _refuse_absurd(cloth, where)
    return cloth


def _refuse_absurd(cloth: Cloth, where: str) -> None:
    """Sizes no cloth has: a unit slipped."""
    limits = {
        "width": (20.0, 6000.0),
        "areal_mass": (5.0, 60_000.0),
        "thickness": (0.0, 120.0),
        "recovery": (0.0, 1.0),
        "stretch_along": (0.0, 3.0),
    }
    for name, (low, high) in limits.items():
        if not low <= getattr(cloth, name) <= high:
            raise FileError(
                f"material {cloth.slug!r}: {name} is not that of a cloth.",
                where=where,
                advice="Check its unit.",
            )
