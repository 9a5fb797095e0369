"""A strip of triangles between two lines in space, unrolled exactly.

Every triangle keeps its three sides, so both lines keep the length of each of their sides and strips that
share a line share its length. Source: triangulated development, as in sheet-metal drafting.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

Points = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FlatStrip:
    """A strip laid flat, seen from the side its triangles are counter-clockwise on.

    left, right : (m, 2) the two lines [mm]. turned : (m - 1,) which diagonal each four-sided field was cut
    along: True from left start to right end.
    """

    left: Points
    right: Points
    turned: NDArray[np.bool_]


def unroll_strip(left: ArrayLike, right: ArrayLike, *, turned: NDArray[np.bool_] | None = None) -> FlatStrip:
    """Lay a strip flat, starting with its first cross line on the x axis and running up.

    left, right : (m, 3) lines [mm] with corresponding points; a field whose two corners
    coincide at its end is one triangle. turned : diagonals, by default each field's shorter one.
    Raises ValueError for a field without area.
    """
    a, b = np.asarray(left, dtype=np.float64), np.asarray(right, dtype=np.float64)
    up = np.linalg.norm(b[1:] - a[:-1], axis=1)
    down = np.linalg.norm(a[1:] - b[:-1], axis=1)
    diagonal = up <= down if turned is None else turned
    flat_a, flat_b = np.empty(len(a), dtype=np.complex128), np.empty(len(b), dtype=np.complex128)
    flat_a[0], flat_b[0] = 0.0, np.linalg.norm(b[0] - a[0])
    sides_a, sides_b = (np.linalg.norm(np.diff(line, axis=0), axis=1) for line in (a, b))
    across = np.linalg.norm(b - a, axis=1)
    for k in range(len(a) - 1):
        if diagonal[k]:
            flat_b[k + 1] = _apex(flat_a[k], flat_b[k], float(up[k]), float(sides_b[k]))
            flat_a[k + 1] = _apex(flat_a[k], flat_b[k + 1], float(sides_a[k]), float(across[k + 1]))
        else:
            flat_a[k + 1] = _apex(flat_a[k], flat_b[k], float(sides_a[k]), float(down[k]))
            flat_b[k + 1] = _apex(flat_a[k + 1], flat_b[k], float(across[k + 1]), float(sides_b[k]))
    return FlatStrip(
        left=np.column_stack([flat_a.real, flat_a.imag]),
        right=np.column_stack([flat_b.real, flat_b.imag]),
        turned=diagonal,
    )


def _apex(start: complex, end: complex, from_start: float, from_end: float) -> complex:
    """Third corner, to the left of the way from start to end, by its distances from both."""
    base = abs(end - start)
    if from_start < 1e-9:
        return start
    if from_end < 1e-9:
        return end
    if base < 1e-9:
        raise ValueError("a field of the strip has no area")
    along = (base**2 + from_start**2 - from_end**2) / (2.0 * base)
    height = np.sqrt(max(from_start**2 - along**2, 0.0))
    return complex(start + (end - start) / base * (along + 1j * height))
