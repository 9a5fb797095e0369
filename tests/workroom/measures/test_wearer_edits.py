"""Edits of a wearer's file: what is typed is what the library reads, and what the maker wrote stays."""

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from layfigure.body.measures import CATALOGUE
from layfigure.body.wearer_file import parse_wearer
from layfigure.errors import FileError, LayfigureError, MeasureContradiction, MeasureError
from layfigure.units import parse_length
from layfigure.workroom.edits.wearer import (
    begun,
    described,
    measured,
    slug_for,
    tried,
    typed_readings,
    wearer_of,
    with_unit,
)

HAND_WRITTEN = """\
# measured in the kitchen
format = 1
name = "Ada"          # an alias
posture = "standing"
guess_from = "women"

[measures]
# the wall by the door
stature = "168.4 cm"    # barefoot
chest = ["96.5 cm", "97.1 cm"]
wrist_girth = "15.5 cm"     # both
thigh_girth_left = "58 cm"
thigh_girth_right = "57 cm"   # thinner
body_mass = "64 kg"
"""
FILE = "ada.toml"


def comments(text: str) -> list[str]:
    return re.findall(r"#.*", text)


def test_one_measure_changes_and_everything_else_stays() -> None:
    edited = measured(HAND_WRITTEN, "waist_girth", {"both": ["29 1/4 in"]}, file=FILE)
    assert comments(edited) == comments(HAND_WRITTEN)
    assert [line for line in edited.splitlines() if "waist" not in line] == HAND_WRITTEN.splitlines()
    assert parse_wearer(edited).measures["waist_girth"] == pytest.approx(29.25 * 25.4)


def test_the_makers_own_name_for_a_measure_is_kept() -> None:
    edited = measured(HAND_WRITTEN, "bust_girth", {"both": ["98 cm"]}, file=FILE)
    assert 'chest = "98 cm"' in edited
    assert "bust_girth" not in edited


def test_two_sides_take_the_place_of_one_entry_and_back() -> None:
    apart = measured(HAND_WRITTEN, "wrist_girth", {"left": ["15.5 cm"], "right": ["16 cm"]}, file=FILE)
    wearer = parse_wearer(apart)
    assert (wearer.measures["wrist_girth_left"], wearer.measures["wrist_girth_right"]) == (155.0, 160.0)
    assert "wrist_girth =" not in apart
    together = measured(apart, "wrist_girth", {"left": ["16 cm"], "right": ["16 cm"]}, file=FILE)
    assert 'wrist_girth = "16 cm"' in together
    assert "wrist_girth_left" not in together
    assert comments(edited := measured(together, "thigh_girth", {"right": ["57.5 cm"]}, file=FILE))
    assert "# thinner" in edited
    assert "thigh_girth_left" not in edited


def test_a_measure_without_readings_is_taken_away() -> None:
    edited = measured(HAND_WRITTEN, "body_mass", {}, file=FILE)
    assert "body_mass" not in parse_wearer(edited).measures
    assert edited + 'body_mass = "64 kg"\n' == HAND_WRITTEN


@pytest.mark.parametrize(
    "text",
    [
        'format = 1\nname = "Ada"\n',
        'format = 1\nname = "Ada"\nmeasures = { stature = "168 cm" }\n',
        'format = 1\nname = "Ada"\nmeasures.stature = "168 cm"\n',
        'format = 1\r\nname = "Ada"\r\n[measures]\r\nstature = "168 cm" # tall\r\n',
        '[measures]\nstature = "168 cm"\n\n# the end\n',
    ],
)
def test_every_way_of_writing_the_table_can_be_edited(text: str) -> None:
    if not text.startswith("format"):
        text = 'format = 1\nname = "Ada"\n' + text
    edited = measured(text, "hip_girth", {"both": ["1 m"]}, file=FILE)
    assert parse_wearer(edited).measures["hip_girth"] == 1000.0
    assert comments(edited) == comments(text)


eighths = st.integers(0, 7).map(lambda k: ["", " 1/8", " 1/4", " 3/8", " 1/2", " 5/8", " 3/4", " 7/8"][k])


@st.composite
def sizes(draw: st.DrawFn, name: str) -> str:
    """A size a person may have, as somebody would type it."""
    measure = CATALOGUE[name]
    low, high = 1.05 * measure.absurd_below, 0.95 * measure.absurd_above
    if measure.kind == "mass":
        return f"{draw(st.integers(int(low) + 1, int(high)))} kg"
    if draw(st.booleans()):
        tenths = draw(st.integers(int(low) + 1, int(high) - 1))
        return f"{tenths / 10:.1f}".replace(".", draw(st.sampled_from(".,"))) + draw(
            st.sampled_from([" cm", "cm"])
        )
    whole = draw(st.integers(int(low / 25.4) + 1, max(int(low / 25.4) + 1, int(high / 25.4) - 1)))
    return f"{whole}{draw(eighths)} in"


