"""The surface cloth lies on: places, normals and the direction along the body at every vertex."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from layfigure.geometry.rows import crosses, unit

Points = NDArray[np.float64]
Indices = NDArray[np.int64]


@dataclass(frozen=True, slots=True, eq=False)
class Surface:
    """A wearer's surface as cloth meets it, in the drafting pose.

    vertices : (n, 3) [mm]. faces : (m, 3), the same for every wearer. normals : (n, 3) unit, outward.
    along : (n, 3) unit direction of the limb or trunk at each vertex, from its top to its end.
    """

    vertices: Points
    faces: Indices
    normals: Points
    along: Points

    def places(self, face: Indices, weights: Points) -> Points:
        """Points by face and barycentric weights, (k, 3) [mm]."""
        return _blend(self.vertices, self.faces[face], weights)

    def normals_at(self, face: Indices, weights: Points) -> Points:
        """Unit normals by face and barycentric weights, (k, 3)."""
        return unit(_blend(self.normals, self.faces[face], weights))

    def along_at(self, face: Indices, weights: Points) -> Points:
        """Unit direction along the body by face and barycentric weights, (k, 3)."""
        return unit(_blend(self.along, self.faces[face], weights))


def vertex_normals(vertices: Points, faces: Indices) -> Points:
    """Area-weighted unit normals, (n, 3)."""
    cross = face_crosses(vertices, faces)
    total = np.zeros_like(vertices)
    for axis in range(3):
        total[:, axis] = np.bincount(faces.ravel(), np.repeat(cross[:, axis], 3), minlength=len(vertices))
    return unit(total)


def face_crosses(vertices: Points, faces: Indices) -> Points:
    """Normals as long as twice the faces' areas, (m, 3) [mm²]."""
    a, b, c = (vertices[faces[:, k]] for k in range(3))
    return crosses(b - a, c - a)


def _blend(values: Points, corners: Indices, weights: Points) -> Points:
    blended: Points = np.einsum("kc,kcd->kd", weights, values[corners])
    return blended
