"""How panels of close cloth lie on the standing wearer, for pictures of the whole costume."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
import shapely
from numpy.typing import NDArray
from scipy.spatial import Delaunay, cKDTree

from layfigure.body.form import Form
from layfigure.draft.flatten.panel import Ease, FlatPanel
from layfigure.draft.flatten.stitch_line import stitch_line
from layfigure.draft.knit.panel_cloths import PanelCloth
from layfigure.draft.knit.worn_collar import WornCollar
from layfigure.draft.window.across_seams import SeamWindows
from layfigure.draft.window.worn_plane import worn_plane
from layfigure.geometry.mesh import TriangleMesh
from layfigure.geometry.nearest_face import face_tree, nearest_faces, nearest_weights
from layfigure.geometry.polyline import length, resample
from layfigure.geometry.split_sides import followed
from layfigure.piece.piece import Window
from layfigure.piece.worn import WornSurface

Points = NDArray[np.float64]
Indices = NDArray[np.int64]

TRIANGLES = 2000
"""Of one panel, about: small panels are those round narrow limbs, and get smaller triangles."""
FINEST, COARSEST = 9.0, 22.0
HOLE_STEP = 6.0
OFF = 2.0
"""A side whose middle lies so far beside the cloth is halved [mm], and so often:"""
HALVINGS = 2
BELOW = 12
"""So many faces of the skin near to a place are asked where it goes."""
ON_SKIN = 0.5
"""A place no further off than this goes where the face below it goes [mm]."""
LIFT = 3.0
"""Drawn this far outside the skin, so that the skin does not show through [mm]."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class WornPanel:
    """One panel that is still to be laid on the standing wearer.

    mirrored : name of its mirror image on the other side, empty without one. outline : (k, 2) stitch line;
    holes : what is cut out; flat : (n, 2) vertices of the panel, all in the flat plane [mm]. faces : (m, 3).
    places : (n, 3) the vertices on the body in the drafting pose. lift : how far outside its place [mm].
    """

    name: str
    mirrored: str
    cloth: str
    outline: Points
    holes: tuple[shapely.Polygon, ...]
    flat: Points
    faces: Indices
    places: Points
    lift: float

    def on(self, form: Form) -> tuple[WornSurface, ...]:
        """The panel as a coarse mesh, and its mirror image."""
        flat_places, faces = _picture_mesh(self.outline, self.holes)
        tree = face_tree(self.flat, self.faces)

        def lie(flat: Points) -> Points:
            at = nearest_faces(self.flat, self.faces, flat, tree=tree)
            return _in_standing_pose(at.carried(self.faces, self.places), form, self.lift)

        # Between the legs a side of usual length would cut across the crease, through what lies beneath.
        _, faces, worn = followed(flat_places, faces, lie, off=OFF, rounds=HALVINGS)
        mesh = TriangleMesh(worn, faces)
        own = WornSurface(name=self.name, mesh=mesh, cloth=self.cloth)
        if not self.mirrored:
            return (own,)
        return own, WornSurface(name=self.mirrored, mesh=_mirrored(mesh), cloth=self.cloth)


@dataclass(frozen=True, slots=True, eq=False)
class WornPanels:
    """A garment's panels, still to be laid on the standing wearer."""

    panels: tuple[WornPanel, ...]
    collar: WornCollar | None = None

    def on(self, form: Form) -> tuple[WornSurface, ...]:
        """A surface each panel, and the collar."""
        surfaces = tuple(surface for panel in self.panels for surface in panel.on(form))
        if self.collar is None:
            return surfaces
        necklines = [_in_standing_pose(line, form, LIFT) for line in self.collar.necklines]
        return *surfaces, self.collar.on(form, necklines)


def worn_panels(
    flats: Mapping[str, FlatPanel],
    windows: Mapping[str, Sequence[Window]],
    across: SeamWindows,
    cloths: Mapping[str, PanelCloth],
    *,
    prefix: str,
    pair: bool,
    backing: str | None,
    collar: WornCollar | None = None,
) -> WornPanels:
    """Each panel with its windows open, and one for each panel of backing behind; and a collar.

    windows, cloths : by panel slug. prefix : of names. pair : the drafted side stands for its mirror image
    too. backing : material slug.
    """
    panels: list[WornPanel] = []
    for slug, flat in flats.items():
        holes = [
            shapely.Polygon(_where_worn(window, flat, cloths[slug].ease)) for window in windows.get(slug, ())
        ]
        holes += [part.part for part in across.parts.get(slug, ())]
        front = WornPanel(
            name=f"{prefix}_{slug}",
            mirrored=f"{prefix}_{slug.replace('_left', '_right')}" if pair else "",
            cloth=cloths[slug].cloth.slug,
            outline=stitch_line(flat),
            holes=tuple(holes),
            flat=flat.vertices,
            faces=flat.panel.faces,
            places=flat.panel.vertices,
            lift=LIFT,
        )
        panels.append(front)
        if backing is not None and holes:
            name = f"{front.name}_backing"
            panels.append(
                replace(front, name=name, mirrored="", cloth=backing, holes=(), lift=0.5 * front.lift)
            )
    return WornPanels(tuple(panels), collar)


