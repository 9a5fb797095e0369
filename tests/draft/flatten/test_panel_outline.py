"""Headings round an outline: on without jumps, once round in all, refused where they cannot be."""

from __future__ import annotations

import numpy as np
import pytest
from analytic_panels import meshed_panel, rectangle

from layfigure.draft.flatten.panel import Panel, PanelEdge
from layfigure.draft.flatten.panel_outline import headings_round
from layfigure.errors import DraftError


def panel_of(vertices: np.ndarray, faces: np.ndarray, loop: list[int]) -> Panel:
    return Panel(
        slug="fan",
        vertices=np.column_stack([vertices.real, vertices.imag, np.zeros(vertices.size)]),
        faces=faces,
        outline=(PanelEdge(slug="round", vertices=np.array([*loop, loop[0]])),),
        around=np.tile([1.0, 0.0, 0.0], (len(faces), 1)),
    )


def fan(turn: float, count: int) -> tuple[np.ndarray, np.ndarray]:
    """A vertex and ``count`` + 1 others about it through an angle; faces between them."""
    around = 40.0 * np.exp(1j * np.linspace(0.0, turn, count + 1))
    k = np.arange(count)
    return np.concatenate([[0.0], around]), np.stack([np.zeros(count, dtype=np.int64), k + 1, k + 2], axis=1)


def test_headings_of_a_rectangle_are_those_of_its_sides() -> None:
    sides = rectangle((0.0, 160.0), (0.0, 120.0), left=None, right=None)
    panel = meshed_panel("sheet", lambda p: np.column_stack([p, np.zeros(len(p))]), sides)
    headings = headings_round(panel, panel.vertices[:, 0] + 1j * panel.vertices[:, 1])
    quarter = np.round((headings - headings[0]) / (0.5 * np.pi), 9)
    np.testing.assert_array_equal(quarter, np.sort(np.round(quarter)))
    assert set(quarter) == {0.0, 1.0, 2.0, 3.0}


@pytest.mark.parametrize("degrees", [90.0, 300.0, 400.0, 500.0])
def test_a_notch_that_covers_itself_turns_by_what_is_beyond_a_full_turn(degrees: float) -> None:
    flat, faces = fan(np.radians(degrees), 20)
    loop = list(range(flat.size))
    headings = headings_round(panel_of(flat, faces, loop), flat)
    steps = np.roll(flat, -1) - flat
    np.testing.assert_allclose(np.exp(1j * headings), steps / np.abs(steps), atol=1e-12)
    # From the last side in to the first one out again: once round in all, less the turn at the middle.
    assert headings[-1] - headings[0] == pytest.approx(2.0 * np.pi - (np.pi - np.radians(degrees)))


def test_a_panel_that_winds_twice_about_a_point_within_is_refused() -> None:
    count = 36
    flat = np.concatenate([[0.0], 40.0 * np.exp(4j * np.pi * np.arange(count) / count)])
    k = np.arange(count)
    faces = np.stack([np.zeros(count, dtype=np.int64), k + 1, (k + 1) % count + 1], axis=1)
    with pytest.raises(DraftError, match="folds over itself when laid flat") as refusal:
        headings_round(panel_of(flat, faces, list(range(1, count + 1))), flat)
    assert refusal.value.where == "fan"
