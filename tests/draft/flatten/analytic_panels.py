"""Panels meshed on surfaces given by formulas, for tests of flattening."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from scipy.spatial import Delaunay

from layfigure.draft.flatten.panel import Panel, PanelEdge
from layfigure.geometry.polyline import length, resample

Points = NDArray[np.float64]
Surface = Callable[[Points], Points]


@dataclass(frozen=True)
class Side:
    """One edge of a panel in the parameters of its surface, (k, 2), counter-clockwise round the panel."""

    slug: str
    line: Points
    seam: str | None = None
    against: bool = False
    straight: bool = False


def meshed_panel(slug: str, surface: Surface, sides: Sequence[Side], *, size: float = 9.0) -> Panel:
    """Mesh a region of a surface whose parameters are about millimetres along and round it.

    ``surface`` takes (k, 2) parameters, the first running round the body, to (k, 3) points. Outward is
    d/du x d/dv.
    """
    lines = [resample(side.line, max(2, round(length(side.line) / size)) + 1) for side in sides]
    border = np.concatenate([line[:-1] for line in lines])
    region = shapely.Polygon(border)
    assert region.is_valid
    assert region.exterior.is_ccw
    inside = _hexagonal(region, size)
    points = np.concatenate([border, inside])
    faces = Delaunay(points).simplices.astype(np.int64)
    shapely.prepare(region)
    # Points along a straight side are off it by rounding, which leaves slivers outside the region.
    first, second = points[faces[:, 1]] - points[faces[:, 0]], points[faces[:, 2]] - points[faces[:, 0]]
    faces = faces[np.abs(first[:, 0] * second[:, 1] - first[:, 1] * second[:, 0]) > 1e-6 * size**2]
    centres = points[faces].mean(axis=1)
    faces = faces[shapely.contains_xy(region, centres[:, 0], centres[:, 1])]
    points, faces = _without_ears(points, faces, border.shape[0])
    first, second = points[faces[:, 1]] - points[faces[:, 0]], points[faces[:, 2]] - points[faces[:, 0]]
    turned = first[:, 0] * second[:, 1] - first[:, 1] * second[:, 0] < 0
    faces[turned] = faces[turned][:, [0, 2, 1]]
    starts = np.cumsum([0, *(line.shape[0] - 1 for line in lines)])
    edges = tuple(
        PanelEdge(
            slug=side.slug,
            vertices=np.arange(a, b + 1, dtype=np.int64) % border.shape[0],
            seam=side.seam,
            against=side.against,
            straight=side.straight,
        )
        for side, a, b in zip(sides, starts[:-1], starts[1:], strict=True)
    )
    centres = points[faces].mean(axis=1)
    step = np.array([1e-3, 0.0])
    around = surface(centres + step) - surface(centres - step)
    vertices = surface(points)
    normals = np.cross(
        vertices[faces[:, 1]] - vertices[faces[:, 0]], vertices[faces[:, 2]] - vertices[faces[:, 0]]
    )
    normals /= np.linalg.norm(normals, axis=1, keepdims=True)
    around -= np.sum(around * normals, axis=1, keepdims=True) * normals
    around /= np.linalg.norm(around, axis=1, keepdims=True)
    side_lengths = np.stack(
        [
            _lengths_on(surface, points[faces[:, (k + 1) % 3]], points[faces[:, (k + 2) % 3]])
            for k in range(3)
        ],
        1,
    )
    return Panel(
        slug=slug, vertices=vertices, faces=faces, outline=edges, around=around, side_lengths=side_lengths
    )


def _hexagonal(region: shapely.Polygon, size: float) -> Points:
    low_u, low_v, high_u, high_v = region.bounds
    rows = np.arange(low_v, high_v, size * np.sqrt(0.75))
    grid = np.concatenate(
        [
            np.stack(
                [
                    np.arange(low_u, high_u, size) + (k % 2) * size / 2,
                    np.full_like(np.arange(low_u, high_u, size), v),
                ],
                1,
            )
            for k, v in enumerate(rows)
        ]
    )
    inner = region.buffer(-0.6 * size)
    shapely.prepare(inner)
    return grid[shapely.contains_xy(inner, grid[:, 0], grid[:, 1])]


def _without_ears(points: Points, faces: NDArray[np.int64], border: int) -> tuple[Points, NDArray[np.int64]]:
    """Split every face with three outline vertices at its centre."""
    ears = np.all(faces < border, axis=1)
    centres = points[faces[ears]].mean(axis=1)
    new = points.shape[0] + np.arange(centres.shape[0])
    a, b, c = faces[ears].T
    split = np.concatenate([np.stack(t, 1) for t in ((a, b, new), (b, c, new), (c, a, new))])
    return np.concatenate([points, centres]), np.concatenate([faces[~ears], split])


def _lengths_on(surface: Surface, start: Points, end: Points) -> Points:
    share = np.linspace(0.0, 1.0, 9)[:, None, None]
    line = (1 - share) * start + share * end
    on = surface(line.reshape(-1, 2)).reshape(9, -1, 3)
    return np.linalg.norm(np.diff(on, axis=0), axis=2).sum(axis=0)


def straight(*corners: tuple[float, float]) -> Points:
    return np.array(corners, dtype=np.float64)


def rectangle(
    u: tuple[float, float], v: tuple[float, float], *, left: str | None, right: str | None, fold: bool = False
) -> list[Side]:
    """Bottom, right, top, left. Seams run upward."""
    (a, b), (c, d) = u, v
    return [
        Side("bottom", straight((a, c), (b, c))),
        Side("right", straight((b, c), (b, d)), seam=right),
        Side("top", straight((b, d), (a, d))),
        Side("left", straight((a, d), (a, c)), seam=left, against=True, straight=fold),
    ]


def tube(radius: Callable[[Points, Points], Points], girth: float) -> Surface:
    """A tube about the z axis whose radius depends on turn and height; u in mm round a girth, v up."""

    def on(parameters: Points) -> Points:
        u, v = parameters[:, 0], parameters[:, 1]
        turn = 2 * np.pi * u / girth
        r = radius(turn, v)
        return np.stack([r * np.cos(turn), r * np.sin(turn), v], axis=1)

    return on


ARM_GIRTH = 2 * np.pi * 55.0


def arm(parameters: Points) -> Points:
    """An arm slightly bent at the elbow, its top rounded into a shoulder; u mm round, v mm down.

    Its round top ends at v = -62; the elbow lies at 300, bent by 30 degrees within 100 mm; the wrist at 520.
    """
    u, v = parameters[:, 0], parameters[:, 1]
    turn = 2 * np.pi * u / ARM_GIRTH
    share = np.clip(v / 520.0, 0.0, 1.0)
    radius = 55.0 - 27.0 * share + 4.0 * np.sin(2 * np.pi * share)
    top = np.minimum(v, 0.0) / 62.0
    radius = radius * np.sqrt(np.maximum(1.0 - top**2, 1e-6))
    bend = np.radians(30.0) * np.clip((v - 250.0) / 100.0, 0.0, 1.0)
    arc = np.clip(v - 250.0, 0.0, 100.0)
    bow = 100.0 / np.radians(30.0)
    down = np.minimum(v, 250.0) + bow * np.sin(arc / bow) + np.maximum(v - 350.0, 0.0) * np.cos(bend)
    forward = bow * (1.0 - np.cos(arc / bow)) + np.maximum(v - 350.0, 0.0) * np.sin(bend)
    out = radius * np.cos(turn)
    return np.stack(
        [out * np.cos(bend) + forward, -radius * np.sin(turn), -(down - out * np.sin(bend))], axis=1
    )


def sleeve(size: float = 9.0) -> Panel:
    """A one-piece sleeve with its seam under the arm and its cap over the shoulder."""
    share = np.linspace(0.0, 1.0, 120)
    cap = np.stack([ARM_GIRTH * share, 35.0 - 80.0 * np.sin(np.pi * share) ** 2], axis=1)
    bottom = straight((ARM_GIRTH, 520.0), (0.0, 520.0))
    # Down is positive, so counter-clockwise seen from outside runs the other way round.
    return meshed_panel(
        "sleeve",
        arm,
        [
            Side("armhole", cap),
            Side("back_seam", straight(tuple(cap[-1]), tuple(bottom[0])), seam="underarm"),
            Side("hem", bottom),
            Side("front_seam", straight(tuple(bottom[-1]), tuple(cap[0])), seam="underarm", against=True),
        ],
        size=size,
    )
