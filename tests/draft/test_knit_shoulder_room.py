"""A neckline and an armhole that meet on the shoulder: refused with options that were tried."""

from __future__ import annotations

import re

import pytest
from knit_requests import draft, preset

from layfigure.draft.knit.shoulder_room import no_shoulder_left
from layfigure.errors import DraftError

ASKED = {"garment": "top", "sleeves": False, "neck_width": "55 %", "armhole_in": "40 mm"}


def test_what_it_advises_leaves_a_shoulder_on_that_body() -> None:
    # It was told in the words of the mesh: which lines the outline of a panel should run along.
    form = preset("woman")
    with pytest.raises(DraftError, match="less than 15 mm of the shoulder would be left") as refused:
        draft(form, options=ASKED)
    advised = re.findall(r'(\w+) = "([^"]+)"', refused.value.advice)
    assert [name for name, _ in advised] == ["neck_width", "armhole_in"]
    for name, value in advised:
        result = draft(form, options=ASKED | {name: value})
        shoulders = [e.length for p in result.pieces for e in p.edges if e.slug.startswith("shoulder")]
        assert len(shoulders) == 4
        assert min(shoulders) >= 15.0


def test_it_names_the_largest_that_hold_and_nothing_that_does_not() -> None:
    def holds(width: float, inward: float) -> bool:
        return width <= 0.42 and inward <= 50.0

    refused = no_shoulder_left(0.55, 40.0, holds, where="piece top")
    assert refused is not None
    assert refused.advice == 'Write neck_width = "40 %": it leaves enough, as tried on this body.'
    # Where no option of the shoulder helps, the shoulder is not what is at fault.
    assert no_shoulder_left(0.55, 40.0, lambda _width, _inward: False, where="piece top") is None
