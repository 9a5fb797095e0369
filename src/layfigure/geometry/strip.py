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

    left, right : (m, 2) the two lines [mm].
    """

    left: Points
    right: Points


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class StripLengths:
    """All lengths of a strip's triangles [mm], which determine it laid flat.

    left, right : (m - 1,) sides of the two lines. across : (m,) cross lines. diagonal : (m - 1,) of each
    field. turned : (m - 1,) True where it runs from left start to right end.
    """

    left: Points
    right: Points
    across: Points
    diagonal: Points
    turned: NDArray[np.bool_]


def strip_lengths(left: ArrayLike, right: ArrayLike) -> StripLengths:
    """Lengths of the strip between two lines in space, (m, 3) each, every field's shorter diagonal taken."""
    a, b = np.asarray(left, dtype=np.float64), np.asarray(right, dtype=np.float64)
    up, down = np.linalg.norm(b[1:] - a[:-1], axis=1), np.linalg.norm(a[1:] - b[:-1], axis=1)
    return StripLengths(
        left=np.linalg.norm(np.diff(a, axis=0), axis=1),
        right=np.linalg.norm(np.diff(b, axis=0), axis=1),
        across=np.linalg.norm(b - a, axis=1),
        diagonal=np.minimum(up, down),
        turned=up <= down,
    )


def unroll_strip(left: ArrayLike, right: ArrayLike) -> FlatStrip:
    """Lay the strip between two lines (m, 3) [mm] flat, every triangle as it is in space.

    A field whose two corners coincide at its end is one triangle. Raises ValueError for a field without area.
    """
    return lay_strip(strip_lengths(left, right))


def lay_strip(lengths: StripLengths) -> FlatStrip:
    """Lay a strip flat by its lengths, its first cross line on the x axis, running up.

    Raises ValueError for a field without area.
    """
    count = len(lengths.across)
    left, right = np.empty(count, dtype=np.complex128), np.empty(count, dtype=np.complex128)
    left[0], right[0] = 0.0, lengths.across[0]
    for k in range(count - 1):
        own, other, diagonal = lengths.left[k], lengths.right[k], lengths.diagonal[k]
        across = lengths.across[k + 1]
        if lengths.turned[k]:
            right[k + 1] = _apex(left[k], right[k], diagonal, other)
            left[k + 1] = _apex(left[k], right[k + 1], own, across)
        else:
            left[k + 1] = _apex(left[k], right[k], own, diagonal)
            right[k + 1] = _apex(left[k + 1], right[k], across, other)
    return FlatStrip(
        left=np.column_stack([left.real, left.imag]), right=np.column_stack([right.real, right.imag])
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
