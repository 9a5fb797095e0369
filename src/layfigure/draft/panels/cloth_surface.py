"""The surface close cloth lies on: skin, except that cloth round the trunk bridges hollows as a tape does.

A knit does not follow the spine, the cleft of the seat or the hollow between the breasts; it lies on
the hull of each section, which is the line the wearer's tape measures ran along.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from layfigure.body.chart import RegionChart
from layfigure.body.form import Form
from layfigure.draft.panels.body_fields import body_fields
from layfigure.draft.panels.surface import Surface, vertex_normals

Points = NDArray[np.float64]

ANGLES = 180
CROTCH_FADE = (5.0, 70.0)
"""Heights above the crotch [mm] between which bridging sets in: at the crotch itself the section joins two
legs, and a hull would span between them."""
ARMPIT_FADE = (0.0, 70.0)
"""Heights above the armpit [mm] between which it ends: shoulders carry cloth on their ridge."""


def cloth_surface(form: Form, *, offset: float = 0.0) -> Surface:
    """What cloth lies on, in the drafting pose. offset : thickness of the layers below [mm]."""
    fields = body_fields()
    vertices = _bridged(form)
    normals = vertex_normals(vertices, form.drafting.faces)
    if offset:
        vertices = vertices + offset * normals
    return Surface(vertices, form.drafting.faces, normals, fields.along)


def _bridged(form: Form) -> Points:
    vertices = form.drafting.vertices.copy()
    fields = body_fields()
    arms = sum(fields.shares[f"{bone}_{side}"] for bone in _ARM for side in _SIDES)
    z = vertices[:, 2]
    # Landmarks are of the standing pose; the trunk keeps its height between the two but for one shift.
    chart = form.drafting_charts["torso"]
    shift = float(np.mean(chart.sections[:, :, 2] - form.charts["torso"].sections[:, :, 2]))
    crotch = form.level_heights["crotch"] + shift
    armpit = min(float(form.landmarks[f"armpit_{side}"][2]) for side in _SIDES) + shift
    share = _rising(z - crotch, *CROTCH_FADE) * (1.0 - _rising(z - armpit, *ARMPIT_FADE))
    share *= np.clip(1.0 - 4.0 * np.asarray(arms), 0.0, 1.0)
    rows = np.flatnonzero(share > 0.0)
    centre, hull = _hull_radii(chart)
    heights = chart.sections[:, :, 2].mean(axis=1)
    k = np.interp(-z[rows], -heights, np.arange(len(heights)))
    across = np.stack([np.interp(k, np.arange(len(heights)), centre[:, axis]) for axis in (0, 1)], axis=1)
    out = vertices[rows, :2] - across
    radius = np.linalg.norm(out, axis=1)
    angle = np.mod(np.arctan2(out[:, 1], out[:, 0]), 2.0 * np.pi) / (2.0 * np.pi) * ANGLES
    low, first = np.floor(k).astype(int), np.floor(angle).astype(int)
    s, t = k - low, angle - first
    high, second = np.minimum(low + 1, len(heights) - 1), (first + 1) % ANGLES
    first = first % ANGLES
    wide = (1 - s) * ((1 - t) * hull[low, first] + t * hull[low, second]) + s * (
        (1 - t) * hull[high, first] + t * hull[high, second]
    )
    lift = share[rows] * np.maximum(wide - radius, 0.0)
    vertices[rows, :2] += out * (lift / np.maximum(radius, 1e-6))[:, None]
    return vertices


_SIDES = ("left", "right")
_ARM = ("upper_arm", "forearm", "hand")


def _rising(value: Points, low: float, high: float) -> Points:
    t = np.clip((value - low) / (high - low), 0.0, 1.0)
    smooth: Points = t * t * (3.0 - 2.0 * t)
    return smooth


def _hull_radii(chart: RegionChart) -> tuple[Points, Points]:
    """Centre (k, 2) of every section and distance from it to the tape line at even angles, (k, ANGLES)."""
    ring = chart.sections[:, :, :2]
    centre = 0.5 * (ring.min(axis=1) + ring.max(axis=1))
    wanted = np.arange(ANGLES) / ANGLES * 2.0 * np.pi
    radii = np.empty((len(ring), ANGLES))
    for k, line in enumerate(ring - centre[:, None]):
        angle = np.mod(np.arctan2(line[:, 1], line[:, 0]), 2.0 * np.pi)
        order = np.argsort(angle)
        # Between two points of a straight tape line 1/r is linear in direction, r is not.
        radii[k] = 1.0 / np.interp(
            wanted, angle[order], 1.0 / np.linalg.norm(line[order], axis=1), period=2.0 * np.pi
        )
    return centre, radii
