"""A wearer's file read as typed, refused with what to do, and never quoted."""

import pickle
from pathlib import Path

import pytest

from layfigure.body.wearer import Wearer, wearer_from_readings
from layfigure.body.wearer_file import find_wearers, parse_wearer, read_wearer
from layfigure.errors import (
    FileError,
    FileSyntaxError,
    FileVersionError,
    LayfigureError,
    MeasureContradiction,
    MeasureError,
    MeasureMissing,
    UnknownKeyError,
)

HEAD = 'format = 1\nname = "Ada"\n'
MEASURES = HEAD + "[measures]\n"
GOOD = (
    HEAD
    + """posture = "standing"
unit = "in"
guess_from = "women"
worn_under = ["bra"]
[measures]
stature = "5 ft 6 in"
body_mass = "9 st 11 lb"
bust_girth = ["96.5 cm", "97.1 cm"]
waist = "74 cm"
wrist_girth = "15.5 cm"
thigh_girth_left = "58 cm"
thigh_girth_right = ["57 cm", "57,4 cm", "66 cm"]
calf_girth = "37 cm"
calf_girth_left = "36.5 cm"
"""
)


def test_a_good_file() -> None:
    wearer = parse_wearer(GOOD)
    assert (wearer.name, wearer.posture, wearer.unit, wearer.sex) == ("Ada", "standing", "in", "woman")
    assert wearer.worn_under == ("bra",)
    assert wearer.measures == pytest.approx(
        {
            "stature": 1676.4,
            "body_mass": 137 * 0.45359237,
            "bust_girth": 968.0,  # the mean of two
            "waist_girth": 740.0,
            "wrist_girth_left": 155.0,
            "wrist_girth_right": 155.0,
            "thigh_girth_left": 580.0,
            "thigh_girth_right": 574.0,  # the middle of three
            "calf_girth_left": 365.0,  # a sided entry goes before the bare one
            "calf_girth_right": 370.0,
        }
    )
    assert wearer.readings["thigh_girth_right"] == (570.0, 574.0, 660.0)
    assert wearer.warnings == ()


def test_measures_stay_out_of_repr_and_survive_pickling() -> None:
    wearer = wearer_from_readings("Ada", {"stature": [1683.0]})
    assert "1683" not in repr(wearer)
    # Jobs run in spawned workers.
    assert pickle.loads(pickle.dumps(wearer)).measures == {"stature": 1683.0}


