import numpy as np
import pytest

from layfigure.geometry.fairing import faired, smoothed
from layfigure.geometry.polyline import length


def test_an_arc_stays_an_arc_to_its_ends() -> None:
    angle = np.linspace(0.0, 1.5, 700)
    arc = 600.0 * np.column_stack([np.sin(angle), np.cos(angle)])
    line, moved = faired(arc, step=1.5, reach=12.0)
    assert moved < 2e-3
    assert np.linalg.norm(line, axis=1) == pytest.approx(np.full(len(line), 600.0), abs=1e-3)


def test_ripples_go_and_the_length_of_the_walk_stays() -> None:
    x = np.linspace(0.0, 800.0, 4000)
    rippled = np.column_stack([x, 0.05 * np.sin(2.0 * np.pi * x / 8.0)])
    line, moved = faired(rippled, step=1.5, reach=12.0)
    assert 0.04 < moved < 0.5
    inner = line[40:-40]
    assert np.ptp(inner[:, 1] - np.polyval(np.polyfit(inner[:, 0], inner[:, 1], 1), inner[:, 0])) < 0.01
    assert length(line) == pytest.approx(length(rippled), rel=0.01)


def test_a_long_bend_is_kept() -> None:
    x = np.linspace(0.0, 800.0, 4000)
    wave = np.column_stack([x, 40.0 * np.sin(2.0 * np.pi * x / 800.0)])
    assert faired(wave, step=1.5, reach=12.0)[1] < 0.5


def test_smoothing_places_keeps_the_ends_and_moves_an_arc_by_what_it_says() -> None:
    angle = np.linspace(0.0, 1.5, 700)
    arc = 90.0 * np.column_stack([np.sin(angle), np.cos(angle)])
    line = smoothed(arc, step=1.5, reach=3.0)
    assert line[0] == pytest.approx(arc[0])
    assert line[-1] == pytest.approx(arc[-1])
    off = np.abs(np.linalg.norm(line, axis=1) - 90.0)
    assert off[20:-20] == pytest.approx(np.full(len(off) - 40, 3.0**2 / 180.0), rel=0.05)
    assert off.max() < 0.1