def _mirrored(mesh: TriangleMesh) -> TriangleMesh:
    return TriangleMesh(mesh.vertices * (-1.0, 1.0, 1.0), mesh.faces[:, ::-1])


def _where_worn(window: Window, flat: FlatPanel, ease: Ease) -> Points:
    """A window's worn outline where the flat panel has it before it gapes."""
    if window.worn is None:
        return window.curve
    outline: Points = window.worn @ np.linalg.inv(worn_plane(flat, ease)).T
    return outline


def _in_standing_pose(places: Points, form: Form, lift: float) -> Points:
    """Places on cloth in the drafting pose, as the skin below carries them along, (k, 3) [mm].

    What spans a crease has skin on both sides, which do not turn alike as a lap unfolds: every face
    counts that is less than twice as far as the nearest.
    """
    drafting, standing = form.drafting, form.standing
    _, near = _skin_tree(form).query(places, k=BELOW)
    face = near.ravel()
    corners = drafting.vertices[drafting.faces[face]]
    weights = nearest_weights(corners, np.repeat(places, BELOW, axis=0))
    off = np.repeat(places, BELOW, axis=0) - np.einsum("kc,kcd->kd", weights, corners)
    foot = np.einsum("kc,kcd->kd", weights, standing.vertices[standing.faces[face]])
    turns, out = _turns(form)
    # What lies off the skin turns with the face below it.
    carried = (foot + np.einsum("kij,kj->ki", turns[face], off)).reshape(-1, BELOW, 3)
    far = np.linalg.norm(off, axis=1).reshape(-1, BELOW)
    share = np.maximum(2.0 - far / np.maximum(far.min(axis=1, keepdims=True), ON_SKIN), 0.0) ** 2
    share /= share.sum(axis=1, keepdims=True)
    up = np.einsum("kn,knd->kd", share, out[near])
    up /= np.maximum(np.linalg.norm(up, axis=1, keepdims=True), 1e-9)
    moved: Points = np.einsum("kn,knd->kd", share, carried) + lift * up
    return moved


@lru_cache(maxsize=2)
def _skin_tree(form: Form) -> cKDTree:
    """Every panel of a garment asks for it."""
    return face_tree(form.drafting.vertices, form.drafting.faces)


@lru_cache(maxsize=2)
def _turns(form: Form) -> tuple[Points, Points]:
    """How every face of the skin turns as she stands up, (m, 3, 3), and its way out then, (m, 3)."""
    before, after = (_frames(mesh) for mesh in (form.drafting, form.standing))
    return np.einsum("mji,mjk->mik", after, before), after[:, 2]


def _frames(mesh: TriangleMesh) -> Points:
    """Rows along, across and out of each face, (m, 3, 3)."""
    corners = mesh.face_corners()
    along = corners[:, 1] - corners[:, 0]
    out = np.cross(along, corners[:, 2] - corners[:, 0])
    along /= np.maximum(np.linalg.norm(along, axis=1, keepdims=True), 1e-9)
    out /= np.maximum(np.linalg.norm(out, axis=1, keepdims=True), 1e-9)
    return np.stack([along, np.cross(out, along), out], axis=1)


def _picture_mesh(outline: Points, holes: Sequence[shapely.Polygon]) -> tuple[Points, Indices]:
    """Triangles between an outline and holes, for looking at: even inside, true along every line."""
    whole = shapely.Polygon(outline)
    spacing = float(np.clip(np.sqrt(whole.area / (0.43 * TRIANGLES)), FINEST, COARSEST))
    left = shapely.get_parts(whole.difference(shapely.union_all(holes))) if holes else np.array([whole])
    rest = max(left, key=lambda part: part.area)
    rings = [
        _sampled(np.asarray(rest.exterior.coords)[:-1], min(0.7 * spacing, HOLE_STEP if holes else COARSEST))
    ]
    rings += [_sampled(np.asarray(hole.coords)[:-1], HOLE_STEP) for hole in rest.interiors]
    region = shapely.Polygon(rings[0], rings[1:])
    room = region.buffer(-0.5 * spacing)
    shapely.prepare([region, room])
    low_x, low_y, high_x, high_y = region.bounds
    rise = spacing * np.sqrt(0.75)
    x, y = np.meshgrid(np.arange(low_x, high_x, spacing), np.arange(low_y, high_y, rise))
    x = x + 0.5 * spacing * (np.arange(len(y)) % 2)[:, None]
    inner = np.stack([x.ravel(), y.ravel()], axis=1)
    points = np.concatenate([*rings, inner[shapely.contains_xy(room, inner)]])
    faces = Delaunay(points).simplices.astype(np.int64)
    a, b, c = (points[faces[:, k]] for k in range(3))
    twice = (b - a)[:, 0] * (c - a)[:, 1] - (b - a)[:, 1] * (c - a)[:, 0]
    faces = np.where((twice < 0.0)[:, None], faces[:, [0, 2, 1]], faces)
    return points, faces[shapely.contains_xy(region, points[faces].mean(axis=1)) & (np.abs(twice) > 1e-3)]


def _sampled(ring: Points, step: float) -> Points:
    count = max(8, round(length(ring, closed=True) / step))
    return resample(ring, count, closed=True)