@pytest.mark.parametrize(
    ("text", "kind", "message"),
    [
        ("name = 'Ada'", FileVersionError, "wearer.toml: the file does not state its format."),
        ("format = 2", FileVersionError, "wearer.toml, line 1: the file is in format 2;"),
        ("format = 1\nname = ", FileSyntaxError, "wearer.toml, line 2: this line cannot be read"),
        (
            HEAD + "[mesures]",
            UnknownKeyError,
            "wearer.toml, line 3: key 'mesures' is unknown. Did you mean 'measures'?",
        ),
        (
            HEAD + "posture = 'lying'",
            FileError,
            "wearer.toml, line 3: posture must be one of 'standing' or 'seated'.",
        ),
        (
            MEASURES + "wiast_girth = '71.37 cm'",
            MeasureError,
            "wearer.toml, line 4: there is no measure 'wiast_girth'. Did you mean 'waist_girth'?",
        ),
        (
            MEASURES + "waist_girth = 71.37",
            MeasureError,
            "wearer.toml, line 4: waist_girth: the size has no unit. Write",
        ),
        (
            MEASURES + "waist_girth = '71.37'",
            MeasureError,
            "wearer.toml, line 4: waist_girth: the size has no unit. Write",
        ),
        (
            MEASURES + "waist_girth = '71.37 kg'",
            MeasureError,
            "wearer.toml, line 4: waist_girth: the size cannot be read. Write it in quotes",
        ),
        (
            MEASURES + "body_mass = '71.37 cm'",
            MeasureError,
            "wearer.toml, line 4: body_mass: the size cannot be read. Write it in",
        ),
        (
            MEASURES + "waist_girth = '71.37 mm'",
            MeasureError,
            "wearer.toml, line 4: waist_girth is not the size of a person. Check a digit or a decimal mark.",
        ),
        (
            MEASURES + "waist_girth = '7137 cm'",
            MeasureError,
            "wearer.toml, line 4: waist_girth is not the size of a person. Check its number and its unit.",
        ),
        (
            MEASURES + "stature = '71.37 cm'",
            MeasureError,
            "wearer.toml, line 4: stature is not the size of a person. Check the unit, inches",
        ),
        (
            MEASURES + "waist_girth = ['71.37 cm','71.37 cm','71.37 cm','71.37 cm']",
            MeasureError,
            "wearer.toml, line 4: waist_girth needs one size, or a list",
        ),
        (
            MEASURES + "waist_girth = []",
            MeasureError,
            "wearer.toml, line 4: waist_girth needs one size, or a list",
        ),
        (
            MEASURES + "waist = '71.37 cm'\nwaist_girth = '71.37 cm'",
            FileError,
            "wearer.toml, line 5: 'waist_girth' and 'waist' are the same measure.",
        ),
        (
            MEASURES + "waist_girth_left = '71.37 cm'",
            MeasureError,
            "wearer.toml, line 4: waist_girth has no left and right. Write waist_girth once.",
        ),
        (
            HEAD + "[measures.left]\nwrist_girth = '71.37 cm'",
            UnknownKeyError,
            "wearer.toml, line 3: table 'left' is unknown in measures. Write left and right as two",
        ),
        (
            MEASURES + "ankle_girth='71.37 cm'\ncalf_girth='31.37 cm'",
            MeasureError,
            "wearer.toml, line 4: ankle_girth_left is not the size of a person.",
        ),
        (
            MEASURES + "ankle_girth='31.37 cm'\ncalf_girth='31.36 cm'",
            MeasureContradiction,
            "wearer.toml: calf_girth_left is too small for ankle_girth_left: they cannot",
        ),
        (
            MEASURES + "hip_girth='91.37 cm'\nhip_breadth='46.5 cm'",
            MeasureContradiction,
            "wearer.toml: hip_girth is less than twice hip_breadth: a tape cannot pass round.",
        ),
    ],
)
def test_bad_files_say_where_and_what_without_the_size(
    text: str, kind: type[LayfigureError], message: str
) -> None:
    with pytest.raises(kind) as caught:
        parse_wearer(text)
    assert type(caught.value) is kind
    assert str(caught.value).startswith(message)
    told = str(caught.value) + repr(caught.value) + repr(pickle.loads(pickle.dumps(caught.value)))
    for size in ("71.37", "7137", "713", "31.3", "91.37", "46.5"):
        assert size not in told
    cause: BaseException | None = caught.value
    while cause is not None:
        assert "71.37" not in str(cause)
        cause = cause.__cause__ or (None if cause.__suppress_context__ else cause.__context__)


def test_what_looks_unusual_is_kept_and_pointed_out() -> None:
    wearer = wearer_from_readings(
        "Ada",
        {
            "waist_girth": [700.0, 715.0],
            "stature": [2130.0],
            "wrist_girth_left": [150.0],
            "wrist_girth_right": [170.0],
        },
    )
    text = "\n".join(wearer.warnings)
    assert "two readings of waist girth differ by more than 1 cm" in text
    assert "stature is an unusual size; take it again: floor to the crown" in text
    assert "wrist girth differs much from left to right; both are kept" in text
    assert len(wearer.warnings) == 3
    for size in ("700", "715", "707", "2130", "150", "170"):
        assert size not in text


def test_a_missing_measure_says_where_the_tape_runs() -> None:
    wearer = Wearer(name="Ada")
    with pytest.raises(MeasureMissing, match=r"belt needs waist_girth; Ada has none\. Measure level round"):
        wearer.measure("waist_girth", needed_by="belt")
    with pytest.raises(MeasureError, match="Did you mean 'waist_girth'"):
        wearer.measure("wiast_girth")


def test_wearers_of_a_folder(tmp_path: Path) -> None:
    (tmp_path / "wearers").mkdir()
    (tmp_path / "wearers" / "ada.toml").write_text(GOOD)
    assert find_wearers(tmp_path) == {"ada": tmp_path / "wearers" / "ada.toml"}
    assert read_wearer(tmp_path / "wearers" / "ada.toml").name == "Ada"
    with pytest.raises(FileError, match="the wearer's file is not there"):
        read_wearer(tmp_path / "wearers" / "bob.toml")
    assert find_wearers(tmp_path / "nowhere") == {}
