"""A piece as it lies on the standing wearer, for pictures of the whole costume."""

from __future__ import annotations

from dataclasses import dataclass

from layfigure.geometry.mesh import TriangleMesh


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class WornSurface:
    """A surface in space, in the standing pose.

    name : of the piece or part, unique in its statement. mesh : (n, 3) [mm], seen from both sides.
    cloth : material slug, or empty for something bought. hangs : free cloth, such as a skirt, which lies down
    under what is tied or buckled over it.
    """

    name: str
    mesh: TriangleMesh
    cloth: str = ""
    hangs: bool = False
