"""How deep places lie within a surface, also an open one: distance to it, positive behind its faces.

The side is read from the nearest point: from the face's normal there, on an edge from the sum of both faces',
at a corner from the normals weighted by angle, which never tell the wrong side of a closed surface (J.
Baerentzen and H. Aanaes, "Signed distance computation using the angle weighted pseudonormal", IEEE
Transactions on Visualization and Computer Graphics 11(3), 2005). A place whose nearest point is the border of
an open surface has left through the opening.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from layfigure.geometry.corner_angle import corner_angles
from layfigure.geometry.mesh import TriangleMesh
from layfigure.geometry.mesh_repair import edge_table
from layfigure.geometry.nearest_face import face_tree, nearest_faces

Points = NDArray[np.float64]

ON_SIDE = 1e-6
"""A weight below this: the nearest point does not lie within the face but on its side."""


class DepthInside:
    """Asked again and again of one surface. mesh : faces outward."""

    def __init__(self, mesh: TriangleMesh) -> None:
        self.mesh = mesh
        self._tree = face_tree(mesh.vertices, mesh.faces)
        self._face_normal = mesh.face_normals()
        edges, which, uses = edge_table(mesh.faces)
        self._which = which.reshape(-1, 3)
        self._edge_normal = np.zeros((len(uses), 3))
        np.add.at(self._edge_normal, which, np.repeat(self._face_normal, 3, axis=0))
        self._corner_normal = np.zeros_like(mesh.vertices)
        angle = corner_angles(mesh)
        for k in range(3):
            np.add.at(self._corner_normal, mesh.faces[:, k], angle[:, k : k + 1] * self._face_normal)
        self._border_edge = uses == 1
        self._border_corner = np.zeros(len(mesh.vertices), dtype=bool)
        self._border_corner[edges[self._border_edge]] = True
        ends = mesh.vertices[edges[self._border_edge]]
        self._rim = cKDTree(mesh.vertices[self._border_corner]) if len(ends) else None
        self._half_side = 0.5 * float(np.linalg.norm(ends[:, 0] - ends[:, 1], axis=1).max(initial=0.0))

    def at(self, places: Points) -> tuple[Points, NDArray[np.bool_]]:
        """Depth of places (k, 3), positive inside [mm], and True for those nearest to a border."""
        near = nearest_faces(self.mesh.vertices, self.mesh.faces, places, tree=self._tree)
        foot = near.carried(self.mesh.faces, self.mesh.vertices)
        inner = near.weights > ON_SIDE
        count = inner.sum(axis=1)
        normal = self._face_normal[near.face].copy()
        border = np.zeros(len(places), dtype=bool)
        # Sides run from corner to corner: the side opposite corner 0 is number 1, and so on round.
        on_edge = np.flatnonzero(count == 2)
        side = self._which[near.face[on_edge], (inner[on_edge].argmin(axis=1) + 1) % 3]
        normal[on_edge], border[on_edge] = self._edge_normal[side], self._border_edge[side]
        at_corner = np.flatnonzero(count == 1)
        corner = self.mesh.faces[near.face[at_corner], inner[at_corner].argmax(axis=1)]
        normal[at_corner], border[at_corner] = self._corner_normal[corner], self._border_corner[corner]
        behind = ((places - foot) * normal).sum(axis=1) <= 0.0
        return np.where(behind, near.distance, -near.distance), border

    def from_border(self, places: Points, depth: Points) -> Points:
        """How far places (k, 3) may be moved before they can be nearest to a border, (k,) [mm].

        0 for those that are, infinite without a border. depth : (k,) of the places.
        """
        if self._rim is None:
            return np.full(len(places), np.inf)
        border = self._rim.query(places)[0] - self._half_side
        # Moved by so much it may come nearer to the border and leave the surface by as much each.
        free: Points = np.maximum(0.5 * (border - np.abs(depth)), 0.0)
        return free
