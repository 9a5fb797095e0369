"""Guesses agree with published survey tables, are as sure as they say, and name the odd tape."""

import tomllib
from importlib.resources import files

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from layfigure.body.measures import CATALOGUE, all_stored_names, split_name
from layfigure.body.prior import (
    COMMON,
    Population,
    Sex,
    estimate,
    next_tape,
    populations_of,
    shipped_populations,
    tape_to_take_again,
)
from layfigure.errors import MeasureError

# Means of ANSUR II (2012 survey, all 4,082 men and 1,986 women) [mm, kg], computed from the public file.
PUBLISHED: dict[str, tuple[float, float]] = {
    "stature": (1756, 1629), "body_mass": (85.5, 67.8), "head_girth": (574, 561), "neck_girth": (398, 330),
    "neck_base_girth": (435, 371), "bust_girth": (1059, 947), "waist_navel_girth": (941, 861),
    "hip_girth": (1020, 1021), "thigh_girth": (625, 616), "lower_thigh_girth": (409, 401),
    "calf_girth": (392, 373), "ankle_girth": (229, 216), "heel_girth": (344, 310), "foot_length": (271, 246),
    "foot_girth": (252, 228), "wrist_girth": (176, 155), "hand_girth": (212, 187), "hand_length": (193, 181),
    "shoulder_breadth": (416, 365), "shoulder_length": (150, 135), "shoulder_girth": (1179, 1028),
    "across_back_width": (431, 373), "nape_to_waist_navel": (478, 425), "trunk_loop": (1665, 1559),
    "crotch_length_navel": (622, 621), "arm_length": (593, 544), "upper_arm_length": (335, 311),
    "forearm_length": (268, 241), "waist_navel_height": (1057, 980), "crotch_height": (846, 782),
    "knee_height": (488, 449), "ankle_height": (73, 63),
}  # fmt: skip
# Correlations in the same file, men and women.
RELATIONS = [
    ("stature", "crotch_height", 0.86, 0.85),
    ("bust_girth", "waist_navel_girth", 0.89, 0.84),
    ("hip_girth", "thigh_girth", 0.94, 0.94),
    ("stature", "nape_to_waist_navel", 0.54, 0.50),
    ("stature", "trunk_loop", 0.57, 0.62),
]
FIRST = {"stature": 1650.0, "bust_girth": 950.0, "waist_navel_girth": 820.0, "hip_girth": 1010.0}


def population(sex: Sex, which: int) -> Population:
    """0 soldiers, 1 public."""
    return populations_of(sex)[which]


@pytest.mark.parametrize(("sex", "column"), [("man", 0), ("woman", 1)])
def test_soldiers_have_the_published_means(sex: Sex, column: int) -> None:
    soldiers = population(sex, 0)
    for name, means in PUBLISHED.items():
        where = soldiers.names.index(CATALOGUE[name].sided()[0])
        # The exponential of the mean logarithm is the mean less half the variance.
        mean = np.exp(soldiers.mean[where] + 0.5 * soldiers.covariance[where, where])
        assert mean == pytest.approx(means[column], rel=0.01), name


@pytest.mark.parametrize(("sex", "column"), [("man", 0), ("woman", 1)])
def test_soldiers_have_the_published_correlations(sex: Sex, column: int) -> None:
    soldiers = population(sex, 0)
    for first, second, *published in RELATIONS:
        i, j = (soldiers.names.index(CATALOGUE[name].sided()[0]) for name in (first, second))
        deviations = np.sqrt(np.diag(soldiers.covariance))
        correlation = soldiers.covariance[i, j] / deviations[i] / deviations[j]
        assert correlation == pytest.approx(published[column], abs=0.03), (first, second)


def test_the_public_is_as_its_own_survey_has_it() -> None:
    # NHANES 2017 to March 2020, the women of the open copy used: mean waist 98.5 cm, hip 109.2 cm.
    women = population("woman", 1)
    for name, mean in {"waist_navel_girth": 985.0, "hip_girth": 1092.0}.items():
        where = women.names.index(name)
        assert np.exp(women.mean[where] + 0.5 * women.covariance[where, where]) == pytest.approx(
            mean, rel=0.01
        )


def test_every_population_covers_the_catalogue_and_is_a_distribution() -> None:
    for one in shipped_populations():
        assert one.names == all_stored_names()
        assert np.allclose(one.covariance, one.covariance.T)
        assert np.linalg.eigvalsh(one.covariance).min() > -1e-9
        assert 0.0 < one.weight < 1.0


def test_means_lie_within_the_catalogue_limits() -> None:
    for one in shipped_populations():
        for name, mean in zip(one.names, np.exp(one.mean), strict=True):
            measure, _ = split_name(name)
            assert measure.low < mean < measure.high, name


def test_what_was_taken_is_not_guessed_and_everything_else_is() -> None:
    guessed = estimate(FIRST)
    assert set(guessed) == set(all_stored_names()) - set(FIRST)
    assert all(guess.value > 0 and guess.spread > 0 for guess in guessed.values())
    with pytest.raises(MeasureError):
        estimate({"wiast_girth": 700.0})


@given(st.sampled_from(["hip_girth", "thigh_girth_left", "crotch_height", "wrist_girth_left"]))
def test_another_tape_never_makes_a_single_population_less_sure(extra: str) -> None:
    # Within one population; a mixture may learn that it was wrong about which.
    from layfigure.body.prior import _conditional

    one = population("woman", 0)
    few = {"stature": 1650.0, "bust_girth": 950.0}
    _, before = _conditional(one, few)
    _, after = _conditional(one, few | {extra: float(np.exp(one.mean[one.names.index(extra)]))})
    assert (np.diag(after) <= np.diag(before) + 1e-12).all()


