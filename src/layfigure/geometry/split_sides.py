"""Triangles divided at some of their sides, so that a flat mesh follows what it stands for more closely."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from layfigure.geometry.mesh_repair import edge_table

Points = NDArray[np.float64]
Indices = NDArray[np.int64]


def followed(
    places: Points, faces: Indices, lie: Callable[[Points], Points], *, off: float, rounds: int
) -> tuple[Points, Indices, Points]:
    """A mesh finer where straight sides leave the surface that its places stand for.

    places : (n, d). faces : (m, 3). lie : where they lie, (k, d) to (k, 3) [mm]. off : a side whose
    middle lies further than this beside where it should is divided [mm]. rounds : how often at most.
    Returns places, faces and where the places lie; those given come first.
    """
    lying = lie(places)
    straight = np.zeros(len(faces), dtype=np.bool_)
    for _ in range(rounds):
        sides, which, _ = edge_table(faces)
        # Sides that were found straight stay so.
        asked = np.unique(which.reshape(-1, 3)[~straight])
        ends = sides[asked]
        middles = places[ends].mean(axis=1)
        there = lie(middles)
        crooked = np.linalg.norm(there - lying[ends].mean(axis=1), axis=1) > off
        if not crooked.any():
            break
        new = np.full(len(sides), -1)
        new[asked[crooked]] = len(places) + np.arange(int(crooked.sum()))
        faces, straight = _split(faces, new[which].reshape(-1, 3))
        places, lying = np.vstack([places, middles[crooked]]), np.vstack([lying, there[crooked]])
    return places, faces, lying


def _split(faces: Indices, new: Indices) -> tuple[Indices, NDArray[np.bool_]]:
    """Faces divided at new corners, (m, 3), on the sides that start at each of their own, -1 for none; and
    which are as they were.
    """
    count = (new >= 0).sum(axis=1)
    parts = [faces[count == 0]]
    # Turned so that an only new corner lies on the first side, and of two new corners the third has none.
    for turn in range(3):
        (a, b, c), (p, q, r) = (np.roll(each, -turn, axis=1).T for each in (faces, new))
        one = (count == 1) & (p >= 0)
        parts += [np.column_stack(each)[one] for each in ((a, p, c), (p, b, c))]
        two = (count == 2) & (r < 0)
        parts += [np.column_stack(each)[two] for each in ((p, b, q), (a, p, q), (a, q, c))]
    (a, b, c), (p, q, r) = faces.T, new.T
    parts += [np.column_stack(each)[count == 3] for each in ((a, p, r), (p, b, q), (r, q, c), (p, q, r))]
    split = np.concatenate(parts)
    return split, np.arange(len(split)) < len(parts[0])
