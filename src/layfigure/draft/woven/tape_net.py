"""The cloth of a bodice half as it is worn about the point its darts are aimed at, known flat as well.

Laid flat, the half is a fan of triangles about that point. Worn, every straight line from the point to the
rim is a tape drawn taut over the trunk, and the rim from corner to corner is one, too: so cloth lies below a
bust, where it touches nothing. A place of the body is read where the cloth lies over it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from layfigure.draft.panels.surface import vertex_normals
from layfigure.draft.woven.eased_trunk import EasedTrunk, Spot
from layfigure.geometry.nearest_face import face_tree, nearest_faces, plane_weights
from layfigure.geometry.polyline import length, points_at

Points = NDArray[np.float64]
Indices = NDArray[np.int64]

RINGS = 6
"""Knots from the tip to the rim, and along the rim between two corners: some 20 to 50 mm apart, where the
triangles between and the cloth over them are as long."""
STEPS = 4
"""Steps of a place toward the cloth, each onto the plane of the triangle nearest to it."""
LEAST_LEAN = 0.3
"""Cosine of a way out and the cloth: where they are nearly along each other a place is not led far astray."""
BULGE = 60.0
"""Cloth lies no further than this outside the box round its corners [mm]."""


@dataclass(frozen=True, kw_only=True, eq=False)
class Fan:
    """Corners about a tip, on the eased trunk and flat, counter-clockwise, no dart between them.

    spots : (k,). flat : (k, 2). rims : from the number of a corner to the curve on which the edge from it to
    the next lies flat. spokes : from the number of a corner to the curve, (n, 2), on which the line from the
    tip to it does where that is not straight.
    """

    trunk: EasedTrunk
    tip: Spot
    tip_flat: Points
    spots: tuple[Spot, ...]
    flat: Points
    rims: Mapping[int, Points]
    spokes: Mapping[int, Points]

    def read(self, places: Points, lying: Points, *, reach: float) -> tuple[Points, Points]:
        """Flat places of places near the cloth, (k, 2), and how far each is from it [mm].

        They go to it straight out, but level where it hangs. lying : (k,) from 0, where it does, to 1, where
        it lies on the shoulders. Past the rim they are carried on as on the triangle there. Farther than
        ``reach`` is infinitely far.
        """
        flat, off = np.zeros((len(places), 2)), np.full(len(places), np.inf)
        corners = np.array([self.tip.at, *(spot.at for spot in self.spots)])
        room = BULGE + reach
        near = ((places > corners.min(axis=0) - room) & (places < corners.max(axis=0) + room)).all(axis=1)
        if not near.any():
            return flat, off
        net, at = self._net, places[near]
        way = nearest_faces(net.worn, net.faces, at, tree=net.tree).carried(net.faces, net.normals)
        way[:, 2] *= lying[near]
        way /= np.maximum(np.linalg.norm(way, axis=1), 1e-12)[:, None]
        for _ in range(STEPS):
            rows = net.faces[nearest_faces(net.worn, net.faces, at, tree=net.tree).face]
            a, b, c = (net.worn[rows[:, k]] for k in range(3))
            square = np.cross(b - a, c - a)
            square /= np.maximum(np.linalg.norm(square, axis=1), 1e-12)[:, None]
            lean = (way * square).sum(axis=1)
            lean = np.copysign(np.maximum(np.abs(lean), LEAST_LEAN), lean)
            at = at + (((a - at) * square).sum(axis=1) / lean)[:, None] * way
        found = nearest_faces(net.worn, net.faces, at, tree=net.tree)
        rows = net.faces[found.face]
        flat[near] = np.einsum("kc,kcd->kd", plane_weights(net.worn[rows], at), net.flat[rows])
        # Cloth on the far side of the body is met as well, through it.
        out = np.linalg.norm(at - places[near], axis=1)
        off[near] = np.where((found.distance > reach) | (out > reach), np.inf, found.distance + out)
        return flat, off

    @cached_property
    def _net(self) -> _Net:
        # Laying tapes takes time, and most halves of a bodice have no window near.
        rim, rim_flat = self._rim()
        out = np.linspace(0.0, 1.0, RINGS + 1)
        worn, flat = [], []
        for n, (spot, place) in enumerate(zip(rim, rim_flat, strict=True)):
            way = self.trunk.way(self.tip, spot)
            worn.append(points_at(way, out * length(way)))
            corner, rest = divmod(n, RINGS)
            line = self.spokes.get(corner) if rest == 0 else None
            line = np.array([self.tip_flat, place]) if line is None else line
            flat.append(points_at(line, out * length(line)))
        k = len(rim)
        index = np.arange(k * (RINGS + 1)).reshape(k, RINGS + 1)
        squares = (index[:-1, :-1], index[1:, :-1], index[:-1, 1:], index[1:, 1:])
        a, b, c, d = (each.ravel() for each in squares)
        # At the tip two corners of a square are one place.
        inner = np.tile(np.arange(RINGS) > 0, k - 1)
        faces = np.concatenate([np.stack([a, c, d], axis=1), np.stack([a, d, b], axis=1)[inner]])
        places = np.concatenate(worn)
        return _Net(
            worn=places,
            flat=np.concatenate(flat),
            faces=faces,
            normals=vertex_normals(places, faces),
            tree=face_tree(places, faces),
        )

    def _rim(self) -> tuple[list[Spot], Points]:
        """Spots along the rim, and where they lie flat."""
        spots, flat = [], []
        shares = np.linspace(0.0, 1.0, RINGS, endpoint=False)
        for n in range(len(self.spots) - 1):
            a, b = self.spots[n], self.spots[n + 1]
            way = self.trunk.way(a, b)
            line = self.rims.get(n, self.flat[n : n + 2])
            at = points_at(way, shares * length(way))
            spots += [Spot(p, (1.0 - t) * a.out + t * b.out) for p, t in zip(at, shares, strict=True)]
            flat.append(points_at(line, shares * length(line)))
        return [*spots, self.spots[-1]], np.vstack([*flat, self.flat[-1:]])


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Net:
    worn: Points
    flat: Points
    faces: Indices
    normals: Points
    tree: cKDTree
