"""What a file of materials may hold, and the cloths it means."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields, replace
from typing import Annotated, Any

from pydantic import BaseModel, Field, WithJsonSchema

from layfigure.errors import FileError
from layfigure.files.formats import up_to_date
from layfigure.files.nearest import did_you_mean
from layfigure.files.quantities import Length, Share, Tension, unit_reader
from layfigure.files.toml import TomlFile
from layfigure.files.validation import validated
from layfigure.materials.cloth import Cloth, MaterialKind
from layfigure.materials.coating import Coating, Finish
from layfigure.materials.hardware import Hardware
from layfigure.materials.pull_strip import parse_stretch
from layfigure.materials.stock import Stock
from layfigure.materials.supply import SOLD_AS, Supply
from layfigure.materials.supply_schema import CoatingFile, FinishFile, HardwareFile, Slug, SupplyFields
from layfigure.materials.swatch import Swatch, parse_weighed

Stretch = Annotated[
    tuple[float, bool],
    unit_reader(parse_stretch),
    WithJsonSchema(
        {
            "type": "string",
            "description": "greatest comfortable stretch, as pulled or as a share",
            "examples": ["10 cm stretches to 16 cm", "60 %"],
        }
    ),
]
"""Stretch as a share of rest length, and whether a strip was pulled."""


Weighed = Annotated[
    tuple[float, Swatch | None],
    unit_reader(parse_weighed),
    WithJsonSchema(
        {
            "type": "string",
            "description": "mass per area, or a swatch as weighed",
            "examples": ["280 g/m2", "8 oz/yd2", "10 cm x 10 cm weighs 2.8 g"],
        }
    ),
]
"""Mass per area [g/m²], and the swatch that was weighed."""


class MaterialFile(SupplyFields, extra="forbid"):
    """One material. ``like`` takes everything not said from another, of this file or the starter set."""

    like: Slug | None = None
    kind: MaterialKind | None = None
    name: Annotated[str, Field(max_length=120)] | None = None
    width: Length | None = None
    areal_mass: Weighed | None = None
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

    currency: Annotated[str, Field(max_length=12)] = ""
    materials: dict[Slug, MaterialFile] = {}
    coatings: dict[Slug, CoatingFile] = {}
    finishes: dict[Slug, FinishFile] = {}
    hardware: dict[Slug, HardwareFile] = {}


def stock_from_toml(file: TomlFile, *, starter: Stock | None = None) -> Stock:
    """Everything of a parsed file: its own before what the starter set says.

    Raises FileError with the line: syntax, unknown keys, wrong units, sizes no cloth has, names that nothing
    has.
    """
    data = up_to_date(file.data, "materials", where=file.where("format"))
    typed = validated(MaterialsFile, data, where=file.where)
    base = starter or Stock(cloths={})
    cloths, supplies = dict(base.cloths), dict(base.supplies)
    for slug, material in typed.materials.items():
        cloths[slug] = _cloth(slug, material, cloths, file)
        supplies[slug] = _supply(slug, material, cloths[slug], supplies)
    coatings = dict(base.coatings) | {slug: _coating(slug, said) for slug, said in typed.coatings.items()}
    finishes = dict(base.finishes) | {
        slug: Finish(slug=slug, coats=tuple(said.coats), sides=said.sides)
        for slug, said in typed.finishes.items()
    }
    hardware = dict(base.hardware) | {slug: _hardware(slug, said) for slug, said in typed.hardware.items()}
    stock = Stock(
        cloths=cloths,
        supplies=supplies,
        coatings=coatings,
        finishes=finishes,
        hardware=hardware,
        currency=typed.currency or base.currency,
    )
    _refuse_unknown(stock, typed, file)
    _refuse_shelf(stock, typed, file)
    return stock


def materials_from_toml(file: TomlFile, *, starter: Mapping[str, Cloth] | None = None) -> dict[str, Cloth]:
    """Materials alone, by slug; raises as ``stock_from_toml``."""
    return dict(stock_from_toml(file, starter=Stock(cloths=starter or {})).cloths)


def _said(typed: BaseModel, meant: type) -> dict[str, Any]:
    """What was said of the fields that a dataclass has."""
    return {
        field.name: value
        for field in fields(meant)
        if (value := getattr(typed, field.name, None)) is not None and field.name != "slug"
    }


def _supply(slug: str, typed: MaterialFile, cloth: Cloth, known: Mapping[str, Supply]) -> Supply:
    """As said, and for the rest like the one it is like, whose shelf is not its own."""
    said = _said(typed, Supply)
    for name in ("on_shelf", "outlines"):
        if name in said:
            said[name] = tuple(said[name])
    said["swatch"] = None if typed.areal_mass is None else typed.areal_mass[1]
    base = known.get(typed.like or "", Supply(slug=slug, sold_as=SOLD_AS[cloth.kind]))
    if typed.kind is not None:
        said.setdefault("sold_as", SOLD_AS[typed.kind])
    return replace(base, slug=slug, **{"on_shelf": (), "outlines": (), "shelf_area": 0.0, **said})


def _coating(slug: str, typed: CoatingFile) -> Coating:
    return Coating(
        slug=slug, spread=typed.coverage, **{"name": slug.replace("_", " "), **_said(typed, Coating)}
    )


def _hardware(slug: str, typed: HardwareFile) -> Hardware:
    hardware = Hardware(slug=slug, **_said(typed, Hardware))
    return hardware if typed.mass is None else replace(hardware, mass=1000.0 * typed.mass)


def _refuse_unknown(stock: Stock, typed: MaterialsFile, file: TomlFile) -> None:
    """Names of finishes, glues and coatings that nothing has."""
    for slug, material in typed.materials.items():
        for key, named, known in (
            ("finish", material.finish, stock.finishes),
            ("glue", material.glue, stock.coatings),
        ):
            if named is not None and named not in known:
                table = {"finish": "finishes", "glue": "coatings"}[key]
                raise FileError(
                    f"material {slug!r} has the {key} {named!r}, which is not described.",
                    where=file.where("materials", slug, key),
                    advice=did_you_mean(named, known) or f"Add [{table}.{named}].",
                )
    for slug, finish in typed.finishes.items():
        for coat, _ in finish.coats:
            if coat not in stock.coatings:
                raise FileError(
                    f"finish {slug!r} has a coat of {coat!r}, which is not described.",
                    where=file.where("finishes", slug, "coats"),
                    advice=did_you_mean(coat, stock.coatings) or f"Add [coatings.{coat}].",
                )


def _refuse_shelf(stock: Stock, typed: MaterialsFile, file: TomlFile) -> None:
    """Leftovers that could not be laid as they are written, and would be bought again."""
    for slug, material in typed.materials.items():
        supply = stock.supply(slug)
        where = file.where("materials", slug, "on_shelf")
        if supply.on_shelf and supply.sold_as == "hide":
            raise FileError(
                f"material {slug!r} comes by the hide, of which on_shelf tells no outline.",
                where=where,
                advice="Write shelf_area = '6 ft2', or trace the leather and name it in outlines.",
            )
        whole = any(left.length <= 0.0 for left in supply.on_shelf)
        if material.on_shelf and whole and (supply.sold_as == "roll" or supply.sheet_length <= 0.0):
            raise FileError(
                f"material {slug!r} has sheets on the shelf, and nothing says how large they are.",
                where=where,
                advice="Write sheet_length, or their size: '2 sheets of 60 cm x 40 cm'.",
            )


def _cloth(slug: str, typed: MaterialFile, known: Mapping[str, Cloth], file: TomlFile) -> Cloth:
    where = file.where("materials", slug)
    said: dict[str, Any] = {
        field.name: getattr(typed, field.name)
        for field in fields(Cloth)
        if field.name != "slug" and getattr(typed, field.name) is not None
    }
    if "areal_mass" in said:
        said["areal_mass"] = said["areal_mass"][0]
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
