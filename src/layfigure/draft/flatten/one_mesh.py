"""Several panels as one mesh that hangs together nowhere: what is done for every panel is then done once."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from functools import lru_cache
from itertools import accumulate, pairwise

import numpy as np
from numpy.typing import NDArray

from layfigure.draft.flatten.connections import KEPT_MESHES, Connections, Part, Pattern

Indices = NDArray[np.int64]


def slices(counts: Iterable[int]) -> tuple[slice, ...]:
    """Where each of several groups stands when they stand one behind the other."""
    return tuple(slice(*ends) for ends in pairwise(accumulate((int(c) for c in counts), initial=0)))


@lru_cache(maxsize=KEPT_MESHES)
def one_mesh(meshes: tuple[Connections, ...]) -> Connections:
    """The panels' meshes one behind the other, each eliminated in its own order."""
    vertices = slices(mesh.count for mesh in meshes)
    faces = slices(len(mesh.faces) for mesh in meshes)
    sides = slices(len(mesh.ends) for mesh in meshes)
    outlines = slices(mesh.loop.size for mesh in meshes)
    inner = slices(mesh.inner.size for mesh in meshes)
    side_count = sides[-1].stop

    def joined(arrays: Iterable[NDArray[np.integer]], places: Sequence[slice], each: int = 1) -> Indices:
        return np.concatenate(
            [array + each * place.start for array, place in zip(arrays, places, strict=True)]
        )

    def pattern(patterns: Sequence[Pattern]) -> Pattern:
        # Values are taken from all sides first, then from all vertices.
        sources = [
            np.where(
                part.source < len(mesh.ends),
                part.source + side.start,
                part.source - len(mesh.ends) + side_count + vertex.start,
            )
            for part, mesh, side, vertex in zip(patterns, meshes, sides, vertices, strict=True)
        ]
        rows, columns = (slices(part.shape[k] for part in patterns) for k in (0, 1))
        return Pattern(
            (rows[-1].stop, columns[-1].stop),
            np.concatenate(sources),
            joined([part.indices for part in patterns], rows).astype(np.int32),
            _joined_starts([part.starts for part in patterns]),
        )

    return Connections(
        parts=tuple(
            Part(vertices=v, faces=f, outline=o, inner=i)
            for v, f, o, i in zip(vertices, faces, outlines, inner, strict=True)
        ),
        count=vertices[-1].stop,
        faces=joined([mesh.faces for mesh in meshes], vertices),
        loop=joined([mesh.loop for mesh in meshes], vertices),
        inner=joined([mesh.inner for mesh in meshes], vertices),
        free=joined([mesh.free for mesh in meshes], vertices),
        sides=joined([mesh.sides for mesh in meshes], sides),
        ends=joined([mesh.ends for mesh in meshes], vertices),
        outline_corners=joined([mesh.outline_corners for mesh in meshes], faces, 3),
        inner_pattern=pattern([mesh.inner_pattern for mesh in meshes]),
        free_pattern=pattern([mesh.free_pattern for mesh in meshes]),
        outline_pattern=pattern([mesh.outline_pattern for mesh in meshes]),
        coupling_pattern=pattern([mesh.coupling_pattern for mesh in meshes]),
        reducing_pattern=pattern([mesh.reducing_pattern for mesh in meshes]),
        vertex_starts=_joined_starts([mesh.vertex_starts for mesh in meshes]),
        vertex_corners=joined([mesh.vertex_corners for mesh in meshes], faces, 3).astype(np.int32),
    )


def _joined_starts(starts: Sequence[NDArray[np.int32]]) -> NDArray[np.int32]:
    """Where each group starts, and where the last ends, of lists one behind the other."""
    before = np.cumsum([0, *(each[-1] for each in starts)])
    parts = [each[:-1] + first for each, first in zip(starts, before, strict=False)]
    return np.concatenate([*parts, before[-1:]]).astype(np.int32)
