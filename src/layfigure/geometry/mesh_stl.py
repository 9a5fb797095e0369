"""STL, ASCII or binary: triangles that share no corners until they are welded."""

from __future__ import annotations

import numpy as np

from layfigure.geometry.mesh import TriangleMesh

_TRIANGLE = np.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("attribute", "<u2")])


def read_stl(data: bytes) -> TriangleMesh:
    """Three corners a triangle. Raises ValueError for a file cut short."""
    count = int.from_bytes(data[80:84], "little") if len(data) >= 84 else -1
    # A binary file may begin with the word "solid" too, so its size decides.
    if count >= 0 and len(data) >= 84 + 50 * count and (len(data) == 84 + 50 * count or data[:5] != b"solid"):
        corners = np.frombuffer(data, dtype=_TRIANGLE, count=count, offset=84)["corners"]
        points = corners.reshape(-1, 3).astype(np.float64)
    elif data[:5].lower() == b"solid":
        numbers = [
            line.split()[1:4]
            for line in data.decode("utf-8", errors="replace").splitlines()
            if line.strip().lower().startswith("vertex")
        ]
        points = np.array(numbers, dtype=np.float64).reshape(-1, 3)
        if len(points) % 3:
            raise ValueError("its last triangle is not whole")
    else:
        raise ValueError("it ends before its last triangle")
    return TriangleMesh(points, np.arange(len(points), dtype=np.int64).reshape(-1, 3))
