"""Following the advice of a check that failed lifts it.

Bodies that ``benchmarks`` found at fault are drafted again as they were advised.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

import numpy as np
import pytest
from hanging_bodies import line_at, turned_body

from layfigure.body.chart import ChartPoint
from layfigure.body.form import Form
from layfigure.body.shape import form_of
from layfigure.body.template import load_template
from layfigure.design.design import DesignEdge, EdgePoint, PieceStatement
from layfigure.draft.belt.kind import KIND as BELT
from layfigure.draft.belt.line import belt_frame, straight_line
from layfigure.draft.registry import Check, DraftRequest, PieceKind, validated_options
from layfigure.draft.strap.kind import KIND as STRAP
from layfigure.materials.cloth import Cloth
from layfigure.place.place import place_edge
from layfigure.place.placement import Placement

LEATHER = Cloth(
    slug="leather",
    kind="leather",
    name="leather",
    width=1200.0,
    areal_mass=2400.0,
    thickness=3.0,
    tested=True,
)
LOCAL = ("hand-scale", "hand-fingers", "upperarm", "lowerarm", "wrist", "shoulder-dist", "torso-scale")
HIPS = DesignEdge(
    slug="hips",
    closed=True,
    points=tuple(EdgePoint(at=ChartPoint(region="torso", station=3.6, around=k / 16)) for k in range(16)),
)


def random_body(number: int, seed: int) -> Form:
    """The body of that number in a benchmark's row."""
    template = load_template()
    draw = np.random.default_rng(seed)
    varied = [k for k, name in enumerate(template.local_names) if name.startswith(LOCAL)]
    for body in range(number + 1):
        shape = template.presets["woman" if body % 2 else "man"].copy()
        shape[: template.mode_count] += 0.6 * draw.normal(size=template.mode_count)
        shape[template.mode_count + np.array(varied)] += 0.3 * draw.normal(size=len(varied))
    return form_of(template, shape, wearer="random")


def failed(
    kind: PieceKind, form: Form, edges: Mapping[str, DesignEdge], options: dict[str, Any]
) -> list[Check]:
    statement = PieceStatement(
        slug="thing",
        kind=kind.name,
        cloth="leather",
        edges={role: edge.slug for role, edge in edges.items()},
        options=options,
    )
    placed = Placement(wearer="", edges={edge.slug: place_edge(edge, form) for edge in edges.values()})
    request = DraftRequest(
        statement=statement,
        options=validated_options(kind, options, where="piece thing"),
        form=form,
        placement=placed,
        cloths={"leather": LEATHER},
    )
    return [check for check in kind.draft(request).checks if not check.passed]


def test_an_upright_strap_stands_off_a_cone_by_its_width_times_the_slope() -> None:
    # It slides up until its lower edge is tight; its upper edge is then width x slope farther out.
    cone = turned_body([(1100.0, 100.0), (700.0, 180.0)])
    chart = cone.charts["torso"]
    line = place_edge(line_at(cone, "line", 900.0), cone).line
    found = straight_line(chart, belt_frame(chart, line), 40.0, 0.0, 0.0)
    assert found.edge_difference / (2.0 * math.pi) == pytest.approx(40.0 * 80.0 / 400.0, rel=2e-3)


@pytest.mark.parametrize("number", [5, 25])
def test_a_contour_belt_lies_where_a_straight_one_stands_away(number: int) -> None:
    form = random_body(number, 21)
    (check,) = failed(BELT, form, {"line": HIPS}, {"shape": "straight", "width": "40 mm"})
    assert "shape = 'contour'" in check.advice
    assert not failed(BELT, form, {"line": HIPS}, {"shape": "contour", "width": "40 mm"})


@pytest.mark.parametrize("number", [1, 3])
def test_a_strap_that_passes_higher_lies_close_where_a_narrower_one_does_not(number: int) -> None:
    form = random_body(number, 12)
    (check,) = failed(STRAP, form, {}, {"over": "left"})
    assert "edges stand off" in check.what
    assert "low = 3.2" in check.advice
    assert not failed(STRAP, form, {}, {"over": "left", "low": 3.2})
    assert failed(STRAP, form, {}, {"over": "left", "width": "25 mm"})
