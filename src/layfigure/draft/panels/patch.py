"""One panel cut out of a divided surface: its faces, opened along its own seams, and its outline."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import coo_matrix
from scipy.sparse.csgraph import connected_components

from layfigure.draft.panels.arrangement import Arrangement
from layfigure.errors import DraftError

Points = NDArray[np.float64]
Indices = NDArray[np.int64]


@dataclass(frozen=True, slots=True, eq=False)
class Patch:
    """A disk of faces.

    faces : (m, 3) indices into its own vertices. rows : (m,) the arrangement's faces they are.
    origin : (n,) arrangement vertex of each vertex; a vertex on an opened seam appears twice.
    loop : (b,) outline, counter-clockwise from outside. line : (b,) name of what the outline's step from
    each loop vertex to the next runs along, index into ``names``.
    """

    faces: Indices
    rows: Indices
    origin: Indices
    loop: Indices
    line: Indices
    names: tuple[str, ...]


def cut_patch(
    arrangement: Arrangement,
    chosen: NDArray[np.bool_],
    lines: dict[str, NDArray[np.bool_]],
    *,
    where: str,
) -> Patch:
    """Take faces out of an arrangement, opened along named lines, as one disk.

    chosen : (m,) faces of the panel. lines : name to (m, 3) sides that are cut there; a chosen face's side
    on such a line is outline even where the panel lies on both sides of it. The first name that claims a
    side names it. where : for error messages.
    Raises DraftError when the faces do not form one disk bounded by the named lines.
    """
    rows = np.flatnonzero(chosen)
    if rows.size == 0:
        raise DraftError(
            "no cloth is left between the edges of this panel.", where=where, advice="Move its edges apart."
        )
    faces = arrangement.faces[rows]
    names = tuple(lines)
    named = np.full(faces.shape, -1, dtype=np.int64)
    for k, sides in enumerate(lines.values()):
        named[(named < 0) & sides[rows]] = k
    rows, faces, named = _main_part(rows, faces, named)
    corner = _opened_corners(faces, named)
    origin = np.zeros(int(corner.max()) + 1, dtype=np.int64)
    origin[corner.ravel()] = faces.ravel()
    loop, line = _outline(corner, named, where)
    return Patch(corner, rows, origin, loop, line, names)


def side_pairs(faces: Indices, open_sides: NDArray[np.bool_]) -> tuple[Indices, Indices, Indices, Indices]:
    """Neighbouring faces across every side that is not opened: rows f, g and the corners opposite in each."""
    m = len(faces)
    opposite = np.tile(np.arange(3), m)
    row = np.repeat(np.arange(m), 3)
    a = faces[row, (opposite + 1) % 3]
    b = faces[row, (opposite + 2) % 3]
    keep = ~open_sides.ravel()
    row, opposite, a, b = row[keep], opposite[keep], a[keep], b[keep]
    key = np.minimum(a, b) * (int(faces.max()) + 1) + np.maximum(a, b)
    order = np.argsort(key, kind="stable")
    key, row, opposite = key[order], row[order], opposite[order]
    same = np.flatnonzero(key[1:] == key[:-1])
    return row[same], row[same + 1], opposite[same], opposite[same + 1]


def _main_part(rows: Indices, faces: Indices, named: Indices) -> tuple[Indices, Indices, Indices]:
    """Keep the part that meets the most lines, the larger of two: a hand hangs below the waist as well, and
    specks are cut off where a field wavers.
    """
    f, g, _, _ = side_pairs(faces, named >= 0)
    graph = coo_matrix((np.ones(len(f)), (f, g)), shape=(len(faces), len(faces)))
    count, part = connected_components(graph, directed=False)
    if count == 1:
        return rows, faces, named
    met = np.zeros((count, int(named.max()) + 1), dtype=bool)
    row, corner = np.nonzero(named >= 0)
    met[part[row], named[row, corner]] = True
    keep = part == np.lexsort((np.bincount(part), met.sum(axis=1)))[-1]
    return rows[keep], faces[keep], named[keep]


def _opened_corners(faces: Indices, named: Indices) -> Indices:
    """Vertex numbers of every corner after opening: corners stay together where faces meet across a side."""
    f, g, cf, cg = side_pairs(faces, named >= 0)
    links_a, links_b = [], []
    for step in (1, 2):
        first = f * 3 + (cf + step) % 3
        # Across a side both faces run it in opposite directions.
        second = g * 3 + (cg + 3 - step) % 3
        links_a.append(first)
        links_b.append(second)
    a, b = np.concatenate(links_a), np.concatenate(links_b)
    graph = coo_matrix((np.ones(len(a)), (a, b)), shape=(faces.size, faces.size))
    _, label = connected_components(graph, directed=False)
    corners: Indices = label.astype(np.int64).reshape(faces.shape)
    return corners


def _outline(faces: Indices, named: Indices, where: str) -> tuple[Indices, Indices]:
    """The outline as one loop with the line each step runs along."""
    row, opposite = np.nonzero(np.ones(faces.shape, dtype=bool))
    start, end = faces[row, (opposite + 1) % 3], faces[row, (opposite + 2) % 3]
    n = int(faces.max()) + 1
    border = ~np.isin(start * n + end, end * n + start)
    if (named[row[border], opposite[border]] < 0).any():
        raise DraftError(
            "a panel runs into the end of the surface before it meets one of its edges.",
            where=where,
            advice="Move the edge nearer to the middle of the garment.",
        )
    following = {
        int(s): (int(e), int(k))
        for s, e, k in zip(start[border], end[border], named[row[border], opposite[border]], strict=True)
    }
    if len(following) != int(border.sum()):
        raise DraftError(
            "two edges of a panel touch.", where=where, advice="Leave at least 20 mm of cloth between them."
        )
    first = min(following)
    loop, line = [], []
    at = first
    while True:
        nxt, kind = following[at]
        loop.append(at)
        line.append(kind)
        at = nxt
        if at == first or len(loop) > len(following):
            break
    if len(loop) != len(following):
        raise DraftError(
            "the edges of a panel do not close into one outline.",
            where=where,
            advice="Check that its edges run right round, and that windows do not cross them.",
        )
    return np.array(loop, dtype=np.int64), np.array(line, dtype=np.int64)
