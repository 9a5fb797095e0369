"""How far the chest stands forward at the bust point: its girth cannot tell a breast from a broad back."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from layfigure.body.pose import standing_pose
from layfigure.body.tape import Reading, StandingBody
from layfigure.body.template import load_template

ABOVE, BELOW = 70.0, 50.0
"""Where the skin around is looked at, above and below the bust point [mm on the mean body]."""
AS_A_GIRTH = 3.0
"""A depth counts this many times, about what it adds to the girth around it."""


@lru_cache(maxsize=1)
def _places() -> dict[str, NDArray[np.int64]]:
    """By side, the vertices at, above and below the bust point."""
    template = load_template()
    mean = template.mean[: template.vertex_count]
    front = np.flatnonzero(mean[:, 1] < mean[template.landmarks["navel"], 1] + 40.0)
    found = {}
    for side in ("left", "right"):
        bust = template.landmarks[f"bust_point_{side}"]
        around = [
            front[np.hypot(mean[front, 0] - mean[bust, 0], mean[front, 2] - mean[bust, 2] - rise).argmin()]
            for rise in (ABOVE, -BELOW)
        ]
        found[side] = np.array([bust, *around])
    return found


def fullness(body: StandingBody, side: str) -> Reading:
    """How far the bust point stands in front of the skin above and below it, times ``AS_A_GIRTH`` [mm]."""
    rows = _places()[side]
    slopes = np.zeros((3, 3))
    slopes[:, 1] = AS_A_GIRTH * np.array([-1.0, 0.5, 0.5])
    return Reading(float((slopes * body.points[rows]).sum()), lambda: (rows, slopes))


@lru_cache(maxsize=1)
def flat_fullness() -> float:
    """The fullness of the template's neutral man."""
    template = load_template()
    points = standing_pose(template).apply(template.linear_points(template.presets["man"]))
    return fullness(StandingBody(template, points), "left").value
