"""A pouch as it hangs on the belt, plainly: a box or a cylinder against the hip."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from layfigure.geometry.mesh import TriangleMesh

Points = NDArray[np.float64]

SIDES = 24


def box_mesh(width: float, depth: float, height: float) -> TriangleMesh:
    """A box about the origin, its top at 0: x across, y outward from 0 to depth, z up [mm]."""
    x, y, z = (0.5 * width, depth, -height)
    corners = np.array([(a, b, c) for a in (-x, x) for b in (0.0, y) for c in (z, 0.0)])
    quads = [(0, 1, 3, 2), (4, 6, 7, 5), (0, 4, 5, 1), (2, 3, 7, 6), (0, 2, 6, 4), (1, 5, 7, 3)]
    faces = [face for a, b, c, d in quads for face in ((a, b, c), (a, c, d))]
    return TriangleMesh(vertices=corners, faces=np.array(faces, dtype=np.int64))


def cylinder_mesh(diameter: float, height: float) -> TriangleMesh:
    """An upright cylinder, its top at 0, touching y = 0 from outside [mm]."""
    angle = 2.0 * np.pi * np.arange(SIDES) / SIDES
    ring = 0.5 * diameter * np.column_stack([np.cos(angle), np.sin(angle) + 1.0])
    rows = [np.column_stack([ring, np.full(SIDES, z)]) for z in (-height, 0.0)]
    caps = np.array([(0.0, 0.5 * diameter, -height), (0.0, 0.5 * diameter, 0.0)])
    here = np.arange(SIDES)
    right = np.roll(here, -1)
    bottom, top = 2 * SIDES, 2 * SIDES + 1
    faces = [
        np.column_stack([here, right, right + SIDES]),
        np.column_stack([here, right + SIDES, here + SIDES]),
        np.column_stack([np.full(SIDES, bottom), right, here]),
        np.column_stack([np.full(SIDES, top), here + SIDES, right + SIDES]),
    ]
    return TriangleMesh(vertices=np.vstack([*rows, caps]), faces=np.concatenate(faces).astype(np.int64))


def hung(mesh: TriangleMesh, place: Points, turn: float) -> TriangleMesh:
    """The mesh with its origin at a place on the body, y pointing outward in a direction [turns]."""
    angle = 2.0 * np.pi * turn
    out = np.array([np.sin(angle), -np.cos(angle), 0.0])
    # Seen from outside, x runs to the right.
    aside = np.array([np.cos(angle), np.sin(angle), 0.0])
    frame = np.stack([aside, out, np.array([0.0, 0.0, 1.0])])
    flipped = mesh.faces if np.linalg.det(frame) > 0.0 else mesh.faces[:, ::-1]
    return TriangleMesh(vertices=mesh.vertices @ frame + place, faces=flipped)
