"""A quiet shaded picture of a body, and the lines of the costume laid over it."""

from __future__ import annotations

import base64
import io
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw

from layfigure.body.chart import RegionChart
from layfigure.geometry.mesh import TriangleMesh
from layfigure.geometry.polyline import arc_lengths

Points = NDArray[np.float64]
View = Literal["front", "back", "left", "right"]

# Right and away-from-viewer directions of each view, in the project's frame (x to the wearer's left, y back).
_VIEWS: dict[View, tuple[Points, Points]] = {
    "front": (np.array([1.0, 0.0, 0.0]), np.array([0.0, 1.0, 0.0])),
    "back": (np.array([-1.0, 0.0, 0.0]), np.array([0.0, -1.0, 0.0])),
    "left": (np.array([0.0, 1.0, 0.0]), np.array([-1.0, 0.0, 0.0])),
    "right": (np.array([0.0, -1.0, 0.0]), np.array([1.0, 0.0, 0.0])),
}
LIGHT = np.array([-0.35, 0.55, -0.76])  # from the viewer's upper left: (right, up, away)
_SUPERSAMPLE = 3


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BodyPicture:
    """A picture and how places on the body fall on it.

    png : the picture on a transparent ground. width, height : [pixels]. view : where it is seen from.
    scale : pixels a millimetre. origin : (right, up) [mm] of the picture's upper left corner.
    """

    png: bytes
    width: int
    height: int
    view: View
    scale: float
    origin: tuple[float, float]

    def pixels(self, places: Points) -> Points:
        """Picture coordinates of places in space, (m, 2), x right and y down."""
        right, up, _ = seen_from(places, self.view)
        return np.column_stack([(right - self.origin[0]) * self.scale, (self.origin[1] - up) * self.scale])

    def data_address(self) -> str:
        """The picture as a data address, for a page that must stand alone."""
        return "data:image/png;base64," + base64.b64encode(self.png).decode()


