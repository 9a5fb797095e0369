"""Splines against scipy's, and the integral of outlines against circles and against its own differences."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.interpolate import BSpline

from layfigure.draft.flatten.outline import OutlineEdge, SeamSpeed, outline_unknowns
from layfigure.draft.flatten.outline_quadrature import OutlineQuadrature, outline_quadrature, sampled_edges
from layfigure.draft.flatten.splines import (
    coefficient_places,
    spline_columns,
    spline_values,
    splines_at,
    spread_values,
)

RNG = np.random.default_rng(4)


@given(st.integers(1, 40), st.lists(st.floats(0.0, 1.0), min_size=1, max_size=30))
def test_splines_are_those_of_scipy(spans: int, at: list[float]) -> None:
    knots = np.concatenate([np.zeros(3), np.linspace(0.0, 1.0, spans + 1), np.ones(3)])
    theirs = BSpline(knots, np.eye(spans + 3), 3)(np.array(at))
    ours = spread_values(*spline_values(np.full(len(at), spans), np.array(at)), spans + 3)
    assert ours == pytest.approx(theirs, abs=1e-12)


def test_splines_read_span_by_span_are_the_same() -> None:
    spans, first = np.array([4, 0, 7, 1]), np.array([0, 7, 8, 18])
    coefficients = RNG.normal(size=22)
    which, at = RNG.integers(4, size=200), np.r_[0.0, 1.0, RNG.uniform(size=198)]
    columns, values = spline_columns(first[which], spans[which], at)
    assert columns[which == 1].max() == 7
    assert splines_at(coefficients, first, spans, which, at) == pytest.approx(
        (values * coefficients[columns]).sum(axis=1), abs=1e-12
    )


def test_a_constant_has_one_value_among_splines() -> None:
    first, values = spline_values(np.array([0, 5, 0]), np.array([0.3, 0.3, 1.0]))
    assert spread_values(first[:1], values[:1], 1).tolist() == [[1.0]]
    assert first.tolist() == [0, 1, 0]
    assert values.sum(axis=1) == pytest.approx(1.0)


def outlines() -> tuple[OutlineQuadrature, int]:
    """Two panels, sewn along one seam that one of them runs against; one edge straight."""

    def edge(seam: int, first: int, spans: int, vertices: int, against: bool = False) -> OutlineEdge:
        inner = np.sort(RNG.uniform(0.05, 0.95, vertices - 2))
        return OutlineEdge(
            seam=seam, against=against, first=first, spans=spans, length=100.0, sigma=np.r_[0.0, inner, 1.0]
        )

    both = (
        (edge(0, 0, 3, 6), edge(1, 6, 0, 5), edge(2, 7, 2, 4)),
        (edge(0, 0, 4, 7, against=True), edge(3, 7, 1, 5)),
    )
    speeds = [
        SeamSpeed(spans=spans, length=length)
        for spans, length in ((3, 90.0), (1, 80.0), (2, 70.0), (1, 95.0))
    ]
    offsets = np.cumsum([0, *(speed.count for speed in speeds)])
    unknowns = outline_unknowns(both, offsets)
    sigmas = [edge.sigma for outline in both for edge in outline]
    return outline_quadrature(both, speeds, unknowns, sigmas), unknowns.total + int(offsets[-1])


def test_slopes_and_derivatives_are_those_of_the_outline() -> None:
    quadrature, count = outlines()
    place = RNG.normal(scale=0.4, size=count)
    step = RNG.normal(size=count)
    outline, gaps = quadrature.positions(quadrature.increments(place))
    ahead, behind = (quadrature.positions(quadrature.increments(place + h * step)) for h in (1e-6, -1e-6))
    moves, gap_moves = (ahead[0] - behind[0]) / 2e-6, (ahead[1] - behind[1]) / 2e-6
    assert len(gaps) == 2
    assert all(outline[own.start] == 0.0 for own in quadrature.sides)

    forces = RNG.normal(size=outline.size) + 1j * RNG.normal(size=outline.size)
    slopes = quadrature.slopes(quadrature.increments(place), forces)
    own_step = step[quadrature.unknowns.spread]
    for p, (own, sides) in enumerate(zip(quadrature.unknowns.own, quadrature.sides, strict=True)):
        x, y = quadrature.derivatives(quadrature.increments(place), p) @ own_step[own]
        assert x + 1j * y == pytest.approx(moves[sides], abs=1e-4)
        by_x, by_y, work = slopes[:, own] @ own_step[own]
        assert by_x + 1j * by_y == pytest.approx(gap_moves[p], abs=1e-4)
        assert work == pytest.approx((forces[sides].conj() * moves[sides]).real.sum(), abs=1e-3)
    assert quadrature.greatest_turn(step) <= np.abs(step).max()


def test_even_turning_at_even_speed_is_a_circle() -> None:
    edge = OutlineEdge(
        seam=0, against=False, first=0, spans=12, length=600.0, sigma=np.linspace(0.0, 1.0, 61)
    )
    unknowns = outline_unknowns([(edge,)], np.array([0, 4]))
    quadrature = outline_quadrature([(edge,)], [SeamSpeed(spans=1, length=600.0)], unknowns, [edge.sigma])
    headings = 2.0 * np.pi * coefficient_places(12)
    outline, gaps = quadrature.positions(quadrature.increments(np.r_[headings, np.zeros(4)]))
    radius = 600.0 / (2.0 * np.pi)
    assert outline == pytest.approx(1j * radius * (1.0 - np.exp(2j * np.pi * edge.sigma[:-1])), abs=1e-6)
    assert gaps == pytest.approx([0.0], abs=1e-6)
    speeds = [SeamSpeed(spans=1, length=600.0)]
    (sampled,) = sampled_edges([(edge,)], speeds, unknowns, np.r_[headings, np.zeros(4)], [61])
    assert sampled[:-1] == pytest.approx(outline, abs=1e-9)
    assert sampled[-1] == pytest.approx(gaps[0], abs=1e-9)
