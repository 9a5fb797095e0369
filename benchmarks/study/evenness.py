"""How evenly the shape of a closed window came through, wherever it was put."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

import numpy as np
from benchmarks.study.costume import TrueEdge
from benchmarks.study.scenes import Sitting
from numpy.typing import NDArray

from layfigure.body.chart import RegionChart
from layfigure.study.reading import MarkReading

Points = NDArray[np.float64]


def shape_errors(
    sitting: Sitting, readings: Sequence[MarkReading], charts: Mapping[str, RegionChart]
) -> Iterator[float]:
    """Of every window that one picture shows whole: what its marks are off by, root mean square [mm].

    Read and true marks are laid flat on the wearer, along and around, and the read ones turned and shifted
    to lie as near to the true as they can: only their shape counts. charts : the wearer's.
    """
    edges = {edge.slug: edge for edge in sitting.scene.costume}
    queue = iter(readings)
    for marks, which in zip(sitting.marks, sitting.which, strict=True):
        for stretch, truth in zip(marks.edges, which, strict=True):
            own = [next(queue) for _ in range(len(stretch.points))]
            edge = edges[stretch.slug]
            if edge.kind != "window" or not stretch.closed or any(r.region != edge.region for r in own):
                continue
            read = np.array([(r.station, r.around) for r in own])
            yield _shape_error(*_flat(edge, truth, read, charts[edge.region]))


def _flat(
    edge: TrueEdge, truth: NDArray[np.int64], read: Points, chart: RegionChart
) -> tuple[Points, Points]:
    """Read and true marks from the window's middle, along and around, (m, 2) [mm]."""
    true = np.stack([edge.station[truth], edge.around[truth]], axis=1)
    middle = true.mean(axis=0)
    centres = chart.sections.mean(axis=1)
    low, high = (
        np.array([np.interp(middle[0] + step, chart.stations, centres[:, k]) for k in range(3)])
        for step in (-0.1, 0.1)
    )
    scale = np.array([np.linalg.norm(high - low) / 0.2, float(chart.girth(middle[:1])[0])])
    off = read - true
    off[:, 1] = (off[:, 1] + 0.5) % 1.0 - 0.5
    return (true + off - middle) * scale, (true - middle) * scale


def _shape_error(read: Points, true: Points) -> float:
    """Root mean square distance after the best turn and shift, both (m, 2)."""
    read, true = read - read.mean(axis=0), true - true.mean(axis=0)
    left, _, right = np.linalg.svd(read.T @ true)
    turn = left @ np.diag([1.0, np.sign(np.linalg.det(left @ right))]) @ right
    return float(np.sqrt(((read @ turn - true) ** 2).sum(axis=1).mean()))
