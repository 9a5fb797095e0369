"""How many beads or rings a strand of a length takes, and how long that many are."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

Making = Literal["beads", "chain", "cord"]


@dataclass(frozen=True, slots=True, kw_only=True)
class StrandMake:
    """What a strand is made of [mm].

    bead, gap : diameter of a bead, and the knot or spacer after it. ring, wire : inner diameter of a chain's
    rings and thickness of their wire. cord : its thickness.
    """

    made_of: Making
    bead: float
    gap: float
    ring: float
    wire: float
    cord: float

    @property
    def pitch(self) -> float:
        """What one more bead or ring adds; 0 for cord.

        A ring pulled taut hangs in the next by its wire, so that each adds its inner diameter.
        """
        return {"beads": self.bead + self.gap, "chain": self.ring, "cord": 0.0}[self.made_of]

    @property
    def beyond(self) -> float:
        """Length beyond whole pitches: the wire at both ends of a chain, less the last bead's gap."""
        return {"beads": -self.gap, "chain": 2.0 * self.wire, "cord": 0.0}[self.made_of]

    @property
    def thickness(self) -> float:
        """How far it stands out [mm]."""
        return {"beads": self.bead, "chain": self.ring + 2.0 * self.wire, "cord": self.cord}[self.made_of]

    def count(self, length: float) -> int:
        """Fewest beads or rings that span a length; 0 for cord."""
        if self.made_of == "cord":
            return 0
        return max(1, math.ceil(round((length - self.beyond) / self.pitch, 6)))

    def length(self, count: int, wanted: float) -> float:
        """Length of so many, or the wanted length for cord [mm]."""
        return wanted if self.made_of == "cord" else count * self.pitch + self.beyond

    @property
    def wire_a_ring(self) -> float:
        """Wire bent to one ring: the circle through its middle [mm]."""
        return math.pi * (self.ring + self.wire)
