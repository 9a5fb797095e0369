"""Two pictures of one edge: inverse variance, corners, and one run of points."""

from dataclasses import replace

import numpy as np
import pytest

from layfigure.study.combine import combine
from layfigure.study.one_curve import one_curve
from layfigure.study.stretch import Doubt, Stretch


def stretch(
    picture: int,
    station: np.ndarray,
    around: np.ndarray,
    spread: float,
    *,
    corners: tuple[int, ...] = (),
    closed: bool = False,
    shared: float = 1.0,
) -> Stretch:
    """A stretch whose marks share all of their spread, or a share of its variance."""
    count = len(station)
    together = np.einsum("ij,mn->minj", np.eye(2), np.ones((count, count)))
    own = np.tile(np.eye(2), (count, 1, 1))
    return Stretch(
        slug="edge",
        region="thigh_left",
        picture=picture,
        index=np.arange(count),
        station=np.asarray(station, dtype=float),
        around=np.asarray(around, dtype=float),
        covariance=spread**2 * own,
        doubt=Doubt(
            by_fit=shared * spread**2 * together,
            by_skin=np.zeros((count, 2)),
            hand=(1.0 - shared) * spread**2 * own,
            common=np.zeros((count, 2, 2)),
        ),
        scale=np.tile([0.24, 0.33], (count, 1)),
        corner=np.isin(np.arange(count), corners),
        closed=closed,
    )


def test_a_line_moves_to_the_inverse_variance_mean_of_two_pictures() -> None:
    turns = np.linspace(0.1, 0.3, 7)
    sure = stretch(0, np.full(7, 0.50), turns, 0.002)
    unsure = stretch(1, np.full(7, 0.53), turns + 0.013, 0.004)
    both = combine([sure, unsure])
    wanted = (0.50 / 0.002**2 + 0.53 / 0.004**2) / (0.002**-2 + 0.004**-2)
    # The two are not held to agree nearer than drawings do, 1.3 mm on a person: a hundredth of the move.
    np.testing.assert_allclose(both[0].station[2:5], wanted, atol=6e-5)
    np.testing.assert_allclose(both[0].around, turns, atol=1e-9)
    np.testing.assert_allclose(both[0].covariance[3, 0, 0], 1.0 / (0.002**-2 + 0.004**-2), rtol=0.02)
    # Along the line nothing was learnt.
    np.testing.assert_allclose(both[0].covariance[3, 1, 1], 0.002**2, rtol=1e-6)


def test_corners_meet_only_corners_that_can_be_the_same() -> None:
    one = stretch(0, [0.4, 0.5, 0.6], [0.2, 0.25, 0.2], 0.004, corners=(0, 2), shared=0.0)
    near = stretch(1, [0.41, 0.5], [0.21, 0.26], 0.004, corners=(0,), shared=0.0)
    far = stretch(1, [0.75, 0.5], [0.3, 0.26], 0.004, corners=(0,), shared=0.0)
    assert combine([one, near])[0].station[0] == pytest.approx(0.405, abs=3e-4)
    assert combine([one, far])[0].station[0] == 0.4
    # No corner of the other's is near; only its line, which passes by.
    assert combine([one, far])[0].station[2] == pytest.approx(0.6, abs=3e-4)


def test_lines_too_far_apart_to_be_one_are_left_alone() -> None:
    turns = np.linspace(0.1, 0.3, 7)
    one, other = stretch(0, np.full(7, 0.3), turns, 0.002), stretch(1, np.full(7, 0.6), turns, 0.002)
    np.testing.assert_array_equal(combine([one, other])[0].station, 0.3)


def test_what_two_pictures_show_of_the_skin_moves_its_neighbours_with_it() -> None:
    turns = np.linspace(0.15, 0.25, 5)
    parts = []
    for picture, sign, count in ((0, 1.0, 5), (1, -1.0, 3)):
        one = stretch(picture, np.linspace(0.4, 0.6, count), turns[:count], 0.0005, shared=0.0)
        # Seen askew from either side: skin that lies farther out reads the one way, then the other.
        skin = np.stack([np.zeros(count), np.full(count, sign)], axis=1)
        parts.append(replace(one, doubt=replace(one.doubt, by_skin=skin)))
    parts[1] = replace(parts[1], station=parts[0].station[:3], around=turns[:3] + 0.02)
    moved = combine(parts)
    # They meet half-way, and the part that only one picture shows goes along.
    first = np.mod(moved[0].around - turns + 0.5, 1.0) - 0.5
    assert (first[:3] > 0.007).all()
    assert first[3] > 0.5 * first[2]


