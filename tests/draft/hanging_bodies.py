"""Bodies of known shape with a surface to hang cloth on, and requests to draft on them."""

from __future__ import annotations

import itertools
from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from shapely import Polygon
from stiff_limbs import circle, form_with, limb_chart

from layfigure.body.chart import ChartPoint, RegionChart
from layfigure.body.form import Form
from layfigure.design.design import DesignEdge, EdgePoint, PieceStatement, Trace
from layfigure.draft.registry import DraftRequest, DraftResult, PieceKind, validated_options
from layfigure.drawing.svg import svg_of
from layfigure.drawing.walk import read_svg, walk
from layfigure.geometry.mesh import TriangleMesh
from layfigure.materials.cloth import Cloth
from layfigure.piece.draw import Heading
from layfigure.piece.piece import Piece
from layfigure.piece.seam_allowance import cut_line
from layfigure.piece.seam_book import SeamBook
from layfigure.place.place import place_edge
from layfigure.place.placement import Placement

WOOL = Cloth(
    slug="wool", kind="woven", name="wool", width=1500.0, areal_mass=300.0, thickness=0.9, tested=True
)
SILK = Cloth(slug="silk", kind="woven", name="silk", width=1400.0, areal_mass=60.0, tested=True)
HIDE = Cloth(
    slug="hide", kind="leather", name="leather", width=900.0, areal_mass=1540.0, thickness=2.0, tested=True
)
FOAM = Cloth(
    slug="foam", kind="foam", name="foam", width=1000.0, areal_mass=500.0, thickness=5.0, tested=True
)
CLOTHS = {cloth.slug: cloth for cloth in (WOOL, SILK, HIDE, FOAM)}


def tube(sections: np.ndarray) -> TriangleMesh:
    k, n, _ = sections.shape
    index = np.arange(k * n).reshape(k, n)
    a, b, c, d = (part.ravel() for part in (index[1:], np.roll(index, -1, 1)[1:],
                                            np.roll(index, -1, 1)[:-1], index[:-1]))  # fmt: skip
    return TriangleMesh(
        vertices=sections.reshape(-1, 3),
        faces=np.concatenate([np.column_stack([a, b, c]), np.column_stack([a, c, d])]),
    )


def turned_body(profile: Sequence[tuple[float, float]], **charts: RegionChart) -> Form:
    """A round trunk from (height, radius) pairs, top first, its axis through the origin."""
    heights = np.concatenate(
        [np.linspace(a[0], b[0], 12, endpoint=False) for a, b in itertools.pairwise(profile)]
        + [[profile[-1][0]]]
    )
    radii = np.interp(-heights, [-z for z, _ in profile], [r for _, r in profile])
    torso = limb_chart("torso", [circle(float(r)) for r in radii], heights)
    form = form_with(torso, *charts.values())
    mesh = tube(torso.sections)
    return replace(form, standing=mesh, face_region=np.zeros(len(mesh.faces), dtype=np.int64))


def station_at(form: Form, height: float) -> float:
    chart = form.charts["torso"]
    levels = chart.sections[:, :, 2].mean(axis=1)
    return float(np.interp(-height, -levels, chart.stations))


def line_at(
    form: Form, slug: str, height: float, *, start: float = 0.0, end: float = 1.0, slope: float = 0.0
) -> DesignEdge:
    """A line at a height [mm], right round, or from start to end of the girth rising by ``slope`` [mm]."""
    closed = end - start >= 1.0
    share = np.arange(16) / 16.0 if closed else np.linspace(0.0, 1.0, 9)
    return DesignEdge(
        slug=slug,
        closed=closed,
        points=tuple(
            EdgePoint(
                at=ChartPoint(
                    region="torso",
                    station=station_at(form, height + slope * float(s)),
                    around=float((start + s * (end - start)) % 1.0),
                )
            )
            for s in share
        ),
    )


def ask(
    kind: PieceKind,
    form: Form,
    edges: Mapping[str, DesignEdge],
    options: Mapping[str, Any] | None = None,
    *,
    cloth: Cloth = WOOL,
    cloths: Mapping[str, str] | None = None,
    stack: float = 0.0,
    trace: Trace | None = None,
) -> DraftResult:
    statement = PieceStatement(
        slug="thing",
        kind=kind.name,
        cloth=cloth.slug,
        edges={role: edge.slug for role, edge in edges.items()},
        options=options or {},
        cloths=cloths or {},
        trace=trace,
    )
    return kind.draft(
        DraftRequest(
            statement=statement,
            options=validated_options(kind, statement.options, where="piece thing"),
            form=form,
            placement=Placement(
                wearer="test", edges={edge.slug: place_edge(edge, form) for edge in edges.values()}
            ),
            cloths=CLOTHS,
            stack=stack,
        )
    )


def proper(pieces: tuple[Piece, ...], folder: Path) -> None:
    """Outlines close, hold their cut line, carry totals and a note, and every seam walks."""
    for piece in pieces:
        for edge, following in zip(piece.edges, (*piece.edges[1:], piece.edges[0]), strict=True):
            assert edge.curve[-1] == pytest.approx(following.curve[0], abs=1e-9)
        outline = Polygon(piece.stitch_line)
        assert outline.is_valid
        assert outline.exterior.is_ccw
        assert Polygon(cut_line(piece.edges)).buffer(1e-3).contains(outline)
        assert len(piece.totals) == 3
        assert piece.note
    path = folder / "pieces.svg"
    path.write_text(svg_of(pieces, Heading(costume="t", seams=SeamBook.of(pieces))), encoding="utf-8")
    assert walk(read_svg(path)) == []