@given(st.data())
def test_the_library_reads_back_what_was_typed(data: st.DataObject) -> None:
    name = data.draw(st.sampled_from(sorted(CATALOGUE)))
    some = st.lists(sizes(name), min_size=0, max_size=3)
    readings = (
        {"left": data.draw(some), "right": data.draw(some)}
        if CATALOGUE[name].paired and data.draw(st.booleans())
        else {"both": data.draw(some)}
    )
    start = begun("Ada", posture="standing", unit="cm", guess_from="both")
    edited = measured(start, name, readings, file=FILE)
    expected = {}
    for hand, typed in readings.items():
        values = tuple(float(t.split()[0]) if "kg" in t else parse_length(t) for t in typed)
        for stored in CATALOGUE[name].sided() if hand == "both" else (f"{name}_{hand}",):
            if values:
                expected[stored] = values
    assert dict(parse_wearer(edited).readings) == expected
    # What the page is shown again is what was typed, word for word.
    shown = typed_readings(edited).get(name, {})
    typed = {hand: given for hand, given in readings.items() if given}
    alike = (
        {"both": typed["left"]} if typed.get("left") and typed.get("left") == typed.get("right") else typed
    )
    assert shown == alike
    # And away again leaves the file as it was.
    assert parse_wearer(measured(edited, name, {}, file=FILE)).readings == {}


@pytest.mark.parametrize(
    ("typed", "unit", "written"),
    [
        ("24 1/2", "in", "24 1/2 in"),
        ("62,5", "cm", "62,5 cm"),
        ("  9½ ", "in", "9½ in"),
        ("5 ft 6 in", "cm", "5 ft 6 in"),
        ("62 cm", "in", "62 cm"),
        ("5' 6\"", "in", "5' 6\""),
        ("", "cm", ""),
    ],
)
def test_a_bare_number_gets_the_unit_beside_the_input(typed: str, unit, written: str) -> None:
    assert with_unit(typed, "waist_girth", unit) == written


def test_a_bare_number_on_the_scales_is_a_mass() -> None:
    assert with_unit("64", "body_mass", "cm") == "64 kg"
    assert with_unit("140", "body_mass", "in") == "140 lb"


@pytest.mark.parametrize(
    ("name", "readings", "kind", "named"),
    [
        ("wrist_girth", {"both": ["61 cm"]}, MeasureError, "wrist_girth"),
        ("wrist_girth", {"both": ["16.1 parsec"]}, MeasureError, "wrist_girth"),
        ("waist_girth", {"left": ["74.3 cm"]}, MeasureError, "waist_girth"),
        ("wrist_girth", {"both": ["16.1 cm"], "left": ["16.1 cm"]}, MeasureError, "wrist_girth"),
        ("forearm_girth", {"both": ["14.1 cm"]}, MeasureContradiction, "forearm_girth_left"),
        ("wirst_girth", {"both": ["16.1 cm"]}, MeasureError, "wirst_girth"),
    ],
)
def test_what_is_refused_names_the_measure_and_never_the_size(name, readings, kind, named) -> None:
    with pytest.raises(kind) as raised:
        measured(HAND_WRITTEN, name, readings, file=FILE)
    said = f"{raised.value} {raised.value.where} {raised.value.advice} {raised.value!r}"
    assert named in said
    for size in ("61", "16.1", "74.3", "14.1", "155", "15.5", "161"):
        assert size not in said


def test_what_is_said_about_her_changes_in_place() -> None:
    changes = {"name": "Ada L.", "unit": "in", "worn_under": ["bra"], "posture": "seated"}
    edited = described(HAND_WRITTEN, changes, file=FILE)
    wearer = parse_wearer(edited)
    assert (wearer.name, wearer.unit, wearer.worn_under, wearer.posture) == (
        "Ada L.",
        "in",
        ("bra",),
        "seated",
    )
    assert comments(edited) == comments(HAND_WRITTEN)
    assert parse_wearer(described(edited, {"worn_under": []}, file=FILE)).worn_under == ()
    with pytest.raises(LayfigureError):
        described(HAND_WRITTEN, {"name": ""}, file=FILE)


def test_a_name_with_quotes_and_a_heading_in_it_stays_a_name() -> None:
    name = 'Ada "the\\ hat" [measures] # x'
    text = begun(name, posture="standing", unit="in", guess_from="women")
    assert parse_wearer(text).name == name
    assert parse_wearer(described(text, {"note": "a\nb = 1"}, file=FILE)).name == name


@pytest.mark.parametrize(
    ("name", "taken", "slug"),
    [
        ("Ada", [], "ada"),
        ("Zoë B.", ["ada"], "zoe_b"),
        ("Ada", ["ADA", "ada_2"], "ada_3"),
        ("林", [], "wearer"),
    ],
)
def test_a_file_gets_a_plain_name(name: str, taken: list[str], slug: str) -> None:
    assert slug_for(name, taken) == slug


def test_a_broken_file_is_said_to_be_broken() -> None:
    with pytest.raises(FileError, match="line 3"):
        measured('format = 1\nname = "Ada"\nstature == 3\n', "stature", {"both": ["170 cm"]}, file=FILE)


@pytest.mark.parametrize(
    ("name", "readings"),
    [
        ("waist_girth", {"both": ["75 cm"]}),
        ("waist_girth", {}),
        ("calf_girth", {"left": ["36 cm", "36.4 cm"], "right": ["35 cm"]}),
        ("calf_girth", {"both": ["36 cm"]}),
    ],
)
def test_a_size_being_tried_makes_the_wearer_that_writing_it_would(name, readings):
    text = (
        'format = 1\nname = "Ada"\n\n[measures]\nstature = "168 cm"\nwaist_girth = "74 cm"\n'
        'calf_girth_left = "37 cm"\n'
    )
    written = wearer_of(measured(text, name, readings, file="ada.toml"), "ada.toml")
    assert tried(text, name, readings, file="ada.toml") == written
