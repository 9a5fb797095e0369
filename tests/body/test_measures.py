"""The catalogue holds together, and its ISO 8559-1 clauses are those the trade notes quote."""

import re

import pytest

from layfigure.body.levels import REGIONS
from layfigure.body.measures import (
    ALIASES,
    CATALOGUE,
    Measure,
    all_stored_names,
    split_name,
    stored_names,
)
from layfigure.errors import MeasureError

# ISO 8559-1:2017 clause numbers as quoted by a third-party measurement glossary.
CLAUSES = {
    "neck_girth": "5.3.2",
    "neck_base_girth": "5.3.3",
    "bust_girth": "5.3.4",
    "under_bust_girth": "5.3.8",
    "waist_girth": "5.3.10",
    "top_hip_girth": "5.3.12",
    "hip_girth": "5.3.13",
    "upper_arm_girth": "5.3.16",
    "wrist_girth": "5.3.19",
    "thigh_girth": "5.3.20",
    "mid_thigh_girth": "5.3.21",
    "across_shoulder_width": "5.4.3",
    "nape_to_waist": "5.4.5",
    "nape_to_wrist": "5.4.17",
    "arm_length": "5.7.8",
}


def test_clauses_are_those_quoted() -> None:
    assert {name: m.iso for name, m in CATALOGUE.items() if m.iso} == CLAUSES


@pytest.mark.parametrize("measure", CATALOGUE.values(), ids=lambda m: m.name)
def test_every_measure_lies_on_a_known_region_and_level(measure: Measure) -> None:
    assert 0 < measure.absurd_below < measure.low < measure.high < measure.absurd_above
    assert measure.place
    assert not measure.place.endswith(".")
    if measure.kind == "mass":
        return
    region = REGIONS[measure.region]
    assert measure.level in ("", *region.levels)
    if measure.paired and measure.name != "shoulder_length" and measure.name != "armpit_height":
        assert region.paired


def test_stored_names_split_back_into_measure_and_side() -> None:
    names = all_stored_names()
    assert len(set(names)) == len(names)
    for name in names:
        measure, side = split_name(name)
        assert name == (measure.name if side == "middle" else f"{measure.name}_{side}")
        assert stored_names(name) == (name,)


def test_a_bare_paired_name_means_both_sides() -> None:
    assert stored_names("wrist_girth") == ("wrist_girth_left", "wrist_girth_right")
    assert stored_names("waist_girth") == ("waist_girth",)


def test_everyday_names_mean_a_measure() -> None:
    for alias, name in ALIASES.items():
        assert alias not in CATALOGUE
        assert stored_names(alias) == CATALOGUE[name].sided()
    assert stored_names("biceps_girth_left") == ("upper_arm_girth_left",)


def test_the_three_waists_are_three_measures() -> None:
    assert {"waist_girth", "waist_navel_girth", "waist_narrowest_girth"} <= set(CATALOGUE)
    assert CATALOGUE["waist_girth"].level == "waist"
    assert CATALOGUE["waist_navel_girth"].level == ""


@pytest.mark.parametrize(
    ("name", "text"),
    [
        ("wiast_girth", "there is no measure 'wiast_girth'. Did you mean 'waist_girth'?"),
        ("waist_girth_left", "waist_girth has no left and right. Write waist_girth once."),
        ("qqq", "there is no measure 'qqq'. See 'layfigure schema wearer'"),
    ],
)
def test_an_unknown_name_says_what_to_write(name: str, text: str) -> None:
    with pytest.raises(MeasureError, match="^" + re.escape(text)):
        stored_names(name)


def test_a_stored_name_needs_its_side() -> None:
    with pytest.raises(MeasureError, match=r"Write wrist_girth_left or wrist_girth_right\."):
        split_name("wrist_girth")
