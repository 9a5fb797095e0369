"""Panels placed freely in two goes come out as in one, and truing goes on from where somebody left off."""

from __future__ import annotations

import numpy as np
from analytic_panels import meshed_panel, rectangle, tube

from layfigure.draft.flatten.free_placing import place_freely
from layfigure.draft.flatten.panel import Ease
from layfigure.draft.flatten.truing import flatten_panels

EASE = Ease(around=-0.08, along=0.0)
PANELS = [
    meshed_panel(
        f"tube {width:.0f}",
        tube(lambda turn, v: 60.0 + 20.0 * np.sin(v / 110.0) + 6.0 * np.cos(2.0 * turn), 400.0),
        rectangle((0.0, width), (0.0, 180.0), left=None, right=None),
    )
    for width in (140.0, 90.0)
]


def test_steps_taken_later_are_those_taken_at_once() -> None:
    at_once = place_freely(PANELS, EASE, steps=7)
    later = place_freely(PANELS, {panel.slug: EASE for panel in PANELS}, steps=3).after(7)
    np.testing.assert_array_equal(later.flat, at_once.flat)
    assert later.steps == 7
    assert later.after(7) is later


def test_truing_goes_on_from_a_first_look() -> None:
    begun = flatten_panels(PANELS, EASE, begun=place_freely(PANELS, EASE, steps=2))
    for slug, flat in flatten_panels(PANELS, EASE).items():
        np.testing.assert_array_equal(begun[slug].vertices, flat.vertices)
