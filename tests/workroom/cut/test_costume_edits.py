"""Edits of costume.toml read back as what was asked for, and leave the maker's own writing alone."""

import tomllib
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from layfigure.design.costume_file import parse_costume
from layfigure.errors import FileError, LayfigureError
from layfigure.workroom.edits.costume import (
    checked,
    with_edge,
    with_piece,
    with_piece_value,
    without_edge,
    without_piece,
)

BRINDLE = Path(__file__).parents[3] / "examples/brindle/costume.toml"
TEXT = """\
# Whose it is.
format = 1
name = "Trial"   # may change

# The upper edges.
[edges.guard_top]
words = "70 % from wrist to elbow"   # tried on
side = "left"

# The belt sits low.
[edges.belt]
words = "at the hip"

# A guard of leather.
[[pieces]]
slug = "guard"
kind = "wrap"
cloth = "vegetable_tanned_leather_2mm"   # the last hide
side = "left"
edges = { top = "guard_top", bottom = "guard_foot" }   # upside down
# not decided: lacing

[edges.guard_foot]
words = "8 % from wrist to elbow"
side = "left"

# The strap.
[[pieces]]
slug = "strap"
kind = "belt"
cloth = "vegetable_tanned_leather_2mm"
edges = { line = "belt" }

[pieces.options]
# as wide as the buckle
width = "40 mm"
drops = [
    { name = "key", at = "left" },   # by the hip
    { name = "purse" },
]

# What came later.
[[errata]]
edition = 2
what = "the guard is shorter"
"""


def comments(text):
    return [line.split("#", 1)[1] for line in text.splitlines() if "#" in line]


def values():
    """What a form can send: texts, numbers, yes and no, lists and small tables."""
    words = st.text(
        st.characters(codec="utf-8", exclude_categories=["Cs", "Cc"], exclude_characters="#"), max_size=12
    )
    plain = st.one_of(words, st.integers(-(2**40), 2**40), st.booleans(), st.floats(-1e6, 1e6))
    keys = st.from_regex(r"[a-z][a-z0-9_]{0,6}", fullmatch=True)
    return st.recursive(
        plain,
        lambda inner: st.lists(inner, max_size=3) | st.dictionaries(keys, inner, max_size=3),
        max_leaves=6,
    )


PATHS = [
    ("layer",),
    ("label",),
    ("side",),
    ("edges", "top"),
    ("options", "width"),
    ("options", "fresh"),
    ("options", "drops"),
    ("cloths", "lining"),
    ("decisions",),
]


@settings(max_examples=40)
@given(st.sampled_from(["guard", "strap"]), st.sampled_from(PATHS), values())
def test_a_value_that_is_set_reads_back_and_nothing_else_changed(slug, path, value):
    before, after = tomllib.loads(TEXT), with_piece_value(TEXT, slug, path, value)
    said = tomllib.loads(after)
    piece = next(piece for piece in before["pieces"] if piece["slug"] == slug)
    place = piece
    for part in path[:-1]:
        place = place.setdefault(part, {})
    place[path[-1]] = value
    assert said == before
    lost = set(comments(TEXT)) - set(comments(after))
    # A list or table written over takes the comments inside it along.
    assert lost <= ({" by the hip"} if path == ("options", "drops") else set())
    taken_out = tomllib.loads(with_piece_value(after, slug, path, None))
    assert path[-1] not in next(p for p in taken_out["pieces"] if p["slug"] == slug).get(path[0], {})


@settings(max_examples=40)
@given(values(), st.sampled_from(["cloth", "options", "edges"]))
def test_a_new_piece_reads_back_and_every_comment_stays(value, key):
    after = with_piece(TEXT, {"kind": "wrap", "slug": "cuff", key: value})
    assert tomllib.loads(after)["pieces"][-1] == {"kind": "wrap", "slug": "cuff", key: value}
    assert tomllib.loads(after)["pieces"][:-1] == tomllib.loads(TEXT)["pieces"]
    assert comments(after) == comments(TEXT)
    assert without_piece(after, "cuff") == TEXT


