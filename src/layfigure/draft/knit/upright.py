"""Flat panels turned the way a maker expects: top up, greatest stretch across."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from layfigure.draft.flatten.panel import FlatPanel
from layfigure.draft.panels.surface import Surface
from layfigure.geometry.rows import lengths

Points = NDArray[np.float64]

NEAREST = 200
"""Vertices of the surface that say which way is along the body at a panel."""


def upright(flat: FlatPanel, surface: Surface) -> FlatPanel:
    """The panel turned so that the direction round the body runs across the table, its top end up."""
    across = _mean_across(flat)
    turn = np.conj(across / abs(across))
    z = (flat.vertices[:, 0] + 1j * flat.vertices[:, 1]) * turn
    if _height_slope(flat, surface, z.imag) < 0.0:
        turn = -turn
    return replace(
        flat,
        vertices=_turned(flat.vertices, turn),
        curves={slug: _turned(curve, turn) for slug, curve in flat.curves.items()},
    )


def _turned(points: Points, turn: complex) -> Points:
    z = (points[:, 0] + 1j * points[:, 1]) * turn
    return np.stack([z.real, z.imag], axis=1)


def _mean_across(flat: FlatPanel) -> complex:
    """Mean direction round the body as it lies on the table, weighted by area."""
    panel = flat.panel
    a, b, c = (panel.vertices[panel.faces[:, k]] for k in range(3))
    u, v = b - a, c - a
    uu, uv, vv = (np.einsum("ij,ij->i", p, q) for p, q in ((u, u), (u, v), (v, v)))
    tu, tv = (np.einsum("ij,ij->i", p, panel.around) for p in (u, v))
    area = np.maximum(uu * vv - uv**2, 1e-12)
    z = flat.vertices[:, 0] + 1j * flat.vertices[:, 1]
    first, second = z[panel.faces[:, 1]] - z[panel.faces[:, 0]], z[panel.faces[:, 2]] - z[panel.faces[:, 0]]
    direction = (vv * tu - uv * tv) / area * first + (uu * tv - uv * tu) / area * second
    return complex(np.sum(direction * np.sqrt(area)))


def _height_slope(flat: FlatPanel, surface: Surface, up: Points) -> float:
    """Whether the table's upward direction goes up the body: slope of height on it."""
    off = lengths(surface.vertices - flat.panel.vertices.mean(axis=0))
    along = surface.along[np.argpartition(off, NEAREST)[:NEAREST]].mean(axis=0)
    height = -(flat.panel.vertices @ along)
    return float(np.sum((height - height.mean()) * (up - up.mean())))
