"""Wearers measured sitting: standing heights guessed from the seat, and the body drafted as it sits."""

import csv
from functools import lru_cache
from pathlib import Path

import numpy as np
import pytest

from layfigure.body.fit import FitResult, fit_form
from layfigure.body.prior import estimate
from layfigure.body.seated import standing_heights
from layfigure.body.seated_pose import HIP_FLEXION, seated_drafting_pose, seated_form
from layfigure.body.template import load_template
from layfigure.body.wearer import wearer_from_readings
from layfigure.errors import MeasureContradiction
from layfigure.geometry.polyline import length

DATA = Path(__file__).parents[1] / "data" / "ansur_seated_60.csv"
SEATED = ("sitting_height", "seat_to_waist", "buttock_knee_length", "knee_height_sitting")


@lru_cache(maxsize=1)
def people() -> list[dict[str, str]]:
    lines = [line for line in DATA.read_text(encoding="utf-8").splitlines() if not line.startswith("#")]
    return list(csv.DictReader(lines))


def on_the_seat(row: dict[str, str]) -> dict[str, float]:
    paired = ("buttock_knee_length", "knee_height_sitting")
    return {
        stored: float(row[name])
        for name in SEATED
        for stored in ((f"{name}_left", f"{name}_right") if name in paired else (name,))
    }


def test_heights_of_people_not_fitted_on_are_within_what_is_said() -> None:
    """ANSUR II measured the same people standing and seated (public domain); 60 of the rows left out."""
    held = {name: [] for name in ("stature", "crotch_height", "knee_height", "waist_height")}
    off = {name: [] for name in held}
    for row in people():
        guesses = standing_heights(on_the_seat(row), "woman" if row["sex"] == "woman" else "man")
        for name in held:
            guess = guesses.get(name) or guesses[f"{name}_left"]
            held[name].append(abs(guess.value - float(row[name])) < 2.0 * guess.spread)
            off[name].append(abs(guess.value - float(row[name])))
    for name in held:
        assert np.mean(held[name]) >= 0.9, name
    # Far better than guessing a height from nothing: the spread of women's statures alone is 64 mm.
    assert np.median(off["stature"]) < 16.0
    assert np.median(off["knee_height"]) < 12.0


def test_each_leg_follows_its_own_lengths() -> None:
    row = on_the_seat(people()[0])
    longer = {**row, "knee_height_sitting_left": row["knee_height_sitting_left"] + 25.0}
    guesses = standing_heights(longer, "woman")
    assert guesses["knee_height_left"].value > guesses["knee_height_right"].value + 10.0


def test_a_height_that_was_taken_is_not_guessed_and_sharpens_the_rest() -> None:
    row = on_the_seat(people()[3])
    alone = standing_heights(row, "man")
    beside = standing_heights(row, "man", known={"stature": alone["stature"].value})
    assert "stature" not in beside
    assert beside["nape_height"].spread < alone["nape_height"].spread


def test_nothing_seated_says_nothing() -> None:
    assert standing_heights({}, "woman") == {}


def test_seated_measures_are_checked_like_others() -> None:
    with pytest.raises(MeasureContradiction, match="sitting_height"):
        wearer_from_readings("A", {"sitting_height": [700.0], "seat_to_nape": [760.0]})
    wearer = wearer_from_readings("A", {"sitting_height": [880.0], "hip_girth": [1000.0]})
    assert set(wearer.seated_measures) == {"sitting_height"}
    assert set(wearer.standing_measures) == {"hip_girth"}


@lru_cache(maxsize=1)
def fit() -> FitResult:
    taken = {"stature": 1650.0, "bust_girth": 920.0, "waist_girth": 760.0, "hip_girth": 1000.0}
    guessed = {name: (guess.value, guess.spread) for name, guess in estimate(taken, "woman").items()}
    return fit_form(taken, wearer="A", estimated=guessed, sex="woman")


def test_a_seated_form_stands_as_before_and_is_drafted_sitting() -> None:
    standing = fit().form
    seated = seated_form(standing, load_template(), fit().state.points)
    assert seated.standing.vertices == pytest.approx(standing.standing.vertices)
    assert dict(seated.level_heights) == pytest.approx(dict(standing.level_heights))
    assert seated.measures == standing.measures

    def quarter(form, around: float) -> float:
        chart = form.drafting_charts["torso"]
        stations = np.linspace(3.0, 5.0, 60)
        return length(chart.points(stations, np.full(60, around))[::3])

    # Longer over the seat, shorter in the lap, on the quarter lines of both halves.
    assert quarter(seated, 0.375) > 1.1 * quarter(standing, 0.375)
    assert quarter(seated, 0.125) < 0.9 * quarter(standing, 0.125)
    knee = [chart.section(1.0).mean(axis=0) for chart in (seated.drafting_charts["thigh_left"],)]
    assert knee[0][1] < standing.drafting_charts["thigh_left"].section(1.0).mean(axis=0)[1] - 120.0


def test_bones_keep_their_length_when_they_turn() -> None:
    template = load_template()
    points = fit().state.points
    turned = seated_drafting_pose(template).apply(points)
    for side in ("left", "right"):
        hip, knee, ankle = (template.joints[f"{name}_{side}"] for name in ("hip", "knee", "ankle"))
        for one, other in ((hip, knee), (knee, ankle)):
            before = np.linalg.norm(points[one] - points[other])
            assert np.linalg.norm(turned[one] - turned[other]) == pytest.approx(before, rel=0.02)
        thigh = turned[knee] - turned[hip]
        was = points[knee] - points[hip]
        angle = np.degrees(np.arctan2(-thigh[1], -thigh[2]) - np.arctan2(-was[1], -was[2]))
        assert angle == pytest.approx(HIP_FLEXION, abs=2.0)
