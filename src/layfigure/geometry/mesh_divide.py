"""A mesh divided along a plane: new corners where it crosses, and which sides lie on it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from layfigure.geometry.mesh import TriangleMesh
from layfigure.geometry.mesh_repair import edge_table

Points = NDArray[np.float64]
Indices = NDArray[np.int64]

ONTO = 0.3
"""A corner nearer to the plane than this share of its shortest side is moved onto it: no slivers."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class DividedMesh:
    """mesh : no face crosses the plane. ahead : (m,) faces on the side the normal points to.
    along : (e,) of the mesh's ``edge_table``, True for sides on the plane between faces of both sides.
    """

    mesh: TriangleMesh
    ahead: NDArray[np.bool_]
    along: NDArray[np.bool_]

    def part_ahead(self) -> TriangleMesh:
        """Only the faces ahead of the plane. Empty where there are none."""
        used, faces = np.unique(self.mesh.faces[self.ahead], return_inverse=True)
        return TriangleMesh(self.mesh.vertices[used], faces.reshape(-1, 3).astype(np.int64))


def divided_at(mesh: TriangleMesh, normal: Points, place: Points) -> DividedMesh:
    """Divide a mesh. normal : (3,) unit. place : (3,) of the plane [mm]."""
    vertices = mesh.vertices.copy()
    height = (vertices - place) @ normal
    edges, _, _ = edge_table(mesh.faces)
    run = np.linalg.norm(vertices[edges[:, 0]] - vertices[edges[:, 1]], axis=1)
    shortest = np.full(len(vertices), np.inf)
    for k in (0, 1):
        np.minimum.at(shortest, edges[:, k], run)
    near = np.abs(height) < ONTO * shortest
    vertices[near] -= height[near, None] * normal
    height[near] = 0.0
    crossing = height[edges[:, 0]] * height[edges[:, 1]] < 0.0
    a, b = edges[crossing].T
    share = (height[a] / (height[a] - height[b]))[:, None]
    added = (1.0 - share) * vertices[a] + share * vertices[b]
    n = len(vertices)
    new = dict(zip(map(tuple, edges[crossing].tolist()), range(n, n + len(added)), strict=True))
    faces: list[tuple[int, int, int]] = []
    for face in mesh.faces.tolist():
        faces.extend(_parted(face, new))
    done = TriangleMesh(np.vstack([vertices, added]), np.array(faces, dtype=np.int64))
    height = np.concatenate([height, np.zeros(len(added))])
    ahead = height[done.faces].sum(axis=1) > 0.0
    edges, which, _ = edge_table(done.faces)
    on_plane = (height[edges] == 0.0).all(axis=1)
    sides = np.zeros((len(edges), 2), dtype=np.int64)
    np.add.at(sides, (which, np.repeat(ahead, 3).astype(np.int64)), 1)
    return DividedMesh(mesh=done, ahead=ahead, along=on_plane & (sides == 1).all(axis=1))


def _parted(face: list[int], new: dict[tuple[int, int], int]) -> list[tuple[int, int, int]]:
    """A face as the faces that the new corners on its sides make of it."""
    ring: list[int] = []
    for start, end in zip(face, face[1:] + face[:1], strict=True):
        ring.append(start)
        between = new.get((min(start, end), max(start, end)))
        if between is not None:
            ring.append(between)
    added = [k for k, corner in enumerate(ring) if corner not in face]
    if not added:
        return [(face[0], face[1], face[2])]
    # Begun at a new corner, every fan triangle lies on one side of the plane.
    ring = ring[added[0] :] + ring[: added[0]]
    if len(added) == 1:
        return [(ring[0], ring[1], ring[2]), (ring[0], ring[2], ring[3])]
    other = next(k for k, corner in enumerate(ring) if k and corner not in face)
    first, second = ring[: other + 1], [*ring[other:], ring[0]]
    parts = []
    for part in (first, second):
        parts += [(part[0], part[k], part[k + 1]) for k in range(1, len(part) - 1)]
    return parts