def mesh_of_charts(charts: Mapping[str, RegionChart], *, around: int = 48) -> TriangleMesh:
    """The tubes of a body's charts as one mesh, closed at their ends; for pictures only."""
    vertices: list[Points] = []
    faces: list[NDArray[np.int64]] = []
    base = 0
    for chart in charts.values():
        # Around runs outward on both sides of the body, so one side's sections turn the other way.
        mirrored = chart.region.endswith("_right")
        step = max(1, chart.sections.shape[1] // around)
        rings = chart.sections[:, ::step]
        k, n, _ = rings.shape
        index = base + np.arange(k * n).reshape(k, n)
        a, b = index[:-1], np.roll(index, -1, axis=1)[:-1]
        c, d = index[1:], np.roll(index, -1, axis=1)[1:]
        tube = [np.stack([a, c, b], 2).reshape(-1, 3), np.stack([b, c, d], 2).reshape(-1, 3)]
        vertices.append(rings.reshape(-1, 3))
        for ring, row, turned in ((rings[0], index[0], True), (rings[-1], index[-1], False)):
            vertices.append(ring.mean(axis=0, keepdims=True))
            centre = base + k * n + (0 if turned else 1)
            fan = np.stack([np.full(n, centre), row, np.roll(row, -1)], axis=1)
            tube.append(fan if turned else fan[:, ::-1])
        faces += [part[:, ::-1] for part in tube] if mirrored else tube
        base += k * n + 2
    return TriangleMesh(np.concatenate(vertices), np.concatenate(faces))


def picture_of(mesh: TriangleMesh, view: View, *, height: int = 720) -> BodyPicture:
    """The body from one side, ``height`` pixels tall, by the painter's method (far faces first)."""
    right, up, away = seen_from(mesh.vertices, view)
    margin = 0.03 * float(np.ptp(up))
    scale = height / (float(np.ptp(up)) + 2 * margin)
    origin = (float(right.min()) - margin, float(up.max()) + margin)
    width = int(np.ceil((float(np.ptp(right)) + 2 * margin) * scale))
    shown = np.column_stack([(right - origin[0]) * scale, (origin[1] - up) * scale]) * _SUPERSAMPLE
    corners = shown[mesh.faces]
    space = np.column_stack([right, up, away])[mesh.faces]
    # (right, up, away) is a left-handed frame, so a cross product in it points inward.
    normal = -np.cross(space[:, 1] - space[:, 0], space[:, 2] - space[:, 0])
    facing = normal[:, 2] < 0.0
    normal = _smoothed(normal, mesh)
    shade = 0.62 + 0.38 * np.clip(normal @ LIGHT, -1.0, 1.0)
    order = np.flatnonzero(facing)[np.argsort(-space[facing].mean(axis=1)[:, 2])]
    image = Image.new("RGBA", (width * _SUPERSAMPLE, height * _SUPERSAMPLE), (255, 255, 255, 0))
    draw = ImageDraw.Draw(image)
    tone = np.clip(np.outer(shade[order], [236.0, 230.0, 224.0]), 90, 250).astype(int)
    for ring, (red, green, blue) in zip(corners[order].reshape(-1, 6).tolist(), tone.tolist(), strict=True):
        colour = (red, green, blue, 255)
        draw.polygon(ring, fill=colour, outline=colour)
    buffer = io.BytesIO()
    image.resize((width, height), Image.Resampling.LANCZOS).save(buffer, format="PNG", compress_level=6)
    return BodyPicture(
        png=buffer.getvalue(), width=width, height=height, view=view, scale=scale, origin=origin
    )


def _smoothed(normal: Points, mesh: TriangleMesh) -> Points:
    """Unit normals of faces, averaged over the faces round each corner, so that a body does not look cut."""
    at_vertex = np.zeros((len(mesh.vertices), 3))
    for axis in range(3):
        at_corners = np.repeat(normal[:, axis], 3)
        at_vertex[:, axis] = np.bincount(mesh.faces.ravel(), at_corners, minlength=len(at_vertex))
    at_vertex /= np.maximum(np.linalg.norm(at_vertex, axis=1, keepdims=True), 1e-12)
    mean: Points = at_vertex[mesh.faces].mean(axis=1)
    return mean


def visible_runs(line: Points, centre: Points, view: View) -> list[tuple[bool, Points]]:
    """A line on the body cut into runs that face the viewer and runs that do not.

    line : (m, 3); centre : (m, 3) axis of the body beside each point. Returns (visible, (k, 3)) in order;
    neighbouring runs share their border point.
    """
    _, away = _VIEWS[view]
    facing = (line - centre) @ away < 0.0
    runs: list[tuple[bool, Points]] = []
    start = 0
    for k in range(1, len(line)):
        if facing[k] != facing[start]:
            runs.append((bool(facing[start]), line[start : k + 1]))
            start = k
    runs.append((bool(facing[start]), line[start:]))
    return [(seen, run) for seen, run in runs if len(run) > 1]


def axis_beside(line: Points, charts: Mapping[str, RegionChart], region: str) -> Points:
    """Middle of the section nearest to every point of a line, (m, 3) [mm]."""
    chart = charts[region]
    middles = chart.sections.mean(axis=1)
    nearest = np.linalg.norm(line[:, None] - middles[None], axis=2).argmin(axis=1)
    beside: Points = middles[nearest]
    return beside


def thinned(line: Points, spacing: float) -> Points:
    """A line with points no closer than ``spacing`` [mm], keeping its ends, to keep pages small."""
    s = arc_lengths(line)
    keep = np.unique(np.searchsorted(s, np.arange(0.0, s[-1] + spacing, spacing)).clip(0, len(line) - 1))
    kept: Points = line[np.unique(np.concatenate([keep, [0, len(line) - 1]]))]
    return kept


def seen_from(places: Points, view: View) -> tuple[Points, Points, Points]:
    """Right, up and away of places as the view sees them [mm]."""
    right, away = _VIEWS[view]
    return places @ right, places[:, 2], places @ away
