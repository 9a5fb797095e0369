"""Windows on bodies of known shape, and requests to draft pieces that have them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np
import shapely

from layfigure.body.chart import ChartPoint
from layfigure.body.form import Form
from layfigure.design.design import DesignEdge, EdgePoint, PieceStatement
from layfigure.design.motif import MotifRow, named_shape
from layfigure.draft.registry import DraftRequest, DraftResult, PieceKind, validated_options
from layfigure.materials.cloth import Cloth
from layfigure.piece.piece import Piece
from layfigure.place.motif_row import motifs_along
from layfigure.place.place import place_edge
from layfigure.place.placement import Placement

WOOL = Cloth(
    slug="wool", kind="woven", name="wool", width=1500.0, areal_mass=300.0, thickness=0.9, tested=True
)
NET = Cloth(slug="net", kind="mesh", name="net", width=1500.0, areal_mass=80.0, tested=True)
HIDE = Cloth(
    slug="hide", kind="leather", name="leather", width=900.0, areal_mass=1540.0, thickness=2.0, tested=True
)
FOAM = Cloth(
    slug="foam", kind="foam", name="foam", width=1000.0, areal_mass=500.0, thickness=5.0, tested=True
)
SHEET = Cloth(
    slug="sheet",
    kind="thermoplastic",
    name="sheet",
    width=1000.0,
    areal_mass=2000.0,
    thickness=2.0,
    tested=True,
)
CLOTHS = {cloth.slug: cloth for cloth in (WOOL, NET, HIDE, FOAM, SHEET)}


def patch(slug: str, region: str, stations: tuple[float, float], ways: tuple[float, float]) -> DesignEdge:
    """A window marked point by point: between two stations and two ways round, its corners sharp."""
    (low, high), (first, last) = stations, ways
    corners = [(low, first), (low, last), (high, last), (high, first)]
    points = []
    for k, (a, b) in enumerate(zip(corners, corners[1:] + corners[:1], strict=True)):
        for share in np.linspace(0.0, 1.0, 8, endpoint=False):
            station, around = (1.0 - share) * np.array(a) + share * np.array(b)
            at = ChartPoint(region=region, station=float(station), around=float(around % 1.0))
            points.append(EdgePoint(at=at, corner=share == 0.0))
        del k
    return DesignEdge(slug=slug, points=tuple(points), closed=True)


def motifs(
    form: Form,
    region: str,
    line: Sequence[tuple[float, float]],
    *,
    size: float,
    size_end: float | None = None,
    count: int = 1,
    shape: str = "lens",
    width: float = 0.5,
    slug: str = "eye",
    **row: Any,
) -> dict[str, DesignEdge]:
    """A row of motifs along a line of (station, around), by slug."""
    base = DesignEdge(
        slug="base",
        points=tuple(
            EdgePoint(at=ChartPoint(region=region, station=station, around=around % 1.0))
            for station, around in line
        ),
    )
    stated = MotifRow(
        slug=slug,
        along="base",
        shape=named_shape(shape, width),  # type: ignore[arg-type]
        count=count,
        size=size,
        size_end=size if size_end is None else size_end,
        **row,
    )
    return {edge.slug: edge for edge in motifs_along(stated, place_edge(base, form), form)}


def draft(
    kind: PieceKind,
    form: Form,
    edges: Mapping[str, DesignEdge],
    windows: Mapping[str, DesignEdge],
    options: Mapping[str, Any] | None = None,
    *,
    cloth: Cloth = WOOL,
    stack: float = 0.0,
    **statement: Any,
) -> DraftResult:
    """A piece called ``thing`` with windows. edges : by role."""
    asked = PieceStatement(
        slug="thing",
        kind=kind.name,
        cloth=cloth.slug,
        edges={role: edge.slug for role, edge in edges.items()},
        windows=tuple(windows),
        options=options or {},
        **statement,
    )
    placed = {edge.slug: place_edge(edge, form) for edge in (*edges.values(), *windows.values())}
    return kind.draft(
        DraftRequest(
            statement=asked,
            options=validated_options(kind, asked.options, where="piece thing"),
            form=form,
            placement=Placement(wearer="test", edges=placed),
            cloths=CLOTHS | {cloth.slug: cloth},
            stack=stack,
        )
    )


def cut(result: DraftResult, window: str = "eye") -> tuple[Piece, shapely.Polygon]:
    """The piece that has a window, and the window as it is drawn before its edge is finished."""
    found = [(piece, own) for piece in result.pieces for own in piece.windows if own.slug == window]
    assert len(found) == 1
    piece, own = found[0]
    assert own.worn is not None
    return piece, shapely.Polygon(own.worn)


def size_of(shape: shapely.Polygon) -> float:
    """Greatest distance between two points of an outline [mm]."""
    ring = np.asarray(shape.exterior.coords)
    return float(np.linalg.norm(ring[:, None] - ring, axis=2).max())
