"""Artwork must map onto itself under its own symmetry, and under no other."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from layfigure.geometry.symmetric_artwork import Stroke, motif_for, reach, scaled, symmetric


def turned(points: np.ndarray, angle: float) -> np.ndarray:
    cosine, sine = np.cos(angle), np.sin(angle)
    return points @ np.array([[cosine, -sine], [sine, cosine]]).T


def places(strokes: tuple[Stroke, ...]) -> np.ndarray:
    """All points as a sorted set, so that the same artwork compares equal whatever its order."""
    every = np.round(np.concatenate([stroke.points for stroke in strokes]), 9) + 0.0
    return np.unique(every, axis=0)


def same(a: np.ndarray, b: np.ndarray) -> bool:
    distance = np.linalg.norm(a[:, None] - b[None], axis=2)
    return bool(distance.min(axis=1).max() < 1e-8 and distance.min(axis=0).max() < 1e-8)


MOTIF = (
    Stroke(points=np.array([(0.1, 0.2), (0.5, 0.9), (0.6, 0.3)]), closed=True),
    Stroke(points=np.array([(0.0, 0.1), (0.3, 0.15)]), closed=False),
)


@given(st.integers(1, 12), st.booleans())
def test_artwork_maps_onto_itself(order: int, mirror: bool) -> None:
    whole = symmetric(MOTIF, order, mirror=mirror)
    assert len(whole) == len(MOTIF) * order * (2 if mirror else 1)
    every = places(whole)
    assert same(every, turned(every, 2.0 * np.pi / order))
    assert same(every, every * (-1.0, 1.0)) == mirror
    # No finer turn: this motif has no symmetry of its own.
    assert not same(every, turned(every, np.pi / order))


@pytest.mark.parametrize("name", ["star", "petal", "swirl", "ring"])
@pytest.mark.parametrize("order", [1, 3, 8])
def test_starting_motifs_fill_the_unit_circle(name: str, order: int) -> None:
    motif = motif_for(name, order)  # type: ignore[arg-type]
    assert reach(motif) == pytest.approx(1.0, abs=0.02) or (name, order) == ("ring", 1)
    mirrored = same(places(motif), places(motif) * (-1.0, 1.0))
    assert mirrored == (name != "swirl")


def test_a_star_s_points_join() -> None:
    star = symmetric(motif_for("star", 5), 5, mirror=False)
    ends = [stroke.points[-1] for stroke in star]
    starts = [stroke.points[0] for stroke in star]
    assert np.abs(np.array(ends) - np.roll(np.array(starts), -1, axis=0)).max() < 1e-12


def test_scaling_keeps_the_centre() -> None:
    moved = scaled(symmetric(MOTIF, 6, mirror=False), 50.0, (10.0, -20.0))
    assert reach(
        tuple(Stroke(points=s.points - (10.0, -20.0), closed=s.closed) for s in moved)
    ) == pytest.approx(50.0 * reach(MOTIF))


def test_no_turn_at_all_is_refused() -> None:
    with pytest.raises(ValueError, match="at least once"):
        symmetric(MOTIF, 0, mirror=False)