@pytest.mark.parametrize("sex", ["woman", "man"])
def test_stated_spreads_hold_95_percent_of_people_drawn_from_the_mixture(sex: Sex) -> None:
    rng = np.random.default_rng(3)
    inside: list[bool] = []
    for one in populations_of(sex):
        people = rng.multivariate_normal(one.mean, one.covariance, size=round(200 * one.weight))
        for person in np.exp(people):
            truth = dict(zip(one.names, person, strict=True))
            guessed = estimate({name: truth[name] for name in FIRST}, sex)
            inside += [abs(truth[name] - guess.value) <= 2 * guess.spread for name, guess in guessed.items()]
    assert np.mean(inside) == pytest.approx(0.954, abs=0.015)


def test_a_missing_side_is_guessed_from_the_other() -> None:
    guessed = estimate(FIRST | {"thigh_girth_left": 640.0})
    assert guessed["thigh_girth_right"].value == pytest.approx(640.0, rel=0.01)
    assert guessed["thigh_girth_right"].spread < 0.6 * estimate(FIRST)["thigh_girth_right"].spread


def test_lengths_follow_stature_and_girths_do_not() -> None:
    # The consequence the published correlations have: lengths can be guessed from stature, girths cannot.
    guessed = estimate({"stature": 1700.0}, "man")
    share = {name: guess.spread / guess.value for name, guess in guessed.items()}
    assert share["crotch_height"] < 0.04
    assert share["waist_navel_girth"] > 0.10


def consistent(sex: Sex) -> dict[str, float]:
    """Twelve tapes of a likely person."""
    guessed = estimate(FIRST, sex)
    names = ("neck_girth", "thigh_girth_left", "calf_girth_left", "ankle_girth_left", "wrist_girth_left",
             "crotch_height", "arm_length_left", "nape_to_waist_navel")  # fmt: skip
    return FIRST | {name: guessed[name].value for name in names}


def test_the_odd_tape_is_named_first_and_without_its_size() -> None:
    good = consistent("woman")
    assert tape_to_take_again(good, "woman") == []
    suspects = tape_to_take_again(good | {"crotch_height": good["crotch_height"] + 120.0}, "woman")
    assert [suspect.name for suspect in suspects] == ["crotch_height"]
    assert suspects[0].words == "crotch_height looks too large beside the other measures; take it again."
    small = tape_to_take_again(good | {"calf_girth_left": good["calf_girth_left"] - 100.0}, "woman")
    assert [suspect.name for suspect in small] == ["calf_girth_left"]
    assert "too small" in small[0].words


def test_two_slips_are_both_named() -> None:
    good = consistent("man")
    slips = {
        "crotch_height": good["crotch_height"] + 150.0,
        "wrist_girth_left": good["wrist_girth_left"] + 45.0,
    }
    assert {suspect.name for suspect in tape_to_take_again(good | slips, "man")} == set(slips)


def test_one_slip_written_for_both_sides_is_found_under_the_measures_own_name() -> None:
    good = consistent("woman")
    pair = {f"{name.removesuffix('_left')}_right": good[name] for name in good if name.endswith("_left")}
    assert tape_to_take_again(good | pair, "woman") == []
    slips = {f"calf_girth_{side}": good["calf_girth_left"] + 100.0 for side in ("left", "right")}
    suspects = tape_to_take_again(good | pair | slips, "woman")
    assert [suspect.name for suspect in suspects] == ["calf_girth"]


def test_a_body_whose_sides_truly_differ_has_made_no_mistake() -> None:
    good = consistent("woman")
    sides = {
        f"{name.removesuffix('_left')}_{side}": good[name] * factor
        for name in good
        if name.endswith("_left")
        for side, factor in (("left", 0.95), ("right", 1.05))
    }
    assert tape_to_take_again(good | sides, "woman") == []


def test_the_next_tape_is_the_one_wanted_or_its_nearest_kin() -> None:
    ranked = next_tape(FIRST, ["thigh_girth_left", "mid_thigh_girth_left"])
    assert {name for name, _ in ranked[:2]} <= {
        "thigh_girth_left",
        "thigh_girth_right",
        "mid_thigh_girth_left",
        "mid_thigh_girth_right",
    }
    gains = [gain for _, gain in ranked]
    assert gains == sorted(gains, reverse=True)
    assert 0.3 < gains[0] <= 1.0
    assert next_tape(FIRST, ["stature"]) == []


def test_the_table_of_survey_columns_is_whole() -> None:
    table = tomllib.loads(
        files("layfigure.body").joinpath("data/survey_columns.toml").read_text(encoding="utf-8")
    )
    used, left_out = table["ansur"]["used"], table["ansur"]["left_out"]
    assert not set(used) & set(left_out)
    # 93 measures; the height of the lowest rib enters only through the derived waist height.
    assert len(used) + len(left_out) + 1 == 93
    assert set(used.values()) <= set(CATALOGUE)
    assert not [column for column in used if "sitting" in column or "flexed" in column]
    assert set(table["nhanes"]["used"].values()) == set(COMMON)
    covered = {*used.values(), *table["ansur"]["derived"], *COMMON}
    ratios = tomllib.loads(files("layfigure.body").joinpath("data/ratios.toml").read_text(encoding="utf-8"))
    assert covered | set(ratios) == {name for name, measure in CATALOGUE.items() if measure.standing}
    assert not covered & set(ratios)
    for name, rule in ratios.items():
        assert rule["status"].startswith(("from memory", "common practice")), name
