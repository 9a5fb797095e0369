"""A triangle mesh and what is read off it directly."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Points = NDArray[np.float64]
Indices = NDArray[np.int64]


@dataclass(frozen=True, slots=True, eq=False, weakref_slot=True)
class TriangleMesh:
    """Triangles in space or in the plane.

    vertices : (n, 3) or (n, 2) float [mm].
    faces : (m, 3) int, counter-clockwise seen from outside (from above, in the plane).
    """

    vertices: Points
    faces: Indices

    def face_corners(self) -> Points:
        """Corners of every face, (m, 3, 3) or (m, 3, 2) [mm]."""
        corners: Points = self.vertices[self.faces]
        return corners

    def face_normals(self) -> Points:
        """Unit normals, (m, 3); zero for a face without area. For meshes in space only."""
        a, b, c = (self.vertices[self.faces[:, k]] for k in range(3))
        normal = np.cross(b - a, c - a)
        length = np.linalg.norm(normal, axis=1, keepdims=True)
        unit: Points = np.divide(normal, length, out=np.zeros_like(normal), where=length > 0.0)
        return unit

    def face_areas(self) -> Points:
        """Face areas, (m,) [mm²]; signed in the plane, so a flipped triangle shows as negative."""
        a, b, c = (self.vertices[self.faces[:, k]] for k in range(3))
        u, v = b - a, c - a
        if self.vertices.shape[1] == 2:
            signed: Points = 0.5 * (u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0])
            return signed
        area: Points = 0.5 * np.linalg.norm(np.cross(u, v), axis=1)
        return area

    def edges(self) -> Indices:
        """Undirected edges, each once, (e, 2) with the smaller index first."""
        pairs = np.sort(self.faces[:, [0, 1, 1, 2, 2, 0]].reshape(-1, 2), axis=1)
        unique: Indices = np.unique(pairs, axis=0)
        return unique

    def boundary_loops(self) -> list[Indices]:
        """Boundary loops as vertex indices, each running with the faces on its left.

        The loop first met by the lowest vertex index comes first. Raises ValueError where the mesh
        is not a manifold along its boundary (a vertex with two outgoing boundary edges).
        """
        directed = self.faces[:, [0, 1, 1, 2, 2, 0]].reshape(-1, 2)
        n = int(self.faces.max()) + 1 if self.faces.size else 0
        keys = directed[:, 0] * n + directed[:, 1]
        reverse = directed[:, 1] * n + directed[:, 0]
        border = directed[~np.isin(keys, reverse)]
        following: dict[int, int] = {}
        for start, end in border.tolist():
            if start in following:
                raise ValueError(f"boundary touches itself at vertex {start}")
            following[start] = end
        loops: list[Indices] = []
        remaining = set(following)
        for start in sorted(following):
            if start not in remaining:
                continue
            loop = [start]
            remaining.discard(start)
            while (step := following[loop[-1]]) != start:
                loop.append(step)
                remaining.discard(step)
            loops.append(np.array(loop, dtype=np.int64))
        return loops
