"""A close garment on its wearer: panels laid on the body, and what lies where on them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from layfigure.body.chart import ChartPoint
from layfigure.body.form import Form
from layfigure.body.template import load_template
from layfigure.draft.flatten.panel import Panel
from layfigure.draft.panels.edge_fields import edge_curve, mirrored
from layfigure.draft.panels.garment import GarmentPattern
from layfigure.draft.panels.leggings import Side
from layfigure.draft.panels.surface import Surface
from layfigure.draft.registry import DraftRequest
from layfigure.errors import DraftError
from layfigure.materials.opening import OpeningKind
from layfigure.place.placement import PlacedEdge

Points = NDArray[np.float64]

Places = tuple[ChartPoint, ...]

ALIKE = 1.0
"""Left and right that differ by less than this everywhere are drafted once and cut as a pair [mm]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Level:
    """A level of the body as a line round one region.

    drawn : as a balance line and by notches; a level close to a hem is not.
    """

    label: str
    region: str
    station: float
    drawn: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class Opening:
    """An opening: the lines it runs along, its kind, and what must pass through it.

    measure : stored name of the girth that must pass; empty where nothing is asked.
    """

    slug: str
    lines: tuple[str, ...]
    kind: OpeningKind
    passes: str
    measure: str


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class KnitGarment:
    """Panels on the wearer.

    curves : line name to where it lies on the wearer, (k, 3) in the drafting pose, for placed lines.
    pair : one side drafted, cut mirrored.
    measures : names of the measures that decide its size. note : order of joining, one instruction a line.
    """

    pattern: GarmentPattern
    panels: tuple[Panel, ...]
    surface: Surface
    curves: Mapping[str, Points]
    levels: tuple[Level, ...]
    openings: tuple[Opening, ...]
    pair: bool
    measures: tuple[str, ...]
    note: tuple[str, ...]


_DOWN_LIMB = ("upper_arm", "forearm", "hand", "thigh", "shank", "foot")


def covered(level: Level, end: Places) -> bool:
    """Whether a level of a limb lies before the edge that a leg or sleeve ends at."""

    def down(region: str, station: float) -> float:
        return 2.0 * _DOWN_LIMB.index(region.rpartition("_")[0]) + station

    last = max(down(point.region, point.station) for point in end)
    return down(level.region, level.station) < last


def placed_points(request: DraftRequest, role: str) -> Places | None:
    """Where the design puts an edge's role, in chart coordinates; None where it leaves the role out.

    Rounded far below what shows: an edge differs by rounding from wearer to wearer, and would be meshed anew.
    """
    placed = placed_edge(request, role)
    return None if placed is None else chart_points(placed)


def chart_points(placed: PlacedEdge) -> Places:
    """A placed edge in chart coordinates, rounded as for ``placed_points``."""
    return tuple(
        ChartPoint(region=c.region, station=round(float(t), 9), around=round(float(a), 9) % 1.0)
        for c in placed.curves
        for t, a in zip(c.station, c.around, strict=True)
    )


def placed_edge(request: DraftRequest, role: str) -> PlacedEdge | None:
    """The edge that plays a role, None where the design leaves it out. Raises DraftError for a lost edge."""
    slug = request.statement.edges.get(role)
    if slug is None:
        return None
    if slug not in request.placement.edges:
        raise DraftError(
            f"edge {slug!r} for {role} is not placed.",
            where=f"piece {request.statement.slug}",
            advice="Mark it, or say where it runs in words.",
        )
    return request.placement.edges[slug]


def drafting_line(form: Form, placed: PlacedEdge) -> Points:
    """A placed edge in the drafting pose, (k, 3) [mm]; a closed one ends where it starts."""
    runs = [form.drafting_charts[c.region].points(c.station, c.around) for c in placed.curves]
    line = np.concatenate(runs)
    if placed.edge.closed and np.linalg.norm(line[0] - line[-1]) > 1e-6:
        line = np.vstack([line, line[:1]])
    return line


def worn_curve(form: Form, surface: Surface, points: Places, *, stack: float, closed: bool = True) -> Points:
    """An edge on the cloth, (k, 3) in the drafting pose: outside the layers below [mm] by ``stack``."""
    curve = edge_curve(form, points, closed=closed)
    if stack == 0.0:
        return curve
    _, nearest = _vertex_tree(surface).query(curve)
    raised: Points = curve + stack * surface.normals[nearest]
    return raised


@lru_cache(maxsize=2)
def _vertex_tree(surface: Surface) -> cKDTree:
    """Every edge of a garment is raised from the same surface."""
    # Split in the middle of space, not of the vertices: made much sooner, and as quick to ask.
    return cKDTree(surface.vertices, balanced_tree=False, compact_nodes=False)


def is_alike(form: Form) -> bool:
    """Whether the wearer's left and right are one another's mirror image."""
    template = load_template()
    other = form.drafting.vertices[template.mirror] * (-1.0, 1.0, 1.0)
    return bool(np.abs(form.drafting.vertices - other).max() < ALIKE)


def sides_of(request: DraftRequest, roles: Sequence[str]) -> tuple[Side, ...]:
    """Which sides to draft: one as a pair where body and design are alike, else the statement's own."""
    stated = request.statement.side
    if stated == "left":
        return ("left",)
    if stated == "right":
        return ("right",)
    one_sided = any(
        f"{role}_{side}" in request.statement.edges for role in roles for side in ("left", "right")
    )
    whole = not request.statement.windows and not request.statement.seams
    if is_alike(request.form) and not one_sided and whole:
        return ("left",)
    return ("left", "right")


def side_points(request: DraftRequest, role: str, side: Side) -> Places | None:
    """A paired edge on one side: its own, or the other side's at the same chart coordinates."""
    for name in (f"{role}_{side}", role):
        points = placed_points(request, name)
        if points is None:
            continue
        region = points[0].region
        on_other_side = region.endswith(("_left", "_right")) and not region.endswith(side)
        return mirrored(points) if on_other_side else points
    return None
