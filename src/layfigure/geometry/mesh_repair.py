"""Mending what goes wrong with meshes: doubled corners, empty faces, faces turned over, holes."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import coo_matrix
from scipy.sparse.csgraph import connected_components
from scipy.spatial import cKDTree

from layfigure.geometry.mesh import TriangleMesh
from layfigure.geometry.polyline import length

Points = NDArray[np.float64]
Indices = NDArray[np.int64]

WELDED = 1e-6
"""Corners nearer than this share of the mesh's size are one."""

CRUMB = 0.01
"""Parts with less than this share of the area are left out."""


class MeshBroken(ValueError):
    """A fault that cannot be mended without knowing what was meant."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class MendedMesh:
    """mesh : every edge has one face or two, neighbours face the same way. mended : what was done."""

    mesh: TriangleMesh
    mended: tuple[str, ...]


def mend(mesh: TriangleMesh, *, small_hole: float = 0.35) -> MendedMesh:
    """A clean mesh of the same shape.

    small_hole : holes whose rim is shorter than this share of the mesh's size are closed.
    Raises MeshBroken where three faces or more share an edge, or a part has only one side.
    """
    told: list[str] = []
    size = float(np.linalg.norm(np.ptp(mesh.vertices, axis=0)))
    if size == 0.0:
        raise MeshBroken("all corners of the mesh lie at one place")
    mesh = _welded(mesh, WELDED * size, told)
    mesh = _without_empty_faces(mesh, told)
    _refuse_shared_edges(mesh)
    mesh = _without_crumbs(mesh, told)
    mesh = _facing_alike(mesh, told)
    mesh = _with_parted_corners(mesh, told)
    mesh = _closed_holes(mesh, small_hole * size, told)
    return MendedMesh(mesh=mesh, mended=tuple(told))


def edge_table(faces: Indices) -> tuple[Indices, Indices, Indices]:
    """Every undirected edge once, and its uses.

    Returns edges (e, 2), the edge of every half-edge (3 m,), face by face in the order of its corners, and
    how many faces share each edge (e,).
    """
    directed = faces[:, [0, 1, 1, 2, 2, 0]].reshape(-1, 2)
    n = int(faces.max()) + 1
    keys = directed.min(axis=1) * n + directed.max(axis=1)
    unique, which, uses = np.unique(keys, return_inverse=True, return_counts=True)
    return np.column_stack(np.divmod(unique, n)), which.reshape(-1), uses


def face_neighbours(faces: Indices) -> tuple[Indices, Indices]:
    """Pairs of faces that share an edge, (k, 2), and that edge's number in ``edge_table``, (k,)."""
    _, which, uses = edge_table(faces)
    order = np.argsort(which, kind="stable")
    inner = order[np.repeat(uses == 2, uses)].reshape(-1, 2)
    return inner // 3, which[inner[:, 0]]


def _compact(mesh: TriangleMesh) -> TriangleMesh:
    used, faces = np.unique(mesh.faces, return_inverse=True)
    return TriangleMesh(mesh.vertices[used], faces.reshape(-1, 3).astype(np.int64))


def _welded(mesh: TriangleMesh, within: float, told: list[str]) -> TriangleMesh:
    pairs = cKDTree(mesh.vertices).query_pairs(within, output_type="ndarray")
    if not len(pairs):
        return _compact(mesh)
    n = len(mesh.vertices)
    links = coo_matrix((np.ones(len(pairs)), (pairs[:, 0], pairs[:, 1])), shape=(n, n))
    count, group = connected_components(links, directed=False)
    first = np.full(count, n)
    np.minimum.at(first, group, np.arange(n))
    told.append(f"joined {n - count} doubled corners")
    return _compact(TriangleMesh(mesh.vertices, first[group][mesh.faces].astype(np.int64)))


def _without_empty_faces(mesh: TriangleMesh, told: list[str]) -> TriangleMesh:
    faces = mesh.faces
    apart = (faces[:, 0] != faces[:, 1]) & (faces[:, 1] != faces[:, 2]) & (faces[:, 2] != faces[:, 0])
    corners = mesh.face_corners()
    sides = np.linalg.norm(np.roll(corners, -1, axis=1) - corners, axis=2).max(axis=1)
    flat = mesh.face_areas() < 1e-7 * np.maximum(sides, 1e-300) ** 2
    _, first = np.unique(np.sort(faces, axis=1), axis=0, return_index=True)
    once = np.zeros(len(faces), dtype=bool)
    once[first] = True
    keep = apart & ~flat & once
    if not keep.any():
        raise MeshBroken("no face of the mesh has an area")
    if not keep.all():
        told.append(f"left out {int((~keep).sum())} empty or doubled faces")
    return _compact(TriangleMesh(mesh.vertices, faces[keep]))


def _refuse_shared_edges(mesh: TriangleMesh) -> None:
    _, _, uses = edge_table(mesh.faces)
    many = int((uses > 2).sum())
    if many:
        raise MeshBroken(f"three or more sheets meet at {many} edges of the mesh")


