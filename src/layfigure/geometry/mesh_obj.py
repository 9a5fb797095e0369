"""Wavefront OBJ: ``v`` and ``f`` lines; everything else is passed over."""

from __future__ import annotations

import itertools

import numpy as np

from layfigure.geometry.mesh import TriangleMesh


def read_obj(data: bytes) -> TriangleMesh:
    """Corners and faces; a face of more than three corners is cut into a fan. Raises ValueError."""
    vertices: list[tuple[float, float, float]] = []
    faces: list[tuple[int, int, int]] = []
    for number, line in enumerate(data.decode("utf-8", errors="replace").splitlines(), start=1):
        words = line.split()
        if not words:
            continue
        if words[0] == "v":
            if len(words) < 4:
                raise ValueError(f"line {number} has a corner without three numbers")
            vertices.append((float(words[1]), float(words[2]), float(words[3])))
        elif words[0] == "f":
            corners = [_corner(word, len(vertices)) for word in words[1:]]
            if len(corners) < 3:
                raise ValueError(f"line {number} has a face of fewer than three corners")
            faces.extend((corners[0], a, b) for a, b in itertools.pairwise(corners[1:]))
    return TriangleMesh(
        np.array(vertices, dtype=np.float64).reshape(-1, 3), np.array(faces, dtype=np.int64).reshape(-1, 3)
    )


def _corner(word: str, known: int) -> int:
    """Index of a corner such as ``7``, ``7/2/3`` or ``-1``, counted from 0."""
    index = int(word.split("/")[0])
    return index - 1 if index > 0 else known + index
