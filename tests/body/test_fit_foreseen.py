"""Foreseen bodies against fitted ones, for people of the survey (ANSUR II, public domain)."""

import numpy as np
import pytest
from tests.body.test_fit import people
from tests.body.test_fit_steady import SEXES

from layfigure.body.fit import FitResult, fit_form
from layfigure.body.fit_foreseen import foreseen_form
from layfigure.body.fit_steps import SEEN
from layfigure.body.form import Form

TYPED = (
    "stature",
    "neck_girth",
    "bust_girth",
    "waist_navel_girth",
    "hip_girth",
    "crotch_length_navel",
    "thigh_girth",
    "calf_girth",
    "lower_thigh_girth",
    "wrist_girth",
    "across_back_width",
    "nape_to_waist_navel",
)


def changed(k: int, stem: str, by: float) -> dict[str, float]:
    found = {
        name: value + (by if name.removesuffix("_left").removesuffix("_right") == stem else 0.0)
        for name, value in people()[k].items()
    }
    assert found != people()[k]
    return found


def fitted(k: int, measures: dict[str, float], previous: FitResult) -> FitResult:
    return fit_form(measures, wearer="somebody", sex=SEXES[k], previous=previous.state, bare=True)


def foreseen(k: int, measures: dict[str, float], first: FitResult) -> Form:
    ahead = foreseen_form(measures, wearer="somebody", estimated={}, previous=first.state, sex=SEXES[k])
    assert ahead is not None
    return ahead[0]


def apart(one: Form, other: Form) -> float:
    return float(np.linalg.norm(one.standing.vertices - other.standing.vertices, axis=1).max())


@pytest.mark.parametrize("k", [0, 40])
def test_how_far_one_was_off_tells_how_far_the_next_will_be(k: int) -> None:
    """Of measures whose change would be foreseen within 1 mm at that rate, none is twice as far off."""
    first = fit_form(people()[k], wearer="somebody", sex=SEXES[k])
    off = []
    for number, stem in enumerate(TYPED):
        little, more = (changed(k, stem, (-1.0) ** number * by) for by in (4.0, 12.0))
        once = fitted(k, little, first)
        rate = max(apart(foreseen(k, little, first), once.form) - SEEN, 0.0) / 4.0
        if rate * 8.0 <= 1.0:
            off.append(apart(foreseen(k, more, once), fitted(k, more, once).form))
    assert len(off) >= 5
    assert max(off) < 2.0


def test_none_is_foreseen_from_other_measures() -> None:
    first = fit_form(people()[0], wearer="somebody", sex="woman")
    fewer = {name: value for name, value in people()[0].items() if name != "neck_girth"}
    other = foreseen_form(fewer, wearer="somebody", estimated={}, previous=first.state, sex="woman")
    assert other is None
    assert apart(foreseen(0, people()[0], first), first.form) < 0.05
