"""A flat piece that windows may lie on: its edges, and where a place of the wearer's surface lies on it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cache

import numpy as np
import shapely
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from layfigure.geometry.nearest_face import face_tree, nearest_faces, plane_weights
from layfigure.piece.piece import PieceEdge

Points = NDArray[np.float64]
Indices = NDArray[np.int64]

REACH = 150.0
"""A place further than this from where a piece lies is on another part of the body [mm]."""

Carry = Callable[[Points], tuple[Points, Points]]
"""Places on the wearer (k, 3) to flat places (k, 2) and how far each is from where the piece lies, (k,) [mm]:
infinite where the piece does not reach."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Kept:
    """A line that windows stay clear of. what : as in "a dart". curve : (n, 2), closed or not."""

    what: str
    curve: Points
    closed: bool = False

    @property
    def shape(self) -> shapely.Geometry:
        """The line, or the area that it bounds."""
        return shapely.Polygon(self.curve) if self.closed else shapely.LineString(self.curve)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Sheet:
    """A piece as far as windows need it.

    slug : of the piece. edges : its outline, counter-clockwise. carry : places on the wearer to flat ones,
    also a little past its edges. kept : what windows stay clear of. told : how places on the body are carried
    to it, a sentence for the maker; empty where lengths are kept exactly. rest : how long the piece is at
    rest for its length as worn, across and up the drawing, below 1 for a cloth worn stretched.
    """

    slug: str
    edges: tuple[PieceEdge, ...]
    carry: Carry
    kept: tuple[Kept, ...] = ()
    told: str = ""
    rest: tuple[float, float] = (1.0, 1.0)

    @property
    def outline(self) -> shapely.Polygon:
        """Inside the stitch line."""
        return shapely.Polygon(np.concatenate([edge.curve[:-1] for edge in self.edges]))

    def flat(self, places: Points) -> Points:
        """Flat places of places on the wearer, (k, 2)."""
        return self.carry(places)[0]

    def edge(self, seam: str) -> PieceEdge:
        """The edge that uses a seam."""
        return next(edge for edge in self.edges if edge.seam == seam)

    def use_near(self, seam: str, place: Points) -> PieceEdge:
        """The edge that uses a seam, nearest to a flat place: two do where a piece is sewn to itself."""
        at = shapely.Point(place)
        uses = [edge for edge in self.edges if edge.seam == seam]
        return min(uses, key=lambda edge: float(shapely.LineString(edge.curve).distance(at)))


def unrolled(ways: Points, period: float, middle: float) -> Points:
    """Ways round of the points of one outline, on the lap that is nearest to a middle, never torn apart."""
    whole = np.unwrap(ways, period=period)
    shifted: Points = whole + period * np.round((middle - whole.mean()) / period)
    return shifted


def laid_mesh(
    worn: Points, flat: Points, faces: Indices, *, seen: Callable[[Points], Points] = lambda places: places
) -> Carry:
    """Places carried by a mesh that is known in space and flat: read at the nearest point of its faces.

    worn : (n, 3) or (n, 2) in the space that ``seen`` takes places to. flat : (n, 2). Where places run past
    the mesh's rim they are carried on as on the face there.
    """

    @cache
    def tree() -> cKDTree:
        # Most pieces are never asked.
        return face_tree(worn, faces)

    def carry(places: Points) -> tuple[Points, Points]:
        own = seen(places)
        at = nearest_faces(worn, faces, own, tree=tree())
        weights = plane_weights(worn[faces[at.face]], own)
        return np.einsum("kc,kcd->kd", weights, flat[faces[at.face]]), at.distance

    return carry
