"""Where a posed figure's outline runs in a picture, and which of its points meet which marks.

A region's outline is the polyline through the outermost points of its sections, on either side of its
axis as the picture shows it. Points of contact are material: they stay with the figure while it moves
inside one step of the fit, and are found anew before the next.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from layfigure.study.figure import Material

Points = NDArray[np.float64]
Indices = NDArray[np.int64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Silhouette:
    """A region's outline in one picture.

    ends : (2, k) index within its section of the outermost point, toward +normal and -normal.
    lines : (2, k, 2) those points [px]. axis : (2,) from the first section to the last, unit [px].
    normal : (2,) square to the axis, unit.
    """

    ends: Indices
    lines: Points
    axis: Points
    normal: Points


def silhouette(pixels: Points) -> Silhouette:
    """Outline of one region from its projected sections, pixels (k, n, 2)."""
    centres = 0.5 * (pixels.min(axis=1) + pixels.max(axis=1))
    axis = centres[-1] - centres[0]
    axis = axis / max(float(np.linalg.norm(axis)), 1e-9)
    normal = np.array([-axis[1], axis[0]])
    across = pixels @ normal
    ends = np.stack([across.argmax(axis=1), across.argmin(axis=1)])
    lines = pixels[np.arange(len(pixels)), ends]
    return Silhouette(ends=ends, lines=lines, axis=axis, normal=normal)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Contacts:
    """Which point of the outline each mark meets.

    side : (m,) 0 toward +normal, 1 toward -normal. row : (m,) section before it; share : (m,) of the way to
    the next. normals : (m, 2) outward. overrun : (m,) how far beyond the region's end the mark lies [px].
    """

    side: Indices
    row: Indices
    share: Points
    normals: Points
    overrun: Points


def find_contacts(outline: Silhouette, marks: Points) -> Contacts:
    """Nearest points of an outline to marks (m, 2) [px]."""
    start = outline.lines[:, :-1].reshape(-1, 2)
    step = np.diff(outline.lines, axis=1).reshape(-1, 2)
    square = np.maximum((step**2).sum(axis=1), 1e-12)
    offset = marks[:, None] - start
    raw = (offset * step).sum(axis=2) / square
    share = np.clip(raw, 0.0, 1.0)
    distance = ((offset - share[..., None] * step) ** 2).sum(axis=2)
    best = distance.argmin(axis=1)
    rows = np.arange(len(marks))
    sides, row = np.divmod(best, outline.lines.shape[1] - 1)
    direction = step[best] / np.sqrt(square[best])[:, None]
    normals = np.stack([-direction[:, 1], direction[:, 0]], axis=1)
    outward = np.where(sides == 0, 1.0, -1.0)[:, None] * outline.normal
    normals *= np.where((normals * outward).sum(axis=1) >= 0.0, 1.0, -1.0)[:, None]
    beyond = np.abs(raw[rows, best] - share[rows, best]) * np.sqrt(square[best])
    return Contacts(side=sides, row=row, share=share[rows, best], normals=normals, overrun=beyond)


def end_at(outline: Silhouette, row: int, share: float, side: int) -> Contacts:
    """The outline at one place of its own, as a contact without a mark."""
    return Contacts(
        side=np.array([side]),
        row=np.array([row]),
        share=np.array([share]),
        normals=(1.0 - 2.0 * side) * outline.normal[None],
        overrun=np.zeros(1),
    )


def contact_material(grid: Material, count: int, outline: Silhouette, contacts: Contacts) -> Material:
    """Material of contacts, from a region's grid of k sections of ``count`` points."""
    first = contacts.row * count + outline.ends[contacts.side, contacts.row]
    second = (contacts.row + 1) * count + outline.ends[contacts.side, contacts.row + 1]
    return blend(grid, np.stack([first, second], axis=1), np.stack([1.0 - contacts.share, contacts.share], 1))


def blend(grid: Material, index: Indices, weights: Points) -> Material:
    """Material between grid points: index (m, j), weights (m, j) with rows that sum to 1."""
    w = weights[..., None]
    return Material(
        local=(grid.local[index] * w).sum(axis=1),
        centre=(grid.centre[index] * w).sum(axis=1),
        breadth=(grid.breadth[index] * w).sum(axis=1),
        bend=(grid.bend[index] * w).sum(axis=1),
        stretch=(grid.stretch[index] * w).sum(axis=1),
    )


def join(parts: list[Material]) -> Material:
    """Several materials of one region as one, in order."""
    return Material(
        local=np.concatenate([part.local for part in parts]),
        centre=np.concatenate([part.centre for part in parts]),
        breadth=np.concatenate([part.breadth for part in parts]),
        bend=np.concatenate([part.bend for part in parts]),
        stretch=np.concatenate([part.stretch for part in parts]),
    )
