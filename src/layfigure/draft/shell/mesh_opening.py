"""Whether a head passes up into a helm of any shape, and the split into halves where it does not."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from scipy.optimize import minimize
from shapely import LineString, MultiPoint, Polygon

from layfigure.body.form import Form
from layfigure.draft.shell.cap_place import region_points
from layfigure.draft.shell.mesh_place import PlacedMesh
from layfigure.draft.shell.options import ShellOptions
from layfigure.draft.shell.own_mesh import even
from layfigure.errors import DraftError
from layfigure.geometry.mesh import TriangleMesh
from layfigure.geometry.mesh_divide import DividedMesh, divided_at
from layfigure.geometry.mesh_offset import offset_mesh
from layfigure.geometry.mesh_repair import mend

Points = NDArray[np.float64]

LEVEL_STEP = 12.0
OPEN_ENOUGH = 300.0
"""Rim of a hole that can be a helm's own neck opening, at least [mm]."""

UP = np.array([0.0, 0.0, 1.0])
FRONT = np.array([0.0, -1.0, 0.0])


@dataclass(frozen=True, slots=True, kw_only=True)
class Passage:
    """How a head passes. spare : room to spare at the narrowest level, negative where it sticks [mm].
    above : of that level above the opening [mm]. rim : length of the opening's rim [mm].
    """

    spare: float
    above: float
    rim: float


def opened_below(
    placed: PlacedMesh, form: Form, options: ShellOptions, file: str
) -> tuple[TriangleMesh, bool]:
    """The helm with an opening for the neck, and whether that had to be cut.

    Raises DraftError where no part of it lies above the opening.
    """
    mesh = placed.mesh
    if options.on == "face":
        normal, place = FRONT, placed.need.middle
        own = mesh.vertices[:, 1].max() <= place[1] + 1.0
    else:
        chin = float(form.landmarks["chin"][2])
        low, high = float(mesh.vertices[:, 2].min()), float(mesh.vertices[:, 2].max())
        normal = UP
        place = np.array([0.0, 0.0, max(chin - options.below_chin, low + 0.03 * (high - low))])
        own = _own_opening(mesh) is not None
    if own:
        return mesh, False
    part = divided_at(mesh, normal, place).part_ahead()
    if not len(part.faces):
        raise DraftError(
            f"{file} lies wholly beyond its opening.", advice="Check its up, turn, eyes and below_chin."
        )
    return even(mend(part, small_hole=0.0).mesh), True


def _own_opening(mesh: TriangleMesh) -> Points | None:
    """The lowest hole large enough for a neck, (n, 3), or None."""
    rims = [mesh.vertices[loop] for loop in mesh.boundary_loops()]
    lengths = [float(np.linalg.norm(rim - np.roll(rim, 1, axis=0), axis=1).sum()) for rim in rims]
    large = [rim for rim, length in zip(rims, lengths, strict=True) if length >= OPEN_ENOUGH]
    return min(large, key=lambda rim: float(rim[:, 2].mean()), default=None)


def passage(mesh: TriangleMesh, form: Form, *, thickness: float, hair: float) -> Passage:
    """How the head passes straight up into a helm, shifted as it likes at every level.

    mesh : its outside, worn. thickness : of the sheet. hair : over the skin, pressed as it is worn [mm].
    At each level of the helm all of the head that comes to lie higher must pass.
    """
    inner = offset_mesh(mesh, -thickness)
    rim = _own_opening(inner)
    head = region_points(form, frozenset({"head"}))
    low = float(inner.vertices[:, 2].min()) if rim is None else float(rim[:, 2].min())
    around = 0.0 if rim is None else float(np.linalg.norm(rim - np.roll(rim, 1, axis=0), axis=1).sum())
    narrowest, at = np.inf, 0.0
    for level in np.arange(low + 2.0, float(head[:, 2].max()) - 10.0, LEVEL_STEP):
        passing = head[head[:, 2] > level]
        section = plane_section(inner, level)
        if section is None or len(passing) < 3:
            continue
        spare = _spare_in(section, MultiPoint(passing[:, :2]).convex_hull.buffer(hair))
        if spare < narrowest:
            narrowest, at = spare, float(level - low)
    return Passage(spare=float(narrowest), above=at, rim=around)


def plane_section(mesh: TriangleMesh, height: float) -> Polygon | None:
    """What a level cuts out of a mesh: its largest closed outline, or the hull of an open one."""
    corners = mesh.face_corners()
    over = corners[:, :, 2] > height
    crossing = corners[over.any(axis=1) & ~over.all(axis=1)]
    if len(crossing) < 3:
        return None
    segments = []
    for k in range(3):
        a, b = crossing[:, k], crossing[:, (k + 1) % 3]
        cut = (a[:, 2] > height) != (b[:, 2] > height)
        # From the lower end, so that both faces of a side find the very same place on it.
        low = np.where((a[:, 2] < b[:, 2])[:, None], a, b)
        high = np.where((a[:, 2] < b[:, 2])[:, None], b, a)
        share = (height - low[:, 2:]) / np.where(cut[:, None], high[:, 2:] - low[:, 2:], 1.0)
        segments.append(np.where(cut[:, None], (low + share * (high - low))[:, :2], np.nan))
    ends = np.stack(segments, axis=1)
    lines = [LineString(np.round(row[~np.isnan(row[:, 0])], 6)) for row in ends]
    hull = MultiPoint(shapely.get_coordinates(lines)).convex_hull
    closed = shapely.get_parts(shapely.polygonize(lines))
    if len(closed):
        outline = Polygon(max(closed, key=lambda each: each.area).exterior)
        if outline.area > 0.4 * hull.area:
            return outline
    return hull if isinstance(hull, Polygon) else None


def _spare_in(section: Polygon, hull: Polygon) -> float:
    """Room round a convex outline moved as well as can be within a section; negative where it sticks."""
    outline = shapely.get_coordinates(hull.exterior.segmentize(15.0))
    ring = section.exterior
    start = np.array(section.centroid.coords[0]) - np.array(hull.centroid.coords[0])

    def tight(shift: Points) -> float:
        moved = shapely.points(outline + shift)
        away = shapely.distance(moved, ring)
        return -float(np.where(shapely.contains(section, moved), away, -away).min())

    shapely.prepare(section)
    shapely.prepare(ring)
    best = minimize(tight, start, method="Nelder-Mead", options={"maxfev": 50, "xatol": 0.2, "fatol": 0.1})
    return -float(best.fun)


def in_halves(mesh: TriangleMesh, middle: Points) -> DividedMesh:
    """The helm divided into front and back, ear to ear through the middle of the head, (3,)."""
    return divided_at(mesh, FRONT, middle)
