"""A strip of triangles between two lines in space, unrolled exactly.

Every triangle keeps its three sides, so both lines keep the length of each of their sides and strips that
share a line share its length. Source: triangulated development, as in sheet-metal drafting.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

Points = NDArray[np.float64]
Complex = NDArray[np.complex128]


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
    # Every field by itself first, its own cross line from 0 along the real axis.
    end = lengths.across[:-1].astype(np.complex128)
    start = np.zeros_like(end)
    next_across = lengths.across[1:]
    turned = lengths.turned
    first = _apex(
        start,
        end,
        np.where(turned, lengths.diagonal, lengths.left),
        np.where(turned, lengths.right, lengths.diagonal),
    )
    second = _apex(
        np.where(turned, start, first),
        np.where(turned, first, end),
        np.where(turned, lengths.left, next_across),
        np.where(turned, next_across, lengths.right),
    )
    own_left, own_right = np.where(turned, second, first), np.where(turned, first, second)
    # Each field is turned by the cross line that the one before ends with, and begins where that ends.
    turns = np.exp(1j * np.cumsum(np.angle(own_right - own_left)))
    headings = np.concatenate([[1.0], turns[:-1]])
    left = np.concatenate([[0.0], np.cumsum(headings * own_left)])
    right = np.concatenate([lengths.across[:1], left[:-1] + headings * own_right])
    return FlatStrip(left=_places(left), right=_places(right))


def _apex(start: Complex, end: Complex, from_start: Points, from_end: Points) -> Complex:
    """Third corners, to the left of the ways from start to end, by their distances from both."""
    base = np.abs(end - start)
    at_start = from_start < 1e-9
    at_end = ~at_start & (from_end < 1e-9)
    proper = ~at_start & ~at_end
    if (base[proper] < 1e-9).any():
        raise ValueError("a field of the strip has no area")
    safe = np.where(proper, base, 1.0)
    along = (base**2 + from_start**2 - from_end**2) / (2.0 * safe)
    height = np.sqrt(np.maximum(from_start**2 - along**2, 0.0))
    apex = start + (end - start) / safe * (along + 1j * height)
    return np.select([at_start, at_end], [start, end], apex)


def _places(numbers: Complex) -> Points:
    return np.column_stack([numbers.real, numbers.imag])
