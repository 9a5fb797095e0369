"""What movement asks of a close garment on top of what standing still already uses.

Skin lengthens where joints bend; cloth that lies on it must follow or pull. How much stands in
``data/skin_strain.toml`` with its source beside every value. Cloth also slides, which helps; how much is
unknown, so it is left out.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from types import MappingProxyType
from typing import Literal, cast

from layfigure.files.toml import parse_toml
from layfigure.materials.cloth import Cloth
from layfigure.units import parse_share

Movement = Literal["knee", "elbow", "seat", "back"]
Direction = Literal["along", "round"]

SOURCE = "skin strain by Kirk and Ibrahim 1966, from memory"
"""Said beside the figures, which are not computed on the wearer."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SkinStrain:
    """How much skin lengthens at one movement in one direction, least and greatest, as shares."""

    least: float
    greatest: float
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Demand:
    """Stretch a movement asks for, least and greatest, and what the cloth gives, as shares of rest length."""

    direction: Direction
    least: float
    greatest: float
    given: float

    @property
    def pulls(self) -> bool:
        """Even the least is more than the cloth gives."""
        return self.least > self.given + 1e-9


@cache
def skin_strain() -> Mapping[Movement, Mapping[Direction, SkinStrain]]:
    """The table, by movement and direction."""
    text = files("layfigure.materials").joinpath("data/skin_strain.toml").read_text(encoding="utf-8")
    return MappingProxyType(
        {
            cast(Movement, movement): MappingProxyType(
                {
                    cast(Direction, direction): SkinStrain(
                        least=parse_share(row["least"]),
                        greatest=parse_share(row["greatest"]),
                        source=row["source"],
                    )
                    for direction, row in rows.items()
                }
            )
            for movement, rows in parse_toml(text, name="skin_strain.toml").data.items()
        }
    )


def demands(movement: Movement, cloth: Cloth, worn: tuple[float, float]) -> tuple[Demand, ...]:
    """What a movement asks in each direction. worn : stretch standing still, round and along, as shares."""
    round_, along = worn
    standing: Mapping[Direction, float] = {"round": round_, "along": along}
    given: Mapping[Direction, float] = {"round": cloth.stretch_across, "along": cloth.stretch_along}
    return tuple(
        Demand(
            direction=direction,
            least=(1.0 + standing[direction]) * (1.0 + strain.least) - 1.0,
            greatest=(1.0 + standing[direction]) * (1.0 + strain.greatest) - 1.0,
            given=given[direction],
        )
        for direction, strain in skin_strain()[movement].items()
    )
