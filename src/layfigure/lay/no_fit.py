"""No-fit polygons: where a part may be moved to without touching another, and within what it lies on.

For a fixed area A and a moving one B, both solid, B moved by t touches A exactly when t lies in the Minkowski
sum A + (-B) (Minkowski 1903; as the cutting trade uses it: Bennell and Oliveira, European Journal of
Operational Research 184, 2008). Clipper sweeps boundary along boundary; two whole copies fill what lies
inside.
Coordinates are whole thousandths of a millimetre, as Clipper has them.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import pyclipper
from numpy.typing import NDArray

Points = NDArray[np.float64]
Ring = list[tuple[int, int]]
Paths = list[Ring]

RUN = 8
"""Edges of a ring that are swept together: Clipper takes three times as long for a long ring at once."""

STEPS = 1000
"""Steps of the grid in a millimetre."""


def on_grid(outline: Points) -> Ring:
    """An outline in whole steps, counter-clockwise."""
    ring = [(int(x), int(y)) for x, y in np.rint(outline * STEPS).astype(np.int64).tolist()]
    return ring if pyclipper.Orientation(ring) else ring[::-1]


def reversed_through_origin(ring: Ring) -> Ring:
    """-B: the ring turned by half a turn, which keeps it counter-clockwise."""
    return [(-x, -y) for x, y in ring]


def moved(paths: Sequence[Sequence[tuple[int, int]]], x: int, y: int) -> Paths:
    """Paths moved by whole steps."""
    return [[(px + x, py + y) for px, py in path] for path in paths]


def sweep(ring: Ring, shape: Ring) -> Paths:
    """Every place that the solid ``shape`` covers while its origin runs once round ``ring``.

    Several areas, which may lie over one another.
    """
    closed = [*ring, ring[0]]
    swept: Paths = []
    for start in range(0, len(ring), RUN):
        run = closed[start : start + RUN + 1]
        # The boundary sweeps a band; a whole copy fills what the band leaves open.
        swept += _paths(pyclipper.MinkowskiSum(shape, run, False))
        swept += moved([shape], *run[0])
    return swept


def no_fit_polygon(fixed: Ring, moving: Ring) -> Paths:
    """Where the origin of ``moving`` must not be, or they overlap; the boundary is where they touch."""
    shape = reversed_through_origin(moving)
    x, y = shape[0]
    return union([*sweep(fixed, shape), *moved([fixed], x, y)])


def inner_fit(outer: Paths, moving: Ring) -> Paths:
    """Where the origin of ``moving`` may be so that it lies within an area with holes.

    outer : rings of the area, outlines counter-clockwise and holes clockwise.
    """
    shape = reversed_through_origin(moving)
    # A part that crosses no ring lies wholly inside or wholly outside: one of its points says which.
    x, y = shape[0]
    crossing = [path for ring in outer for path in sweep(ring, shape)]
    return difference(moved(outer, x, y), crossing)


def union(paths: Paths) -> Paths:
    """One area of overlapping ones, none of which is a hole unless it runs clockwise."""
    clipper = pyclipper.Pyclipper()
    _add(clipper, paths, pyclipper.PT_SUBJECT)
    return _paths(
        clipper.Execute(pyclipper.CT_UNION, pyclipper.PFT_NONZERO, pyclipper.PFT_NONZERO) if paths else []
    )


def difference(area: Paths, taken: Paths) -> Paths:
    """An area less another."""
    if not area:
        return []
    clipper = pyclipper.Pyclipper()
    _add(clipper, area, pyclipper.PT_SUBJECT)
    _add(clipper, taken, pyclipper.PT_CLIP)
    return _paths(clipper.Execute(pyclipper.CT_DIFFERENCE, pyclipper.PFT_NONZERO, pyclipper.PFT_NONZERO))


def line_outside(start: tuple[int, int], end: tuple[int, int], taken: Paths) -> Paths:
    """What is left of a straight line outside an area: pieces of two points or more."""
    if not taken or start == end:
        # Clipper gives nothing back of an open line that nothing is taken from.
        return [[start, end]]
    clipper = pyclipper.Pyclipper()
    clipper.AddPath([start, end], pyclipper.PT_SUBJECT, False)
    _add(clipper, taken, pyclipper.PT_CLIP)
    tree = clipper.Execute2(pyclipper.CT_DIFFERENCE, pyclipper.PFT_NONZERO, pyclipper.PFT_NONZERO)
    return _paths(pyclipper.OpenPathsFromPolyTree(tree))


def _add(clipper: pyclipper.Pyclipper, paths: Paths, kind: int) -> None:
    for path in paths:
        try:
            clipper.AddPath(path, kind, True)
        except pyclipper.ClipperException:
            # A ring that rounding has left without area.
            continue


def _paths(found: Sequence[Sequence[Sequence[int]]]) -> Paths:
    return [[(int(x), int(y)) for x, y in path] for path in found]
