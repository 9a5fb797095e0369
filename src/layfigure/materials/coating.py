"""Paints, primers, sealers, glues and dyes by what they cover, and finishes built up of them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from layfigure.materials.price import Price
from layfigure.materials.supply import Errand

CoatingKind = Literal["paint", "primer", "sealer", "glue", "dye"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Coating:
    """Something spread on a surface.

    spread : area that a millilitre covers in one coat [mm²/ml]. build_up : thickness of a dry coat [mm].
    areal_mass : of a dry coat [g/m²]. pack : what is sold at once [ml]. price : of a pack, or by volume.
    on_shelf : what the maker has [ml]. solvent : gives off fumes.
    """

    slug: str
    kind: CoatingKind
    name: str
    spread: float
    build_up: float = 0.0
    areal_mass: float = 0.0
    pack: float = 0.0
    price: Price | None = None
    seller: str = ""
    errand: Errand = "shop"
    on_shelf: float = 0.0
    solvent: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Finish:
    """Coats on a surface, the first at the bottom.

    coats : slugs of coatings with how often each is put on. sides : 1 where only the outside gets them.
    """

    slug: str
    coats: tuple[tuple[str, int], ...]
    sides: int = 1

    def build_up(self, coatings: Mapping[str, Coating]) -> float:
        """Thickness that all coats add to one side [mm]."""
        return sum(times * coatings[slug].build_up for slug, times in self.coats)

    def areal_mass(self, coatings: Mapping[str, Coating]) -> float:
        """Mass that all coats add, both sides counted [g/m²]."""
        return self.sides * sum(times * coatings[slug].areal_mass for slug, times in self.coats)

    def volumes(self, area: float, coatings: Mapping[str, Coating]) -> dict[str, float]:
        """What a surface of an area [mm²] takes of every coating [ml]."""
        taken: dict[str, float] = {}
        for slug, times in self.coats:
            taken[slug] = taken.get(slug, 0.0) + self.sides * times * area / coatings[slug].spread
        return taken