def test_windows_seen_whole_meet_as_wholes_across_the_zero_line() -> None:
    turn = np.linspace(0.0, 2 * np.pi, 12, endpoint=False)
    station, around = 0.5 + 0.05 * np.sin(turn), np.mod(0.99 + 0.04 * np.cos(turn), 1.0)
    one = stretch(0, station, around, 0.004, closed=True)
    other = stretch(1, station + 0.02, np.mod(around + 0.03, 1.0), 0.004, closed=True)
    moved = combine([one, other])[0]
    np.testing.assert_allclose(moved.station, station + 0.01, atol=1e-4)
    np.testing.assert_allclose(np.mod(moved.around - around + 0.5, 1.0) - 0.5, 0.015, atol=1e-4)
    assert (moved.covariance[:, 0, 0] < 0.51 * one.covariance[:, 0, 0]).all()


def test_a_window_seen_whole_twice_is_drawn_from_the_first_picture_however_sums_round() -> None:
    turn = np.linspace(0.0, 2 * np.pi, 12, endpoint=False)
    station, around = 0.5 + 0.05 * np.sin(turn), 0.4 + 0.04 * np.cos(turn)
    one = stretch(0, station, around, 0.004, closed=True)
    for rounding in (-1e-14, 1e-14):
        other = stretch(1, station, around, 0.004 * (1.0 + rounding), closed=True)
        assert {s for s, _ in one_curve([one, other])[0]} == {0}
    surer = stretch(1, station, around, 0.0039, closed=True)
    assert {s for s, _ in one_curve([one, surer])[0]} == {1}


def test_one_side_of_a_window_seen_elsewhere_does_not_draw_the_other_side_in() -> None:
    turn = np.linspace(0.0, 2 * np.pi, 12, endpoint=False)
    station, around = 0.5 + 0.10 * np.sin(turn), 0.3 + 0.03 * np.cos(turn)
    whole = stretch(0, station, around, 0.006, closed=True, shared=0.3)
    # The side of small around, as another picture shows it: off by less than the window is wide.
    side = slice(4, 9)
    part = stretch(1, station[side], around[side] + 0.004, 0.006, shared=0.3)
    moved = combine([whole, part])[0]
    off = (np.mod(moved.around - around + 0.5, 1.0) - 0.5) * 0.33
    far = np.cos(turn) > 0.5
    assert np.abs(off[far]).max() < 0.0008
    assert off[side].mean() > 0.0003


def test_front_and_back_stretches_make_one_line_right_round() -> None:
    front = stretch(0, np.full(9, 0.5), np.mod(np.linspace(-0.27, 0.27, 9), 1.0), 0.003)
    back = stretch(1, np.full(9, 0.5), np.linspace(0.76, 0.24, 9), 0.004)
    order, goes_round = one_curve(combine([front, back]))
    assert goes_round
    parts = [front, back]
    turns = np.array([parts[s].around[m] for s, m in order])
    assert (np.diff(turns) > 0).all()
    # Where both saw it, the surer picture's points are kept.
    assert not any(s == 1 and (parts[s].around[m] < 0.26 or parts[s].around[m] > 0.74) for s, m in order)


def test_an_open_line_chains_end_to_end() -> None:
    first = stretch(0, np.linspace(0.2, 0.4, 5), np.linspace(0.05, 0.15, 5), 0.003)
    second = stretch(1, np.linspace(0.6, 0.43, 4), np.linspace(0.25, 0.17, 4), 0.003)
    order, goes_round = one_curve([first, second])
    assert not goes_round
    stations = [(first, second)[s].station[m] for s, m in order]
    assert stations == sorted(stations) or stations == sorted(stations, reverse=True)
    assert one_curve([]) == ([], False)