@settings(max_examples=40)
@given(
    st.text(
        st.characters(codec="utf-8", exclude_categories=["Cs", "Cc"], exclude_characters="#"), max_size=40
    )
)
def test_words_of_an_edge_read_back(words):
    for slug in ("guard_foot", "brand_new"):
        after = with_edge(TEXT, slug, {"words": words})
        assert tomllib.loads(after)["edges"][slug]["words"] == words
        assert comments(after) == comments(TEXT)
        other = {key: one for key, one in tomllib.loads(after).items() if key != "edges"}
        assert other == {key: one for key, one in tomllib.loads(TEXT).items() if key != "edges"}


def test_new_keys_stand_with_their_piece_and_not_with_the_next_ones_comment():
    after = with_piece_value(TEXT, "guard", ("layer",), 2)
    assert 'bottom = "guard_foot" }   # upside down\nlayer = 2\n# not decided: lacing' in after


def test_a_removed_piece_takes_its_own_comment_and_leaves_the_next_ones():
    after = without_piece(TEXT, "strap")
    assert "The strap" not in after
    assert "buckle" not in after
    assert "# What came later.\n[[errata]]" in after
    assert "# A guard of leather." in after


def test_a_comment_over_several_edges_stays_when_one_goes():
    text = BRINDLE.read_text()
    after = without_edge(text, "window_1")
    assert comments(after) == comments(text)
    assert "window_1" not in tomllib.loads(after)["edges"]


def test_every_piece_and_edge_of_the_demonstration_can_be_changed_and_removed():
    text = BRINDLE.read_text()
    data = tomllib.loads(text)
    for piece in data["pieces"]:
        after = with_piece_value(text, piece["slug"], ("label",), "Another")
        assert comments(after) == comments(text)
        left = tomllib.loads(without_piece(text, piece["slug"]))["pieces"]
        assert left == [other for other in data["pieces"] if other is not piece]
    for slug in data["edges"]:
        assert comments(with_edge(text, slug, {"words": "at the waist"})) == comments(text)
        assert slug not in tomllib.loads(without_edge(text, slug))["edges"]


def test_list_items_are_changed_added_and_taken_out_one_by_one():
    changed = with_piece_value(TEXT, "strap", ("options", "drops", 0, "at"), "right")
    assert '{ name = "key", at = "right" },   # by the hip' in changed
    added = with_piece_value(TEXT, "strap", ("options", "drops", 2), {"name": "knife"})
    assert tomllib.loads(added)["pieces"][1]["options"]["drops"][2] == {"name": "knife"}
    gone = with_piece_value(TEXT, "strap", ("options", "drops", 0), None)
    assert tomllib.loads(gone)["pieces"][1]["options"]["drops"] == [{"name": "purse"}]


@pytest.mark.parametrize(
    "text",
    [
        'format = 1\nname = "x"\npieces = [{ slug = "guard", kind = "wrap" }, { slug = "b" }]\n',
        'format = 1\nname = "x"\n[[pieces]]\nslug = "guard"\nkind = "wrap"\n[pieces.edges]\ntop = "a"\n',
        'pieces = [\n  { slug = "guard", kind = "wrap" }, # mine\n]\nformat = 1\nname = "x"\n',
    ],
)
def test_other_ways_of_writing_it_are_edited_or_refused_never_spoiled(text):
    try:
        after = with_piece_value(text, "guard", ("layer",), 3)
        after = with_piece(after, {"slug": "cuff", "kind": "wrap"})
    except FileError as refused:
        assert "text editor" in refused.advice  # noqa: PT017
        return
    said = tomllib.loads(after)["pieces"]
    assert said[0]["layer"] == 3
    assert said[-1] == {"slug": "cuff", "kind": "wrap"}
    assert comments(after) == comments(text)


@pytest.mark.parametrize("value", [{"a": None}, [None], "\ud800", float("nan")])
def test_what_the_file_cannot_hold_is_refused(value):
    with pytest.raises(FileError):
        with_piece_value(TEXT, "guard", ("options", "x"), value)


