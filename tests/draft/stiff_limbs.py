"""Limbs of known shape, and requests to draft on them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

import numpy as np

from layfigure.body.chart import ChartPoint, RegionChart
from layfigure.body.form import Form
from layfigure.body.levels import split_region
from layfigure.design.design import DesignEdge, EdgePoint, PieceStatement
from layfigure.draft.registry import DraftRequest, DraftResult, PieceKind, validated_options
from layfigure.geometry.mesh import TriangleMesh
from layfigure.geometry.polyline import resample
from layfigure.geometry.tube import rows_mesh
from layfigure.materials.cloth import Cloth
from layfigure.place.place import place_edge
from layfigure.place.placement import Placement

FOAM = Cloth(
    slug="foam", kind="foam", name="foam", width=1000.0, areal_mass=500.0, thickness=5.0, tested=True
)
CARD = Cloth(slug="card", kind="paper", name="card", width=700.0, areal_mass=200.0, tested=True)

RADIUS, TALL = 140.0, 600.0
"""Of the drum that tests share."""


def limb_chart(region: str, outlines: Sequence[np.ndarray], heights: np.ndarray) -> RegionChart:
    """Sections (n, 2) at falling heights, stations 0 to the region's last level."""
    definition, _ = split_region(region)
    sections = np.stack(
        [
            np.column_stack([resample(outline, 128, closed=True), np.full(128, height)])
            for outline, height in zip(outlines, heights, strict=True)
        ]
    )
    last = len(definition.levels) - 1
    return RegionChart(
        region=region,
        level_names=definition.levels,
        stations=np.linspace(0.0, last, len(heights)),
        sections=sections,
    )


def circle(radius: float, count: int = 512) -> np.ndarray:
    """From the front (-y) toward the left (+x)."""
    angle = 2.0 * np.pi * np.arange(count) / count
    return radius * np.column_stack([np.sin(angle), -np.cos(angle)])


def round_limb(region: str, radii: Sequence[float], length: float, count: int = 25) -> RegionChart:
    """Circular sections whose radius runs straight between the values given, top first."""
    heights = np.linspace(1000.0 + length, 1000.0, count)
    radius = np.interp(np.linspace(0.0, 1.0, count), np.linspace(0.0, 1.0, len(radii)), radii)
    return limb_chart(region, [circle(float(r)) for r in radius], heights)


def drum(radius: float, tall: float) -> Form:
    """A round trunk, its skin as its chart says."""
    chart = round_limb("torso", [radius, radius], tall, 61)
    mesh = rows_mesh(chart.sections[::-1], closed=True)
    form = form_with(chart)
    return replace(form, standing=mesh, drafting=mesh, face_region=np.zeros(len(mesh.faces), dtype=np.int64))


def form_with(*charts: RegionChart, estimated: frozenset[str] = frozenset(), **measures: float) -> Form:
    mesh = TriangleMesh(vertices=np.zeros((3, 3)), faces=np.array([[0, 1, 2]]))
    named = {chart.region: chart for chart in charts}
    return Form(
        wearer="test",
        standing=mesh,
        drafting=mesh,
        charts=named,
        drafting_charts=named,
        region_names=tuple(named),
        face_region=np.zeros(1, dtype=np.int64),
        level_heights={},
        landmarks={"crown": np.array([0.0, 0.0, 1700.0])},
        measures=measures,
        estimated=estimated,
        spreads={},
    )


def ring(slug: str, region: str, station: float) -> DesignEdge:
    return line(slug, region, [(station, k / 8.0, False) for k in range(8)])


def line(
    slug: str, region: str, points: Sequence[tuple[float, float, bool]], *, spread: float = 0.0
) -> DesignEdge:
    """Closed; points are (station, around, corner)."""
    return DesignEdge(
        slug=slug,
        closed=True,
        points=tuple(
            EdgePoint(
                at=ChartPoint(region=region, station=station, around=around),
                corner=corner,
                spread_along=spread,
            )
            for station, around, corner in points
        ),
    )


def draft(
    kind: PieceKind,
    form: Form,
    edges: Mapping[str, DesignEdge],
    options: Mapping[str, Any] | None = None,
    *,
    cloth: Cloth = FOAM,
    stack: float = 0.0,
    side: Any = "left",
) -> DraftResult:
    statement = PieceStatement(
        slug="guard",
        kind=kind.name,
        cloth=cloth.slug,
        side=side,
        edges={role: edge.slug for role, edge in edges.items()},
        options=options or {},
    )
    return kind.draft(
        DraftRequest(
            statement=statement,
            options=validated_options(kind, statement.options, where="piece guard"),
            form=form,
            placement=Placement(
                wearer="test", edges={edge.slug: place_edge(edge, form) for edge in edges.values()}
            ),
            cloths={cloth.slug: cloth},
            stack=stack,
        )
    )
