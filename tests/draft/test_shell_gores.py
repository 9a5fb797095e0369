"""Gores against the sphere: the exact gore is R sin(phi) pi / n wide on either side of its middle."""

from __future__ import annotations

import numpy as np
import pytest
from shells import ball_cap

from layfigure.draft.shell.flattening import STRETCH_MOST, STRETCH_P95, stretches
from layfigure.draft.shell.gores import cut_gores, seam_bevels
from layfigure.geometry.polyline import length

RADIUS = 90.0


def half_widths(right: np.ndarray, left: np.ndarray, up: np.ndarray) -> np.ndarray:
    """Half the distance between the sides at shares of their lengths from the rim."""
    right_at = right[np.round(up * (len(right) - 1)).astype(int)]
    left_at = left[::-1][np.round(up * (len(left) - 1)).astype(int)]
    return 0.5 * np.linalg.norm(right_at - left_at, axis=1)


@pytest.mark.parametrize("count", [8, 12, 18])
def test_gores_of_a_half_ball_are_as_wide_as_the_exact_ones(count: int) -> None:
    gores = cut_gores(ball_cap(RADIUS, 0.5 * np.pi), "s", count=count)
    flat = gores.flats["gore_1"]
    up = np.linspace(0.0, 0.9, 10)
    widths = half_widths(flat.curves["right"], flat.curves["left"], up)
    exact = RADIUS * np.sin(0.5 * np.pi * (1.0 - up)) * np.pi / count
    # What the exact gore leaves out is the stretch along its sides, which falls with the square of its width.
    allowance = 0.25 * (np.pi / count) ** 2
    assert widths == pytest.approx(exact, rel=allowance, abs=0.15)
    assert flat.curves["right"][-1] == pytest.approx(flat.curves["left"][0])
    assert length(flat.curves["right"]) == pytest.approx(0.5 * np.pi * RADIUS, rel=allowance)


def test_narrower_gores_stretch_less_and_eight_will_do() -> None:
    cap = ball_cap(RADIUS, 0.5 * np.pi)
    eight, sixteen = (stretches(cut_gores(cap, "s", count=n).flats)[0] for n in (8, 16))
    assert sixteen < 0.4 * eight
    chosen = cut_gores(cap, "s", count=None)
    assert chosen.count in (7, 8)
    p95, most = stretches(chosen.flats)
    assert p95 <= STRETCH_P95
    assert most <= STRETCH_MOST
    assert stretches(cut_gores(cap, "s", count=chosen.count - 2).flats)[0] > STRETCH_P95


def test_bevels_at_the_equator_are_those_of_the_regular_polygon() -> None:
    # Plates of a regular n-gon meet at 180 - 360/n: (180 - A)/2 = 180/n from square (TRADE 6).
    cap = ball_cap(RADIUS, 0.5 * np.pi)
    for count in (6, 12):
        gores = cut_gores(cap, "s", count=count)
        assert seam_bevels(cap, gores.azimuths)[:, 0] == pytest.approx(180.0 / count, abs=0.3)


def test_a_flat_cap_needs_no_more_gores_than_it_starts_with() -> None:
    gores = cut_gores(ball_cap(400.0, 0.15), "s", count=None)
    assert gores.count == 4
    assert stretches(gores.flats)[1] < 0.005
