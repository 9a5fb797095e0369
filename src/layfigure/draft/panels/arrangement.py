"""A surface divided along the zero sets of scalar fields, remembering where every corner came from.

Seams and edges of a garment are zero sets of fields on the template. Splitting every face they cross
turns "in front of the side seam, above the waist" into a plain selection of whole faces.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Points = NDArray[np.float64]
Indices = NDArray[np.int64]

SNAP = 0.02
"""A crossing nearer to a vertex than this share of the side is moved onto it: no slivers, and a seam
that strays by less than a fifth of a millimetre on the template's sides."""


@dataclass(frozen=True, slots=True, eq=False)
class Arrangement:
    """Faces of a surface, split so that no field changes sign inside one.

    faces : (m, 3) vertex indices. parent : (m,) face of the undivided surface each lies in.
    corners : (m, 3, 3) barycentric place of each corner in its parent.
    values : (v, k) every field at every vertex, exactly 0 on its zero set.
    signs : (m, k) int8, side of each field a face lies on, -1 or +1; 0 where it is flat zero.
    """

    faces: Indices
    parent: Indices
    corners: Points
    values: Points
    signs: NDArray[np.int8]

    def zero_sides(self, field: int) -> NDArray[np.bool_]:
        """(m, 3) whether the side opposite each corner lies on the zero set of a field."""
        zero = self.values[:, field][self.faces] == 0.0
        sides: NDArray[np.bool_] = np.stack(
            [zero[:, (c + 1) % 3] & zero[:, (c + 2) % 3] for c in range(3)], 1
        )
        return sides


def arrange(faces: Indices, fields: Points) -> Arrangement:
    """Split faces along the zero sets of fields, one field after another.

    faces : (m, 3) of the undivided surface. fields : (n, k) values at its vertices, linear inside a face.
    """
    pieces = faces.astype(np.int64)
    parent = np.arange(len(faces), dtype=np.int64)
    corners = np.tile(np.eye(3), (len(faces), 1, 1))
    values = np.array(fields, dtype=np.float64)
    for k in range(values.shape[1]):
        pieces, parent, corners, values = _split(pieces, parent, corners, values, k)
    centre = values[pieces].sum(axis=1)
    return Arrangement(pieces, parent, corners, values, np.sign(centre).astype(np.int8))


def undirected_sides(faces: Indices) -> Indices:
    """Every side once, (e, 2), smaller vertex first, in order: one sort of whole numbers, not of pairs."""
    a, b = faces.ravel(), faces[:, [1, 2, 0]].ravel()
    count = int(faces.max()) + 1
    keys = np.unique(np.minimum(a, b) * count + np.maximum(a, b))
    sides: Indices = np.stack(np.divmod(keys, count), axis=1)
    return sides


def _split(
    faces: Indices, parent: Indices, corners: Points, values: Points, k: int
) -> tuple[Indices, Indices, Points, Points]:
    """Split every face that field ``k`` crosses."""
    values = values.copy()
    f = values[:, k]
    sides = undirected_sides(faces)
    low, high = f[sides[:, 0]], f[sides[:, 1]]
    crossing = low * high < 0.0
    share = np.divide(low, low - high, out=np.zeros_like(low), where=crossing)
    f[sides[crossing & (share < SNAP), 0]] = 0.0
    f[sides[crossing & (share > 1.0 - SNAP), 1]] = 0.0

    low, high = f[sides[:, 0]], f[sides[:, 1]]
    crossing = low * high < 0.0
    cut = sides[crossing]
    share = (low / np.where(crossing, low - high, 1.0))[crossing][:, None]
    made = (1.0 - share) * values[cut[:, 0]] + share * values[cut[:, 1]]
    made[:, k] = 0.0
    count = len(values)
    values = np.vstack([values, made])
    f = values[:, k]
    keys = cut[:, 0] * count + cut[:, 1]

    def middle(a: Indices, b: Indices) -> Indices:
        pair = np.minimum(a, b) * count + np.maximum(a, b)
        found: Indices = count + np.searchsorted(keys, pair)
        return found

    sign = np.sign(f[faces])
    touched = (sign.min(axis=1) < 0) & (sign.max(axis=1) > 0)
    kept = ~touched
    new_faces, new_parent, new_corners = [faces[kept]], [parent[kept]], [corners[kept]]
    tri, home, place, s = faces[touched], parent[touched], corners[touched], sign[touched]

    def point(at: Points, rows: Indices, i: Indices, j: Indices, a: Indices, b: Indices) -> Points:
        """Barycentric place of the crossing between corners i and j (vertices a and b)."""
        t = (f[a] / (f[a] - f[b]))[:, None]
        between: Points = (1.0 - t) * at[rows, i] + t * at[rows, j]
        return between

    # Through a corner: one corner on the zero set, the other two on either side of it.
    through = (s == 0).any(axis=1)
    rows = np.flatnonzero(through)
    if rows.size:
        i = (s[rows] == 0).argmax(axis=1)
        j, l = (i + 1) % 3, (i + 2) % 3  # noqa: E741
        a, b, c = tri[rows, i], tri[rows, j], tri[rows, l]
        m = middle(b, c)
        at = point(place, rows, j, l, b, c)
        new_faces += [np.stack([a, b, m], 1), np.stack([a, m, c], 1)]
        new_corners += [
            np.stack([place[rows, i], place[rows, j], at], 1),
            np.stack([place[rows, i], at, place[rows, l]], 1),
        ]
        new_parent += [home[rows], home[rows]]
    # Across two sides: one corner alone on its side of the zero set.
    rows = np.flatnonzero(~through)
    if rows.size:
        alone = s[rows] == -np.sign(s[rows].sum(axis=1))[:, None]
        i = alone.argmax(axis=1)
        j, l = (i + 1) % 3, (i + 2) % 3  # noqa: E741
        a, b, c = tri[rows, i], tri[rows, j], tri[rows, l]
        m, n = middle(a, b), middle(c, a)
        at_m, at_n = point(place, rows, i, j, a, b), point(place, rows, i, l, a, c)
        new_faces += [np.stack(t, 1) for t in ([a, m, n], [m, b, c], [m, c, n])]
        at_a, at_b, at_c = place[rows, i], place[rows, j], place[rows, l]
        new_corners += [np.stack(t, 1) for t in ([at_a, at_m, at_n], [at_m, at_b, at_c], [at_m, at_c, at_n])]
        new_parent += [home[rows]] * 3
    return (
        np.concatenate(new_faces),
        np.concatenate(new_parent),
        np.concatenate(new_corners),
        values,
    )
