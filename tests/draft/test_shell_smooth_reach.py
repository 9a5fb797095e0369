"""Reach of a smooth cap: down whole meridians it is what it is place by place."""

from __future__ import annotations

import numpy as np
import pytest

from layfigure.draft.shell.smooth_reach import SmoothReach


@pytest.mark.parametrize("degree", [0, 1, 4, 6])
def test_meridians_are_read_as_their_places_are(degree: int) -> None:
    draw = np.random.default_rng(degree)
    terms = (degree + 1) * (degree + 2) // 2
    reach = SmoothReach(degree=degree, widest=1.9, coefficients=draw.normal(scale=50.0, size=terms))
    azimuth, polar = draw.uniform(0.0, 2.0 * np.pi, 17), np.linspace(0.0, 2.2, 9)
    place_by_place = reach.radius(azimuth[:, None], polar)
    assert reach.along_meridians(azimuth, polar) == pytest.approx(place_by_place, abs=1e-10)
