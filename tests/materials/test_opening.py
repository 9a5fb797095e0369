"""Openings: what passes, and how long the elastic is."""

from __future__ import annotations

import pytest

from layfigure.materials.opening import check_opening, elastic_length


def test_an_ankle_passes_the_heel_only_when_the_cloth_stretches_enough() -> None:
    # Mean heel-ankle girth of 1,986 women 310 mm, ankle 216 mm (2012 US Army survey, public data file).
    cut = 0.9 * 216.0
    assert not check_opening(cut, 0.5, 310.0).passes
    assert check_opening(cut, 0.6, 310.0).passes
    assert check_opening(cut, 0.6, 310.0).share == pytest.approx(310.0 / (cut * 1.6))


def test_elastic_lies_within_its_usual_range() -> None:
    # Common practice, no source: waist 85 to 95 %; overlap 1/2 in from craftandfabriclinks.com.
    assert elastic_length("waist", 1000.0) == pytest.approx(900.0 + 12.7)