def test_a_path_that_leads_nowhere_and_a_name_nobody_has_are_refused():
    for edit in (
        lambda: with_piece_value(TEXT, "guard", ("slug",), "other"),
        lambda: with_piece_value(TEXT, "guard", ("cloth", "deeper"), "x"),
        lambda: with_piece_value(TEXT, "strap", ("options", "drops", 9, "at"), "x"),
        lambda: with_piece_value(TEXT, "gard", ("layer",), 1),
        lambda: without_piece(TEXT, "gard"),
        lambda: without_edge(TEXT, "nothing"),
        lambda: with_piece(TEXT, {"slug": "guard", "kind": "wrap"}),
    ):
        with pytest.raises(FileError):
            edit()


def test_the_first_piece_and_edge_of_an_empty_costume():
    text = 'format = 1\nname = "New"\n'
    after = with_piece(with_edge(text, "top", {"words": "at the waist"}), {"slug": "a", "kind": "belt"})
    costume = parse_costume(after)
    assert list(costume.edges) == ["top"]
    assert [piece.slug for piece in costume.pieces] == ["a"]
    assert without_edge(without_piece(after, "a"), "top") == text


@pytest.mark.parametrize(
    ("edit", "what"),
    [
        (lambda t: with_edge(t, "belt", {"words": "at the elbow of the waist"}), "line 11"),
        (lambda t: with_edge(t, "belt", {"words": "2 cm below belt"}), "said from"),
        (lambda t: without_edge(t, "belt"), "belt"),
        (lambda t: with_piece_value(t, "strap", ("cloth",), "moonlight"), "no material"),
        (lambda t: with_piece_value(t, "strap", ("kind",), "blet"), "no piece kind"),
        (lambda t: with_piece_value(t, "strap", ("options", "width"), "40"), "unit"),
        (lambda t: with_piece_value(t, "strap", ("options", "wdith"), "40 mm"), "width"),
        (lambda t: with_piece_value(t, "strap", ("edges", "line"), None), "needs the edge"),
    ],
)
def test_what_the_library_refuses_is_refused_before_it_is_written(tmp_path, edit, what):
    checked(tmp_path, TEXT, pieces=["guard", "strap"])
    with pytest.raises(LayfigureError) as refused:
        checked(tmp_path, edit(TEXT), pieces=["strap"])
    assert what in str(refused.value)


def test_what_forms_of_lists_and_tables_send_is_written_where_it_belongs():
    """Rows added one by one, from nothing, and taken out again."""
    text = TEXT
    steps = [
        (["windows", 0], "belt"),
        (["decisions", 0], "closure unknown"),
        (["decisions", 1], "a buckle, in front"),
        (["trace"], {"file": "traced/strap.svg"}),
        (["trace", "joins", 0], "front 2 to back 4"),
        (["options", "patterns", 0], {"name": "Cuff"}),
        (["options", "patterns", 0, "body", "M"], {"wrist_girth": "16 cm"}),
        (["options", "patterns", 0, "body", "M", "hand_girth"], "19 cm"),
        (["options", "patterns", 0, "body", "L"], {"wrist_girth": "17 cm"}),
        (["cloths", "front"], "power_mesh"),
    ]
    for path, value in steps:
        text = with_piece_value(text, "strap", path, value)
    strap = tomllib.loads(text)["pieces"][1]
    assert strap["windows"] == ["belt"]
    assert strap["decisions"] == ["closure unknown", "a buckle, in front"]
    assert strap["trace"] == {"file": "traced/strap.svg", "joins": ["front 2 to back 4"]}
    sizes = {"M": {"wrist_girth": "16 cm", "hand_girth": "19 cm"}, "L": {"wrist_girth": "17 cm"}}
    assert strap["options"]["patterns"] == [{"name": "Cuff", "body": sizes}]
    assert strap["cloths"] == {"front": "power_mesh"}
    gone = [["cloths", "front"], ["options", "patterns", 0, "body", "L"], ["trace"], ["windows", 0]]
    for path in [*gone, ["decisions", 1]]:
        text = with_piece_value(text, "strap", path, None)
    strap = tomllib.loads(text)["pieces"][1]
    assert {"cloths", "trace", "windows"}.isdisjoint(strap)
    assert strap["decisions"] == ["closure unknown"]
    assert list(strap["options"]["patterns"][0]["body"]) == ["M"]
    assert comments(text) == comments(TEXT)
