"""Notches of mates meet, and none lies near a corner."""

from __future__ import annotations

import numpy as np
import pytest
from analytic_panels import meshed_panel, rectangle, tube

from layfigure.draft.flatten.outline_notches import seam_notches
from layfigure.draft.flatten.panel import Ease
from layfigure.draft.flatten.truing import flatten_panels
from layfigure.geometry.polyline import length


@pytest.fixture(scope="module")
def halves():
    surface = tube(lambda turn, v: 60.0 + 15.0 * np.sin(v / 90.0) + 5.0 * np.cos(turn), 380.0)
    panels = [
        meshed_panel("front", surface, rectangle((0.0, 190.0), (0.0, 420.0), left="inner", right="outer")),
        meshed_panel("back", surface, rectangle((190.0, 380.0), (0.0, 420.0), left="outer", right="inner")),
    ]
    return flatten_panels(panels, Ease(around=-0.1, along=0.0))


def test_notches_of_mates_have_the_same_names_at_the_same_distance_from_the_seams_start(halves) -> None:
    notches = seam_notches(halves)
    front, back = notches["front"]["right"], notches["back"]["left"]
    whole = length(halves["back"].curves["left"])
    assert [n.name for n in front] == ["outer-1", "outer-2", "outer-3"]
    assert [n.name for n in back] == [n.name for n in reversed(front)]
    for ours, theirs in zip(front, reversed(back), strict=True):
        assert ours.distance == pytest.approx(whole - theirs.distance, abs=0.05)
        assert ours.count == theirs.count


def test_openings_carry_no_notch_and_none_is_near_a_corner(halves) -> None:
    for slug, edges in seam_notches(halves).items():
        for edge in halves[slug].panel.outline:
            whole = length(halves[slug].curves[edge.slug])
            if edge.seam is None:
                assert edges[edge.slug] == ()
            assert all(15.0 <= n.distance <= whole - 15.0 for n in edges[edge.slug])


def test_a_piece_sewn_in_upside_down_shows(halves) -> None:
    for edges in seam_notches(halves, spacing=200.0).values():
        for slug in ("left", "right"):
            marks = [(n.distance, n.count) for n in edges[slug]]
            whole = length(halves["front"].curves[slug])
            turned = sorted((whole - d, c) for d, c in marks)
            assert not np.allclose(marks, turned, atol=5.0)
