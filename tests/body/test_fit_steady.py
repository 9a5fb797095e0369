"""One body belongs to one set of measures: small changes move it a little, and no start moves it at all."""

import numpy as np
import pytest
from tests.body.test_fit import people

from layfigure.body.fit import FitResult, fit_form

SEXES = {0: "woman", 24: "woman", 40: "man", 58: "man"}
CHANGED = (
    "bust_girth",
    "waist_navel_girth",
    "hip_girth",
    "neck_base_girth",
    "crotch_length_navel",
    "stature",
)


def fitted(k: int, changes: dict[str, float], previous: FitResult | None = None) -> FitResult:
    measures = {name: value + changes.get(name, 0.0) for name, value in people()[k].items()}
    return fit_form(
        measures, wearer="somebody", sex=SEXES[k], previous=None if previous is None else previous.state
    )


def moved(one: FitResult, other: FitResult) -> float:
    """How far apart two Forms are where they differ most [mm], standing and drafting."""
    return max(
        float(np.linalg.norm(a.vertices - b.vertices, axis=1).max())
        for a, b in (
            (one.form.standing, other.form.standing),
            (one.form.drafting, other.form.drafting),
        )
    )


@pytest.mark.parametrize("k", SEXES)
def test_a_body_moves_no_further_than_its_measures(k: int) -> None:
    """Two hundredths of a millimetre are left to the search; 3 mm a millimetre is twice what was seen."""
    first = fitted(k, {})
    for number, name in enumerate(CHANGED):
        for change in (0.01, 0.1, 1.0)[number % 3 :: 2]:
            assert moved(fitted(k, {name: change}), first) < 0.02 + 3.0 * change, name


@pytest.mark.parametrize("k", SEXES)
def test_a_fit_from_an_earlier_one_ends_at_the_same_body(k: int) -> None:
    first = fitted(k, {})
    for number, name in enumerate(CHANGED):
        change = {name: (-1.0) ** number * (1.0, 10.0, 30.0)[number % 3]}
        assert moved(fitted(k, change, first), fitted(k, change)) < 0.05, name


def test_a_measure_more_or_less_may_come_between() -> None:
    """An earlier fit to other measures is no hindrance."""
    measures = people()[0]
    fewer = {name: value for name, value in measures.items() if name != "neck_girth"}
    first = fit_form(fewer, wearer="somebody", sex="woman")
    again = fit_form(measures, wearer="somebody", sex="woman", previous=first.state)
    assert moved(again, fitted(0, {})) < 0.05


def test_the_body_alone_is_the_same_body() -> None:
    first = fitted(0, {})
    bare = fit_form(people()[0], wearer="somebody", sex="woman", previous=first.state, bare=True)
    assert moved(bare, first) < 0.05
    assert bare.warnings == ()
