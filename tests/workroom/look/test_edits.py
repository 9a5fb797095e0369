"""Edits of the maker's files: what was asked for changes, and not a letter more."""

import tomllib
from pathlib import Path

import pytest

from layfigure.design.costume_file import parse_costume
from layfigure.design.marks import PictureMarks
from layfigure.design.marks_file import parse_marks
from layfigure.errors import FileSyntaxError, MarkError
from layfigure.workroom.edits.costume import with_edge
from layfigure.workroom.edits.costume_references import with_reference, without_reference
from layfigure.workroom.edits.marks import with_picture, with_view, without_picture
from layfigure.workroom.edits.plain_name import free_name

BRINDLE = Path(__file__).parents[3] / "examples" / "brindle"
COSTUME = (BRINDLE / "costume.toml").read_text(encoding="utf-8")
MARKS = (BRINDLE / "marks.json").read_text(encoding="utf-8")


def lines_more(before: str, after: str) -> list[str]:
    """Lines added, where nothing else changed."""
    rest = iter(after.splitlines())
    added: list[str] = []
    for line in before.splitlines():
        for other in rest:
            if other == line:
                break
            added.append(other)
        else:
            pytest.fail(f"{line!r} is gone")
    return [*added, *rest]


@pytest.mark.parametrize(
    ("before", "added"),
    [
        (COSTUME, ["[[references]]", 'file = "references/x.png"', ""]),
        ('format = 1\nname = "x"', ["", "[[references]]", 'file = "references/x.png"']),
        ('format = 1\nname = "x"\n# a remark\n', ["", "[[references]]", 'file = "references/x.png"']),
    ],
    ids=["after the others", "the first one", "below a remark"],
)
def test_a_reference_is_added_and_taken_out_again(before: str, added: list[str]) -> None:
    after = with_reference(before, "references/x.png", photograph=False)
    assert sorted(lines_more(before, after)) == sorted(added)
    assert [one.file for one in parse_costume(after).references][-1] == "references/x.png"
    assert without_reference(after, "references/x.png").rstrip("\n") == before.rstrip("\n")


def test_a_photograph_is_said_and_taken_back() -> None:
    said = with_reference(COSTUME, "references/left.png", photograph=True)
    assert lines_more(COSTUME, said) == ["photograph = true"]
    assert with_reference(said, "references/left.png", photograph=False) == COSTUME


def test_references_written_in_one_line_stay_in_one_line() -> None:
    text = 'format = 1\nname = "x"\nreferences = [{ file = "a.png" }]  # mine\n'
    after = with_reference(text, "b.png", photograph=True)
    assert after.endswith('references = [{ file = "a.png" }, {file = "b.png", photograph = true}]  # mine\n')
    assert tomllib.loads(without_reference(after, "a.png"))["references"] == [
        {"file": "b.png", "photograph": True}
    ]


def test_a_costume_that_is_not_there_yet_is_begun() -> None:
    costume = parse_costume(with_edge(with_reference("", "a.png", photograph=False), "hem", {}))
    assert costume.name == "My costume"
    assert list(costume.edges) == ["hem"]


def test_a_line_is_added_beside_the_others() -> None:
    after = with_edge(COSTUME, "collar", {"words": "at the neck base"})
    assert lines_more(COSTUME, after) == ["[edges.collar]", 'words = "at the neck base"', ""]


def test_a_line_that_is_there_changes_where_it_stands() -> None:
    assert with_edge(COSTUME, "belt", {"words": None}) == COSTUME
    traced = with_edge(COSTUME, "skirt_hem", {"words": None, "closed": False})
    assert traced == COSTUME.replace('words = "70 % from crotch to knee"', "closed = false")
    said = with_edge(traced, "skirt_hem", {"words": "at the knee", "closed": None})
    assert parse_costume(said).edges["skirt_hem"].words is not None


@pytest.mark.parametrize(
    "text",
    ['format = 1\nname = "x"\nedges = { a = {} }\n', 'format = 1\nname = "x"\nedges.a.side = "left"\n'],
)
def test_lines_written_otherwise_are_added_to_all_the_same(text: str) -> None:
    assert list(parse_costume(with_edge(text, "b", {"side": "right"})).edges) == ["a", "b"]


def test_a_costume_with_a_slip_is_not_touched() -> None:
    with pytest.raises(FileSyntaxError, match="line 2"):
        with_edge('format = 1\nname = "x\n', "b", {})


def test_a_slug_is_made_from_any_name() -> None:
    assert free_name("Top of the Guard!", otherwise="line") == "top_of_the_guard"
    assert free_name("Ärmel 2", otherwise="line") == "armel_2"
    assert free_name("3rd stripe", otherwise="line") == "line_3rd_stripe"
    assert free_name("帯", otherwise="line") == "line"
    assert free_name("..", otherwise="picture") == "picture"
    assert free_name("belt", {"belt", "belt_2"}, otherwise="line") == "belt_3"
    assert len(free_name("x" * 200, otherwise="line")) <= 60
    assert len(free_name("7" * 200, otherwise="line")) <= 60


def test_a_picture_is_added_turned_and_taken_out() -> None:
    added = with_picture(MARKS, PictureMarks(name="new", view="left", size=(10, 20)))
    turned = parse_marks(with_view(added, "new", view="free", yaw=30.0, photograph=True)).pictures[-1]
    assert (turned.view, turned.yaw, turned.photograph, turned.size) == ("free", 30.0, True, (10, 20))
    with pytest.raises(MarkError, match="in between only"):
        with_view(added, "new", view="left", yaw=30.0, photograph=False)
    again = without_picture(added, "new")
    assert again is not None
    assert len(parse_marks(again).pictures) == 4
    assert without_picture(with_picture("", PictureMarks(name="a", view="left", size=(9, 9))), "a") is None