def _without_crumbs(mesh: TriangleMesh, told: list[str]) -> TriangleMesh:
    part = face_parts(mesh.faces)
    area = np.bincount(part, weights=mesh.face_areas())
    small = area < CRUMB * area.sum()
    if not small.any() or small.all():
        return mesh
    told.append(f"left out {int(small.sum())} loose crumbs")
    return _compact(TriangleMesh(mesh.vertices, mesh.faces[~small[part]]))


def face_parts(faces: Indices) -> Indices:
    """Number of the connected part that each face belongs to, across shared edges, (m,)."""
    pairs, _ = face_neighbours(faces)
    m = len(faces)
    links = coo_matrix((np.ones(len(pairs)), (pairs[:, 0], pairs[:, 1])), shape=(m, m))
    parts: Indices = connected_components(links, directed=False)[1].astype(np.int64)
    return parts


def _facing_alike(mesh: TriangleMesh, told: list[str]) -> TriangleMesh:
    """Turn faces so that neighbours agree, and closed parts face outward."""
    faces = mesh.faces.copy()
    _, which, _ = edge_table(faces)
    directed = faces[:, [0, 1, 1, 2, 2, 0]].reshape(-1, 2)
    forward = directed[:, 0] < directed[:, 1]
    pairs, shared = face_neighbours(faces)
    m = len(faces)
    by_edge = np.argsort(which, kind="stable")
    starts = np.searchsorted(which[by_edge], shared)
    # Two faces agree when they run along their edge in opposite directions.
    agree = forward[by_edge[starts]] != forward[by_edge[starts + 1]]
    # Every face stands twice, as it is and turned over; what agrees hangs together.
    f, g = pairs.T
    other = np.where(agree, g, g + m)
    links = coo_matrix(
        (np.ones(2 * len(pairs)), (np.r_[f, f + m], np.r_[other, (other + m) % (2 * m)])),
        shape=(2 * m, 2 * m),
    )
    side = connected_components(links, directed=False)[1]
    if (side[:m] == side[m:]).any():
        raise MeshBroken("a part of the mesh has only one side, like a band joined with a half twist")
    part = face_parts(faces)
    _, first = np.unique(part, return_index=True)
    flip = side[:m] != side[first][part]
    faces[flip] = faces[flip][:, ::-1]
    turned = TriangleMesh(mesh.vertices, faces)
    corners = turned.face_corners() - mesh.vertices.mean(axis=0)
    volume = np.einsum("ij,ij->i", corners[:, 0], np.cross(corners[:, 1], corners[:, 2]))
    inward = np.bincount(part, weights=volume) < 0.0
    faces[inward[part]] = faces[inward[part]][:, ::-1]
    changed = int((faces[:, 0] != mesh.faces[:, 0]).sum())
    if changed:
        told.append(f"turned {changed} faces the right way out")
    return TriangleMesh(mesh.vertices, faces)


def _with_parted_corners(mesh: TriangleMesh, told: list[str]) -> TriangleMesh:
    """A corner that only joins two fans of faces tip to tip becomes two."""
    edges, _, _ = edge_table(mesh.faces)
    parted = fans(mesh.faces, np.zeros(len(edges), dtype=bool))
    extra = int(parted.max()) + 1 - len(mesh.vertices)
    if extra <= 0:
        return mesh
    told.append(f"parted {extra} corners where surfaces only touch")
    origin = np.empty(int(parted.max()) + 1, dtype=np.int64)
    origin[parted.ravel()] = mesh.faces.ravel()
    return TriangleMesh(mesh.vertices[origin], parted)


def fans(faces: Indices, cut: NDArray[np.bool_]) -> Indices:
    """Faces over new corners, one for every fan of faces about an old corner that no cut divides, (m, 3).

    cut : (e,) of the edges in ``edge_table``, True where faces are parted.
    """
    _, which, uses = edge_table(faces)
    order = np.argsort(which, kind="stable")
    joined = np.repeat((uses == 2) & ~cut, uses)
    halves = order[joined].reshape(-1, 2)
    corner, following = halves, halves // 3 * 3 + (halves + 1) % 3
    old = faces.ravel()
    alike = old[corner[:, 0]] == old[corner[:, 1]]
    a = np.concatenate([corner[:, 0], following[:, 0]])
    b = np.concatenate(
        [np.where(alike, corner[:, 1], following[:, 1]), np.where(alike, following[:, 1], corner[:, 1])]
    )
    links = coo_matrix((np.ones(len(a)), (a, b)), shape=(faces.size, faces.size))
    fan: Indices = connected_components(links, directed=False)[1].astype(np.int64)
    return fan.reshape(-1, 3)


def _closed_holes(mesh: TriangleMesh, longest: float, told: list[str]) -> TriangleMesh:
    vertices, faces = [mesh.vertices], [mesh.faces]
    count, closed = len(mesh.vertices), 0
    loops = mesh.boundary_loops()
    for loop in loops:
        rim = mesh.vertices[loop]
        if length(rim, closed=True) > longest:
            continue
        vertices.append(rim.mean(axis=0)[None])
        following = np.roll(loop, -1)
        faces.append(np.column_stack([following, loop, np.full(len(loop), count)]))
        count, closed = count + 1, closed + 1
    if closed:
        told.append(f"closed {closed} small hole{'s' if closed > 1 else ''}")
    return TriangleMesh(np.concatenate(vertices), np.concatenate(faces))
