"""Where a posed figure's outline runs in a picture, and which of its points meet which marks.

A region's outline is the polyline through the outermost points of its sections, on either side of its
axis as the picture shows it. Points of contact are material: they stay with the figure while it moves
inside one step of the fit, and are found anew before the next.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from layfigure.study.region_model import Material

Points = NDArray[np.float64]
Indices = NDArray[np.int64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Silhouette:
    """A region's outline in one picture.

    ends : (2, k) index within its section of the outermost point, toward +normal and -normal.
    lines : (2, k, 2) those points [px]. axis : (2,) from the first section to the last, unit [px].
    normal : (2,) square to the axis, unit. For several pictures every array leads with their number.
    """

    ends: Indices
    lines: Points
    axis: Points
    normal: Points

    def seen(self, view: Indices) -> Silhouette:
        """The outline in the picture each of m marks is in, (m,): every array leads with the marks."""
        return Silhouette(
            ends=self.ends[view], lines=self.lines[view], axis=self.axis[view], normal=self.normal[view]
        )


def silhouette(pixels: Points) -> Silhouette:
    """Outline of one region from its projected sections, pixels (k, n, 2), or (views, k, n, 2)."""
    tips = pixels[..., [0, -1], :, :]
    centres = 0.5 * (tips.min(axis=-2) + tips.max(axis=-2))
    axis = centres[..., 1, :] - centres[..., 0, :]
    axis = axis / np.maximum(np.sqrt((axis**2).sum(axis=-1, keepdims=True)), 1e-9)
    normal = np.stack([-axis[..., 1], axis[..., 0]], axis=-1)
    x, y = normal[..., 0, None, None], normal[..., 1, None, None]
    across = pixels[..., 0] * x + pixels[..., 1] * y
    ends = np.stack([across.argmax(axis=-1), across.argmin(axis=-1)], axis=-2)
    sections = pixels.reshape(-1, *pixels.shape[-2:])
    number = np.arange(len(sections)).reshape(*pixels.shape[:-3], 1, -1)
    lines = sections[number, ends]
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
    """Nearest points of an outline to marks (m, 2) [px]: of one for all, or of one a mark."""
    segments = outline.lines.shape[-2] - 1
    shape = (*outline.lines.shape[:-3], 2 * segments)
    start = outline.lines[..., :-1, :].reshape(*shape, 2)
    step = np.diff(outline.lines, axis=-2).reshape(*shape, 2)
    step_x, step_y = step[..., 0], step[..., 1]
    square = np.maximum(step_x**2 + step_y**2, 1e-12)
    offset_x = marks[:, 0, None] - start[..., 0]
    offset_y = marks[:, 1, None] - start[..., 1]
    raw = (offset_x * step_x + offset_y * step_y) / square
    share = np.clip(raw, 0.0, 1.0)
    best = ((offset_x - share * step_x) ** 2 + (offset_y - share * step_y) ** 2).argmin(axis=1)
    rows = np.arange(len(marks))
    sides, row = np.divmod(best, segments)
    met = np.broadcast_to(step, (*raw.shape, 2))[rows, best]
    length = np.sqrt(np.broadcast_to(square, raw.shape)[rows, best])
    normals = np.stack([-met[:, 1], met[:, 0]], axis=1) / length[:, None]
    outward = np.where(sides == 0, 1.0, -1.0)[:, None] * outline.normal
    normals *= np.where((normals * outward).sum(axis=1) >= 0.0, 1.0, -1.0)[:, None]
    beyond = np.abs(raw[rows, best] - share[rows, best]) * length
    return Contacts(side=sides, row=row, share=share[rows, best], normals=normals, overrun=beyond)


def outline_at(outline: Silhouette, row: Points) -> Contacts:
    """Both ends of an outline at places of its own, as contacts without marks: two for each real row."""
    before = np.minimum(row.astype(np.int64), outline.ends.shape[-1] - 2)
    side = np.tile([0, 1], len(row))
    return Contacts(
        side=side,
        row=np.repeat(before, 2),
        share=np.repeat(row - before, 2),
        normals=(1.0 - 2.0 * side)[:, None] * outline.normal,
        overrun=np.zeros(len(side)),
    )


def contact_material(grid: Material, count: int, outline: Silhouette, contacts: Contacts) -> Material:
    """Material of contacts, from a region's grid of k sections of ``count`` points."""
    return blend(grid, *contact_weights(count, outline, contacts))


def contact_weights(
    count: int, outline: Silhouette, contacts: Contacts, view: Indices | None = None
) -> tuple[Indices, Points]:
    """Grid points either side of contacts, (m, 2), and their weights, (m, 2).

    view : (m,) the picture each is in, for an outline of several.
    """
    ends = outline.ends[contacts.side] if view is None else outline.ends[view, contacts.side]
    rows = contacts.row[:, None] + np.array([0, 1])
    index = rows * count + np.take_along_axis(ends, rows, axis=1)
    return index, np.stack([1.0 - contacts.share, contacts.share], axis=1)


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
