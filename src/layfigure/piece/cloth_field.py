"""What is asked of the cloth of one piece when it is worn, place by place on the flat piece.

A field is for the screen and for words: nothing that is printed or exported carries it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

Points = NDArray[np.float64]
Indices = NDArray[np.int64]
FieldUnit = Literal["%", "kPa", "mm"]


@dataclass(frozen=True, slots=True, kw_only=True)
class FieldBand:
    """Values up to a limit, in the field's unit, and what they mean to the maker."""

    limit: float
    words: str


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ClothField:
    """One number at every vertex of a mesh over the flat piece.

    slug : of the field, unique on its piece. title : what is shown. vertices : (n, 2) in the piece's own
    coordinates [mm]. faces : (m, 3), covering all within the stitch line. values : (n,) in ``unit``.
    bands : limits rising, the last without end. least_is_worst : as with the radius of a bend.
    said : words for one value, as in ``stretched by {}``.
    """

    slug: str
    title: str
    vertices: Points
    faces: Indices
    values: Points
    unit: FieldUnit
    bands: tuple[FieldBand, ...]
    said: str
    least_is_worst: bool = False

    @property
    def badness(self) -> Points:
        """The values, or less than nothing of them, so that the worst is the greatest, (n,)."""
        return -self.values if self.least_is_worst else self.values

    @property
    def worst(self) -> int:
        """Vertex of the worst value."""
        return int(self.badness.argmax())


def at_vertices(values: Points, weights: Points, faces: Indices, count: int) -> Points:
    """Values of faces as values of their vertices: the mean over the faces round each, by weight, (n,).

    values, weights : (m,). count : of vertices. A vertex without a face gets 0.
    """
    total = np.bincount(faces.ravel(), weights=np.repeat(weights, 3), minlength=count)
    summed = np.bincount(faces.ravel(), weights=np.repeat(values * weights, 3), minlength=count)
    means: Points = np.divide(summed, total, out=np.zeros(count), where=total > 0.0)
    return means


def rising(bands: list[tuple[float, str]]) -> tuple[FieldBand, ...]:
    """Bands from limits and words, without those that an earlier limit leaves no room for."""
    kept: list[FieldBand] = []
    for limit, words in bands:
        if not kept or limit > kept[-1].limit + 1e-9:
            kept.append(FieldBand(limit=limit, words=words))
    return tuple(kept)
