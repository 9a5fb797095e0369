"""What a material does to a warm wearer: how it keeps heat in, and whether sweat gets out through it.

A layer's insulation is its thickness over its conductivity. Conductivities are from memory, as textbooks of
building and textile physics give them: the still air that cloth and foam hold decides theirs. 1 clo is
0.155 m²K/W (the unit's definition); 10 mm of cloth then make 1.6 clo, as textile handbooks say (from memory).
Folds, openings and moving air take some of it away: it is for comparing materials, not for a heat balance.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from layfigure.materials.cloth import Cloth, MaterialKind

CLO = 0.155
"""[m²K/W]; definition of the unit."""

SUIT = "an indoor suit with shirt and underwear: 1 clo"
"""What the unit means to somebody who dresses; what it was made after, as ISO 9920 has it (from memory)."""

CONDUCTIVITY: Mapping[MaterialKind, float] = MappingProxyType(
    {
        "knit": 0.04,
        "mesh": 0.04,
        "woven": 0.04,
        "leather": 0.15,
        "foam": 0.04,
        "thermoplastic": 0.2,
        "paper": 0.05,
    }
)
"""[W/(m K)]; from memory."""

PASSES_SWEAT: Mapping[MaterialKind, str] = MappingProxyType(
    {
        "knit": "passes",
        "mesh": "passes freely",
        "woven": "passes",
        "leather": "passes slowly",
        "foam": "cannot pass",
        "thermoplastic": "cannot pass",
        "paper": "passes",
    }
)
"""How sweat as vapour gets through; common practice, no source. Closed-cell foam is meant by foam."""


def insulation(cloth: Cloth) -> float | None:
    """Of one layer where it lies on the body [clo]; None where its thickness is not known."""
    if cloth.thickness <= 0.0:
        return None
    return cloth.thickness * 1e-3 / CONDUCTIVITY[cloth.kind] / CLO


def sweat_words(cloth: Cloth, *, finished: bool) -> str:
    """How sweat gets through. finished : with a paint, primer or sealer over it, which closes it."""
    return "sweat cannot pass" if finished else f"sweat {PASSES_SWEAT[cloth.kind]}"
