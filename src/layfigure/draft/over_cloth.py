"""What a strap over a garment lies on: not the skin but close cloth, which spans the trunk's hollows.

A suit lies on the hull of each level section, as the wearer's tape does, and is drawn taut under the bust
and over other hollows that no level section shows. A strap laid on the skin would be too short and
would vanish in the cloth.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from layfigure.body.chart import RegionChart
from layfigure.body.form import Form
from layfigure.draft.panels.taut import drawn_taut
from layfigure.geometry.mesh import TriangleMesh

Points = NDArray[np.float64]
Indices = NDArray[np.int64]

ANGLES = 180
CROTCH_FADE, ARMPIT_FADE = (5.0, 70.0), (0.0, 70.0)
"""Heights above crotch and armpit [mm] between which spanning sets in and ends, as for the cloth itself: at
the crotch a section joins two legs, and shoulders carry cloth on their ridge."""
FINEST = 6.0
"""A body whose triangles are smaller than this is not drawn taut, but by its sections alone [mm]."""


@lru_cache(maxsize=2)
def spanned_body(form: Form) -> TriangleMesh:
    """The standing body with the hollows of its trunk spanned; faces as they are."""
    trunk = _trunk_faces(form)
    if not len(trunk):
        return form.standing
    vertices = form.standing.vertices.copy()
    rows = np.unique(trunk)
    vertices[rows] = _on_sections(vertices[rows], form)
    order, faces, border = _border_first(trunk)
    sides = np.linalg.norm(vertices[trunk[:, 1]] - vertices[trunk[:, 0]], axis=1)
    spacing = float(np.median(sides))
    if border and spacing >= FINEST:
        vertices[order] = drawn_taut(vertices[order], faces, border, spacing=spacing)[0]
    return TriangleMesh(vertices, form.standing.faces)


def _trunk_faces(form: Form) -> Indices:
    if "torso" not in form.region_names:
        return np.empty((0, 3), dtype=np.int64)
    trunk: Indices = form.standing.faces[form.face_region == form.region_names.index("torso")]
    return trunk


def _on_sections(places: Points, form: Form) -> Points:
    """Places on the trunk moved out to the tape line of their own level."""
    chart = form.charts["torso"]
    levels = chart.sections[:, :, 2].mean(axis=1)
    crotch = form.level_heights.get("crotch", float(levels.min()))
    armpits = [form.landmarks[name][2] for name in ("armpit_left", "armpit_right") if name in form.landmarks]
    armpit = min((float(height) for height in armpits), default=float(levels.max()))
    z = places[:, 2]
    share = _rising(z - crotch, *CROTCH_FADE) * (1.0 - _rising(z - armpit, *ARMPIT_FADE))
    centre, radii = _tape_radii(chart)
    k = np.interp(-z, -levels, np.arange(len(levels)))
    middle = np.stack([np.interp(k, np.arange(len(levels)), centre[:, axis]) for axis in (0, 1)], axis=1)
    out = places[:, :2] - middle
    radius = np.maximum(np.linalg.norm(out, axis=1), 1e-6)
    turn = np.mod(np.arctan2(out[:, 1], out[:, 0]), 2.0 * np.pi) / (2.0 * np.pi) * ANGLES
    first, low = np.floor(turn).astype(np.int64), np.floor(k).astype(np.int64)
    t, s = turn - first, k - low
    first, high = first % ANGLES, np.minimum(low + 1, len(levels) - 1)
    second = (first + 1) % ANGLES
    wide = (1.0 - s) * ((1.0 - t) * radii[low, first] + t * radii[low, second])
    wide += s * ((1.0 - t) * radii[high, first] + t * radii[high, second])
    moved = places.copy()
    moved[:, :2] += out * (share * np.maximum(wide - radius, 0.0) / radius)[:, None]
    return moved


def _tape_radii(chart: RegionChart) -> tuple[Points, Points]:
    """Middle (k, 2) of every section and distance from it to the tape line at even angles, (k, ANGLES)."""
    rings = chart.sections[:, :, :2]
    centre = 0.5 * (rings.min(axis=1) + rings.max(axis=1))
    wanted = np.arange(ANGLES) / ANGLES * 2.0 * np.pi
    radii = np.empty((len(rings), ANGLES))
    for k, ring in enumerate(rings - centre[:, None]):
        angle = np.mod(np.arctan2(ring[:, 1], ring[:, 0]), 2.0 * np.pi)
        order = np.argsort(angle)
        # Along a straight part of the tape line 1/r is linear in direction, r is not.
        radii[k] = 1.0 / np.interp(
            wanted, angle[order], 1.0 / np.linalg.norm(ring[order], axis=1), period=2.0 * np.pi
        )
    return centre, radii


def _border_first(faces: Indices) -> tuple[Indices, Indices, int]:
    """Vertices with those on the rim first, faces by their place among them, and how many are on the rim."""
    sides = np.sort(faces[:, [0, 1, 1, 2, 2, 0]].reshape(-1, 2), axis=1)
    unique, count = np.unique(sides, axis=0, return_counts=True)
    rim = np.unique(unique[count == 1])
    order = np.concatenate([rim, np.setdiff1d(faces, rim)])
    place = np.empty(int(faces.max()) + 1, dtype=np.int64)
    place[order] = np.arange(len(order))
    return order, place[faces], len(rim)


def _rising(value: Points, low: float, high: float) -> Points:
    t = np.clip((value - low) / (high - low), 0.0, 1.0)
    smooth: Points = t * t * (3.0 - 2.0 * t)
    return smooth
