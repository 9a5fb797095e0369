"""A stiff collar stays near an oblique neck."""

from __future__ import annotations

import pytest
from stiff_limbs import FOAM, draft, ring

from layfigure.body.shape import form_of
from layfigure.body.template import load_template
from layfigure.draft.wrap.kind import KIND
from layfigure.draft.wrap.surface import GAP_LIMIT


@pytest.mark.parametrize("preset", ["woman", "man"])
@pytest.mark.parametrize("stations", [(0.9, 0.4), (0.9, 0.55)])
def test_a_collar_stays_near_the_neck(preset: str, stations: tuple[float, float]) -> None:
    template = load_template()
    form = form_of(template, template.presets[preset])
    bottom, top = stations
    edges = {"bottom": ring("b", "neck", bottom), "top": ring("t", "neck", top)}
    result = draft(KIND, form, edges, cloth=FOAM, stack=1.0, side="middle")
    checks = {check.what.split(": ", 1)[1]: check for check in result.checks}
    gap = next(check for what, check in checks.items() if "stands off the body" in what)
    assert gap.limit == GAP_LIMIT
    assert gap.passed, gap.value
    assert all(check.passed for check in checks.values())
    assert len(result.pieces) == 1
