"""What a panel's stiffness owes to its mesh alone: which vertices meet, and in what order to eliminate them.

A design's mesh is the same on every wearer, so this is worked out once and remembered. Stiffness itself is
each wearer's own and is factored anew for her.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csc_matrix, csr_matrix, diags
from scipy.sparse.linalg import splu

Reals = NDArray[np.float64]
Indices = NDArray[np.int64]

KEPT_MESHES = 256
"""Panels of a few garments."""


@dataclass(frozen=True, slots=True, eq=False)
class Pattern:
    """Where a sparse matrix has values, and from where in :meth:`Connections.values` each is taken."""

    shape: tuple[int, int]
    source: Indices
    indices: NDArray[np.int32]
    starts: NDArray[np.int32]

    def columns(self, values: Reals) -> csc_matrix:
        """The matrix, read down its columns."""
        return csc_matrix((values[self.source], self.indices, self.starts), shape=self.shape)


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """Where one panel's vertices and faces are in a mesh, and its vertices in ``loop`` and ``inner``."""

    vertices: slice
    faces: slice
    outline: slice
    inner: slice


@dataclass(frozen=True, slots=True, eq=False)
class Connections:
    """The mesh of a panel, or of several that share nothing, as its stiffness sees it.

    parts : of each panel. count : n, of all vertices.
    loop : (b,) outline vertices in order. inner : (i,) the others, in the order that leaves their factors
    emptiest; free : (n - p,) the same of all but each of the p loops' first.
    sides : (m, 3) number of the side opposite each corner. ends : (e, 2) vertices of every side.
    outline_corners : (b,) number 3 m + k of the corner opposite each side of the outline, from each loop
    vertex to the next.
    inner_pattern, free_pattern : of the stiffness between those vertices; outline_pattern : between those of
    the loop; coupling_pattern : of ``inner`` (rows) with the loop. reducing_pattern : panel after panel,
    between ``inner`` and then the loop, without what ``inner`` feels of the loop and the loop of itself.
    vertex_starts, vertex_corners : the corners of faces, k of face f being 3 f + k, sorted by vertex.
    """

    parts: tuple[Part, ...]
    count: int
    faces: Indices
    loop: Indices
    inner: Indices
    free: Indices
    sides: Indices
    ends: Indices
    outline_corners: Indices
    inner_pattern: Pattern
    free_pattern: Pattern
    outline_pattern: Pattern
    coupling_pattern: Pattern
    reducing_pattern: Pattern
    vertex_starts: NDArray[np.int32]
    vertex_corners: NDArray[np.int32]

    def values(self, weights: Reals) -> Reals:
        """Values that the patterns take from: of every side, then of every vertex.

        weights : (m, 3) of every face's sides.
        """
        of_sides = np.bincount(self.sides.ravel(), weights=weights.ravel(), minlength=len(self.ends))
        of_vertices = np.bincount(self.ends.ravel(), weights=np.repeat(of_sides, 2))
        return np.concatenate([-of_sides, of_vertices])

    def by_vertices(self, corners: NDArray[Any]) -> csr_matrix:
        """Matrix (n, m) that sums over the faces at each vertex with the weights of its corners, (m, 3)."""
        faces, n = len(self.faces), self.count
        data = corners.ravel()[self.vertex_corners]
        return csr_matrix((data, self.vertex_corners // 3, self.vertex_starts), shape=(n, faces))

    def by_faces(self, corners: NDArray[Any]) -> csr_matrix:
        """Matrix (m, n) that sums over the corners of each face with the weights (m, 3)."""
        faces, n = len(self.faces), self.count
        starts = np.arange(0, 3 * faces + 1, 3, dtype=np.int32)
        return csr_matrix((corners.ravel(), self.faces.ravel().astype(np.int32), starts), shape=(faces, n))


def connections_of(faces: Indices, loop: Indices) -> Connections:
    """Connections of a mesh with one outline. faces : (m, 3); loop : (b,) in order."""
    return _connections(
        np.ascontiguousarray(faces, dtype=np.int64).tobytes(),
        np.ascontiguousarray(loop, dtype=np.int64).tobytes(),
    )


@lru_cache(maxsize=KEPT_MESHES)
def _connections(face_bytes: bytes, loop_bytes: bytes) -> Connections:
    faces = np.frombuffer(face_bytes, dtype=np.int64).reshape(-1, 3)
    loop = np.frombuffer(loop_bytes, dtype=np.int64)
    n = int(faces.max()) + 1
    order = _elimination_order(faces, n)
    held = np.zeros(n, dtype=np.bool_)
    held[loop] = True
    inner, free = order[~held[order]], order[order != loop[0]]
    outline_last = np.concatenate([inner, loop])

    tails, heads = faces[:, [1, 2, 0]].ravel(), faces[:, [2, 0, 1]].ravel()
    keys, sides = np.unique(np.minimum(tails, heads) * n + np.maximum(tails, heads), return_inverse=True)
    ends = np.stack(np.divmod(keys, n), axis=1)
    directed = tails * n + heads
    by_key = np.argsort(directed)
    outline = by_key[np.searchsorted(directed, loop * n + np.roll(loop, -1), sorter=by_key)]
    corners = faces.ravel()
    whole = Part(
        vertices=slice(0, n),
        faces=slice(0, len(faces)),
        outline=slice(0, loop.size),
        inner=slice(0, inner.size),
    )
    return Connections(
        parts=(whole,),
        count=n,
        faces=faces,
        loop=loop,
        inner=inner,
        free=free,
        sides=sides.reshape(-1, 3),
        ends=ends,
        outline_corners=outline,
        inner_pattern=_pattern(ends, inner, inner, n),
        free_pattern=_pattern(ends, free, free, n),
        outline_pattern=_pattern(ends, loop, loop, n),
        coupling_pattern=_pattern(ends, inner, loop, n),
        reducing_pattern=_pattern(ends, outline_last, outline_last, n, own_from=inner.size),
        vertex_starts=_starts(corners, n),
        vertex_corners=np.argsort(corners, kind="stable").astype(np.int32),
    )


def _pattern(
    ends: Indices, rows: Indices, columns: Indices, n: int, *, own_from: int | None = None
) -> Pattern:
    """Pattern of the stiffness of some vertices with some others.

    own_from : the column from which on columns have only what lies on the diagonal.
    """
    row_of, column_of = np.full(n, -1), np.full(n, -1)
    row_of[rows], column_of[columns] = np.arange(rows.size), np.arange(columns.size)
    both = np.concatenate([ends, ends[:, ::-1], np.repeat(np.arange(n), 2).reshape(-1, 2)])
    source = np.concatenate([np.arange(len(ends)), np.arange(len(ends) + n)])
    at, across = row_of[both[:, 0]], column_of[both[:, 1]]
    kept = np.flatnonzero((at >= 0) & (across >= 0))
    if own_from is not None:
        kept = kept[(across[kept] < own_from) | (at[kept] == across[kept])]
    kept = kept[np.argsort(across[kept] * n + at[kept])]
    starts = _starts(across[kept], columns.size)
    return Pattern((rows.size, columns.size), source[kept], at[kept].astype(np.int32), starts)


def _starts(groups: Indices, count: int) -> NDArray[np.int32]:
    """Where each group of a sorted list starts, and where the last ends, (count + 1,)."""
    return np.concatenate([[0], np.cumsum(np.bincount(groups, minlength=count))]).astype(np.int32)


def _elimination_order(faces: Indices, n: int) -> Indices:
    """All vertices in an order of least degree, found on a matrix that has nothing of any wearer in it.

    Some of them alone are eliminated in the same order: what is left out only leaves more of it empty.
    """
    i, j = faces.ravel(), faces[:, [1, 2, 0]].ravel()
    joined = csc_matrix((np.ones(2 * i.size), (np.r_[i, j], np.r_[j, i])), shape=(n, n))
    joined.data[:] = -1.0
    matrix = joined + diags(np.full(n, 1.0 + float(np.diff(joined.indptr).max(initial=0))), format="csc")
    factor = splu(matrix, permc_spec="MMD_AT_PLUS_A", diag_pivot_thresh=0.0, options={"SymmetricMode": True})
    ordered: Indices = np.argsort(factor.perm_c)
    return ordered
