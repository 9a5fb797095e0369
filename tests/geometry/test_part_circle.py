"""Parts of a circle against published radii, and pleats against counting cloth."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from layfigure.geometry.part_circle import PartCircle, share_for_fullness
from layfigure.geometry.pleat_row import PleatRow
from layfigure.geometry.polyline import length


# prettyquirkypants.com 2014/03/07 (a sewing lesson): waist 26, radius of the waist's arc, as printed.
@pytest.mark.parametrize(
    ("share", "printed", "exact"),
    [(1.0, 4.13, 4.138), (0.5, 8.2, 8.276), (1.0 / 3.0, 12.4, 12.414), (0.25, 16.56, 16.552)],
)
def test_radius_of_a_skirt_by_waist_and_share(share: float, printed: float, exact: float) -> None:
    radius = PartCircle(top=26.0, share=share).radius
    assert radius == pytest.approx(exact, abs=5e-4)
    assert radius == pytest.approx(printed, rel=0.011)  # the lesson rounds as it goes


# A pattern-teaching page on circle skirts (a seller's, name withheld): waist 110 cm; and with 4 cm at the
# edges and 1 cm taken off for the waist's seam.
def test_radius_of_a_skirt_from_a_second_lesson() -> None:
    assert PartCircle(top=110.0, share=1.0).radius == pytest.approx(17.51, abs=5e-3)
    assert PartCircle(top=110.0, share=0.5).radius == pytest.approx(35.01, abs=5e-3)
    assert PartCircle(top=114.0, share=1.0).radius - 1.0 == pytest.approx(17.15, abs=0.01)  # 2 pi as 6.28


@given(st.floats(200.0, 1200.0), st.floats(0.0, 0.9), st.floats(50.0, 900.0))
def test_drawn_edges_are_as_long_as_the_ring(top: float, share: float, depth: float) -> None:
    ring = PartCircle(top=top, share=share)
    places = ring.steps(0.0, 1.0, depth)
    for down in (0.0, depth):
        curve = ring.at(places, down, middle=0.5)
        assert length(curve) == pytest.approx(float(ring.round_at(down)), rel=1e-4)  # chords 0.01 mm off
    sides = ring.at([0.0, 1.0], [[0.0, 0.0], [depth, depth]], middle=0.5)
    assert np.linalg.norm(sides[1] - sides[0], axis=1) == pytest.approx(depth)


@given(st.floats(100.0, 900.0), st.floats(20.0, 400.0), st.floats(1.0, 6.0))
def test_fullness_is_hem_over_top(top: float, depth: float, fullness: float) -> None:
    ring = PartCircle(top=top, share=share_for_fullness(top, depth, fullness))
    assert float(ring.round_at(depth)) == pytest.approx(fullness * top)


def test_a_hem_shorter_than_the_top_is_refused() -> None:
    with pytest.raises(ValueError, match="at least as long"):
        share_for_fullness(500.0, 80.0, 0.8)


def test_the_ring_is_the_frustum_it_unrolls_from() -> None:
    # A cone 360 R/s: base circumference 15.708, slant 12 (Longfield 1921, p. 82) is a sector of 75 degrees.
    ring = PartCircle(top=15.708 * 0.5, share=75.0 / 360.0)
    assert ring.radius + 6.0 == pytest.approx(12.0, abs=1e-3)
    assert float(ring.round_at(6.0)) == pytest.approx(15.708, abs=1e-3)
    assert math.degrees(ring.sector) == pytest.approx(75.0)


@given(
    st.sampled_from(["knife", "box", "inverted"]),
    st.integers(1, 30),
    st.floats(5.0, 60.0),
    st.floats(300.0, 1500.0),
)
def test_folding_every_pleat_leaves_the_finished_edge(
    kind: str, count: int, depth: float, finished: float
) -> None:
    row = PleatRow(kind=kind, count=count, depth=depth, finished=finished)  # type: ignore[arg-type]
    folds = row.folds()
    # Each fold moves its cloth by fold to onto: what is taken is twice the depth a fold.
    moved = sum(abs(fold.onto - fold.fold) for fold in folds)
    assert row.flat - moved == pytest.approx(finished)
    places = [fold.fold for fold in folds]
    assert places == sorted(places)
    assert places[0] > 0.0
    assert places[-1] < row.flat


@given(st.sampled_from(["knife", "box", "inverted"]), st.integers(1, 12), st.floats(5.0, 40.0))
def test_pleated_cloth_lies_in_layers_of_its_own_length(kind: str, count: int, depth: float) -> None:
    row = PleatRow(kind=kind, count=count, depth=depth, finished=1000.0)  # type: ignore[arg-type]
    flat = np.linspace(0.0, row.flat, 4001)
    worn = row.worn(flat)
    assert worn[[0, -1]] == pytest.approx([0.0, 1000.0])
    # Folding stretches nothing, and every fold meets what it is brought to.
    steps = np.abs(np.diff(worn)) / np.diff(flat)
    assert (steps <= 1.0 + 1e-9).all()
    assert np.median(steps) == pytest.approx(1.0)
    for fold in row.folds():
        assert row.worn(fold.fold) == pytest.approx(float(row.worn(fold.onto)))


def test_knife_pleats_lie_side_by_side_at_three_times_the_cloth() -> None:
    # Full knife pleating takes three times the finished length (common practice).
    row = PleatRow(kind="knife", count=20, depth=35.0, finished=700.0)
    assert row.flat == pytest.approx(3.0 * 700.0)
    assert row.overlap == 0.0
    assert PleatRow(kind="knife", count=20, depth=40.0, finished=700.0).overlap == pytest.approx(5.0)
