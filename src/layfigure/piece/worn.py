"""A piece as it lies on the standing wearer, for pictures of the whole costume."""

from __future__ import annotations

import math
from dataclasses import dataclass

from layfigure.geometry.mesh import TriangleMesh

HANGS = math.inf
"""What hangs free gives without end [mm]."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class WornSurface:
    """A surface in space, in the standing pose.

    name : of the piece or part, unique in its statement. mesh : (n, 3) [mm], seen from both sides.
    cloth : material slug, or empty for something bought. gives : how far it lies down under what is tied or
    buckled over it [mm]: by its ease, and cloth that hangs free without end.
    """

    name: str
    mesh: TriangleMesh
    cloth: str = ""
    gives: float = 0.0
