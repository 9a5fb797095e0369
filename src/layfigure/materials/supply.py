"""How a material comes and what it costs: all that laying and buying read and no draft does.

Kept apart from ``Cloth``, so that another price never redrafts a piece.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Literal

from layfigure.materials.cloth import MaterialKind
from layfigure.materials.price import Price

SoldAs = Literal["roll", "sheet", "hide"]
Errand = Literal["shop", "post", "event"]

SOLD_AS: Mapping[MaterialKind, SoldAs] = MappingProxyType(
    {
        "knit": "roll",
        "mesh": "roll",
        "woven": "roll",
        "leather": "hide",
        "foam": "sheet",
        "thermoplastic": "sheet",
        "paper": "sheet",
    }
)
STEP = 100.0
"""Cloth is cut off the roll by 10 cm; common practice, no source [mm]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Leftover:
    """A piece of a material that the maker already has.

    length : along the grain [mm], 0 for the whole length of a sheet. width : [mm], None for the whole width.
    count : how many of this size.
    """

    length: float
    width: float | None = None
    count: int = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Supply:
    """How one material comes.

    slug : of the material. sold_as : off a roll, by the sheet or by the hide. sheet_length : of a sheet along
    its grain [mm], 0 where nobody said. selvedge : at each side of the roll, not to be cut from [mm].
    nap : cloth that must all run one way, by its pile, print or sheen. repeat_along, repeat_across : of a
    pattern that is to match [mm], 0 for none. shrinkage_along, shrinkage_across : in the first wash, as a
    share. margin : what the maker adds for herself, as a share. pack_length : off a roll by steps of this
    [mm]. price, seller, errand : what it costs, at what kind of seller, and on which errand it is bought.
    on_shelf : what she has. hidden_use : good enough where a cover hides it. area : of a hide bought by area,
    where no outline is at hand [mm²]; shelf_area : of hides at home [mm²]. outlines : files of hides
    traced, in the costume's folder. poorest_zone : by statement or piece, the poorest zone of a hide it may
    touch, 1 the best. finish : slug of the finish it gets. glue : slug of the coating that joins its edges.
    overhang : of a strip that hangs 41.5° down [mm], None where untested. coverage : share that the threads
    of a sheer cover at rest, None where nobody said. swatch : sides of what the maker
    weighed on her scales [mm], None where she weighed none.
    """

    slug: str
    sold_as: SoldAs
    sheet_length: float = 0.0
    selvedge: float = 0.0
    nap: bool = False
    repeat_along: float = 0.0
    repeat_across: float = 0.0
    shrinkage_along: float = 0.0
    shrinkage_across: float = 0.0
    margin: float = 0.0
    pack_length: float = STEP
    price: Price | None = None
    seller: str = ""
    errand: Errand = "shop"
    on_shelf: tuple[Leftover, ...] = ()
    hidden_use: bool = False
    area: float = 0.0
    shelf_area: float = 0.0
    outlines: tuple[str, ...] = ()
    poorest_zone: Mapping[str, int] = field(default_factory=dict)
    finish: str = ""
    glue: str = ""
    overhang: float | None = None
    coverage: float | None = None
    swatch: tuple[float, float] | None = None
