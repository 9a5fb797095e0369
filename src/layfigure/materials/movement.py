"""What movement asks of a close garment on top of what standing still already uses.

Skin lengthens where joints bend; cloth that lies on it must follow or pull. Ranges of skin strain: Kirk and
Ibrahim, Textile Research Journal 36, 1966, from memory: knee 35 to 45 % along and 12 to 14 % round, elbow
35 to 40 % along and 15 to 22 % round, seat 25 to 30 % along, back 13 to 16 % across. Cloth also slides, which
helps; how much is unknown, so it is left out.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal

from layfigure.materials.cloth import Cloth

Movement = Literal["knee", "elbow", "seat", "back"]
Direction = Literal["along", "round"]


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


SOURCE = "skin strain by Kirk and Ibrahim 1966"
"""Said beside the figures, which are not computed on the wearer."""

SKIN_STRAIN: Mapping[Movement, Mapping[Direction, tuple[float, float]]] = MappingProxyType(
    {
        "knee": {"along": (0.35, 0.45), "round": (0.12, 0.14)},
        "elbow": {"along": (0.35, 0.40), "round": (0.15, 0.22)},
        "seat": {"along": (0.25, 0.30)},
        "back": {"round": (0.13, 0.16)},
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
            least=(1.0 + standing[direction]) * (1.0 + low) - 1.0,
            greatest=(1.0 + standing[direction]) * (1.0 + high) - 1.0,
            given=given[direction],
        )
        for direction, (low, high) in SKIN_STRAIN[movement].items()
    )
