"""Openings of close garments: can the body pass, and how long is the elastic."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

OpeningKind = Literal["waist", "leg", "ankle", "wrist", "neck", "armhole"]

ELASTIC_SHARE: dict[OpeningKind, tuple[float, float]] = {
    "waist": (0.85, 0.95),
    "leg": (0.85, 0.95),
    "ankle": (0.90, 1.00),
    "wrist": (0.90, 1.00),
    "neck": (0.90, 1.00),
    "armhole": (0.90, 1.00),
}
"""Elastic length as a share of the whole body or opening. Common practice, no source; ankle and wrist are
taken as neck."""

SWIM_LEG_BACK = 0.75
"""Elastic of a high leg opening: as long as the front edge, three quarters of the back edge
(craftandfabriclinks.com, elastic instructions)."""

ELASTIC_OVERLAP = 12.7
"""Overlap of the elastic's ends: 1/2 in (craftandfabriclinks.com, elastic instructions) [mm]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class OpeningCheck:
    """Whether an opening passes the widest part it must go over.

    stretched : the opening with the whole stretch of the cloth used [mm]. widest : what must pass [mm].
    """

    stretched: float
    widest: float

    @property
    def passes(self) -> bool:
        """It goes on without a closure."""
        return self.stretched >= self.widest

    @property
    def share(self) -> float:
        """Widest part over the stretched opening: above 1 it cannot be put on."""
        return self.widest / self.stretched


def check_opening(cut_girth: float, stretch: float, widest: float) -> OpeningCheck:
    """Cut girth times (1 + stretch) must pass the widest part: heel and ankle for legs, the hand with the
    thumb tucked in for cuffs, shoulders or hips for a body. Common practice, no source. All [mm].
    """
    return OpeningCheck(stretched=cut_girth * (1.0 + stretch), widest=widest)


def elastic_length(kind: OpeningKind, opening: float) -> float:
    """Elastic to cut for an opening as worn, its overlap included [mm]: the middle of the usual range."""
    least, most = ELASTIC_SHARE[kind]
    return 0.5 * (least + most) * opening + ELASTIC_OVERLAP
