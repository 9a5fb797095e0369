"""A strand as a thin tube along its parts, for pictures."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from layfigure.draft.strand.count import StrandMake
from layfigure.draft.strand.swag import Swag
from layfigure.geometry.mesh import TriangleMesh
from layfigure.geometry.polyline import length, resample
from layfigure.geometry.transport import transport_frames
from layfigure.geometry.tube import rows_mesh, tube_rings

SIDES = 6
TRIANGLES = 2600
NECK = 0.35
"""Thickness between two beads or rings over that at their middles, in pictures only."""


def worn_strand(swags: Sequence[Swag], make: StrandMake) -> TriangleMesh:
    """Tube with a swelling a bead or ring, plain where there are too many to show."""
    counts = [max(swag.count, 1) for swag in swags]
    beaded = make.made_of != "cord" and 2 * SIDES * 2 * sum(counts) <= TRIANGLES
    plain = max(4, TRIANGLES // (2 * SIDES * len(swags)) - 2)
    meshes = []
    for swag, count in zip(swags, counts, strict=True):
        points = 2 * count + 1 if beaded else min(plain, max(4, int(length(swag.points) / 6.0)))
        line = resample(swag.points, points)
        radius = np.full(points, 0.5 * make.thickness)
        if beaded:
            radius[::2] *= NECK
        # Any direction will do that the strand does not begin along: the one it has least of.
        lean = np.eye(3)[int(np.argmin(np.abs(line[1] - line[0])))]
        frames = transport_frames(line, lean)
        meshes.append(rows_mesh(tube_rings(line, frames, radius, SIDES), closed=True))
    starts = np.cumsum([0, *(len(mesh.vertices) for mesh in meshes)])
    return TriangleMesh(
        np.concatenate([mesh.vertices for mesh in meshes]),
        np.concatenate([mesh.faces + start for mesh, start in zip(meshes, starts, strict=False)]),
    )
