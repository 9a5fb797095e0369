"""Everything ``materials.toml`` says: materials, how they come, coatings, finishes and hardware."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from layfigure.materials.cloth import Cloth
from layfigure.materials.coating import Coating, Finish
from layfigure.materials.hardware import Hardware
from layfigure.materials.supply import SOLD_AS, Supply


@dataclass(frozen=True, slots=True, kw_only=True)
class Stock:
    """What a costume may be made of, by slug.

    currency : as written after every price; empty where nobody said.
    """

    cloths: Mapping[str, Cloth]
    supplies: Mapping[str, Supply] = field(default_factory=dict)
    coatings: Mapping[str, Coating] = field(default_factory=dict)
    finishes: Mapping[str, Finish] = field(default_factory=dict)
    hardware: Mapping[str, Hardware] = field(default_factory=dict)
    currency: str = ""

    def supply(self, slug: str) -> Supply:
        """How a material comes: as its kind usually does, where nobody said.

        Raises KeyError for an unknown material.
        """
        if slug in self.supplies:
            return self.supplies[slug]
        return Supply(slug=slug, sold_as=SOLD_AS[self.cloths[slug].kind])

    def finished_thickness(self, slug: str) -> float:
        """Thickness of a material with its finish, on as many sides as that is put on [mm].

        Raises KeyError for an unknown material.
        """
        finish = self.finishes.get(self.supply(slug).finish or "")
        coats = 0.0 if finish is None else finish.sides * finish.build_up(self.coatings)
        return self.cloths[slug].thickness + coats
