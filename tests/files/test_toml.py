"""Every key of a TOML file is found on its line, and a file that cannot be parsed says where."""

import tomllib
from pathlib import Path

import pytest
import tomli_w
from hypothesis import given
from hypothesis import strategies as st

from layfigure.errors import FileError, FileSyntaxError
from layfigure.files.toml import parse_toml, read_toml

TEXT = '''format = 1          # line 1
name = "Brindle = [not a table]"
"odd key" = 'x'

[measures]
waist_girth = "71.5 cm"
wrist.left = "15 cm"

[[pieces]]
slug = "a"
note = """
[measures]
waist_girth = no key
"""
edges = { top = "x", bottom = [
  "y",  # bottom = 3
] }

[[pieces]]
slug = "b"
[pieces.options]
ease = "6 %"
[[pieces.windows]]
slug = "w1"
[[pieces.windows]]
slug = "w2"
'''


def test_keys_stand_on_their_lines() -> None:
    file = parse_toml(TEXT, name="costume.toml")
    for path, line in {
        ("format",): 1,
        ("name",): 2,
        ("odd key",): 3,
        ("measures",): 5,
        ("measures", "waist_girth"): 6,
        ("measures", "wrist", "left"): 7,
        ("pieces", 0): 9,
        ("pieces", 0, "slug"): 10,
        ("pieces", 0, "note"): 11,
        ("pieces", 0, "edges"): 15,
        ("pieces", 1, "slug"): 20,
        ("pieces", 1, "options", "ease"): 22,
        ("pieces", 1, "windows", 0, "slug"): 24,
        ("pieces", 1, "windows", 1, "slug"): 26,
    }.items():
        assert file.where(*path) == f"costume.toml, line {line}", path


def test_what_has_no_line_of_its_own_is_found_by_what_holds_it() -> None:
    file = parse_toml(TEXT, name="costume.toml")
    assert file.where("pieces", 0, "edges", "bottom", 0) == "costume.toml, line 15"
    assert file.where("pieces", 0, "absent") == "costume.toml, line 9"
    assert file.where("absent") == "costume.toml"


KEYS = st.text("abc_-é\"'#[]= ", min_size=1, max_size=6)
LEAVES = st.one_of(
    st.integers(0, 9), st.text("ab\n\"'#[]=\\", max_size=8), st.lists(st.text("a]\"'#", max_size=3))
)
TABLES = st.dictionaries(KEYS, LEAVES, max_size=4)


@given(
    st.dictionaries(KEYS, st.one_of(LEAVES, TABLES, st.lists(TABLES, min_size=1, max_size=3)), max_size=6),
    st.booleans(),
)
def test_every_key_of_any_file_is_found_where_it_stands(data: dict[str, object], multiline: bool) -> None:
    # tomli_w writes each table's keys on lines of their own, in order: an independent writer.
    text = tomli_w.dumps(data, multiline_strings=multiline)
    file = parse_toml(text, name="f")
    assert file.data == tomllib.loads(text)
    rows = text.split("\n")

    def check(path: tuple[str | int, ...]) -> None:
        line = file.lines.get(path)
        if line is None:
            return
        row = rows[line - 1].lstrip("[ ").strip()
        key = next(part for part in reversed(path) if isinstance(part, str))
        head = tomli_w.dumps({key: 1}).split(" = ")[0]
        assert head in row

    for key, value in data.items():
        if not isinstance(value, dict | list):
            assert (key,) in file.lines
        check((key,))
        if isinstance(value, dict):
            for inner in value:
                if "\n" not in repr(value[inner]):
                    assert (key, inner) in file.lines
                check((key, inner))


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("a = 1\nb = \n", "f.toml, line 2: this line cannot be read: "),
        ("a = 1\nwaist_girth = 71.5 cm\n", "f.toml, line 2: this line cannot be read: "),
        ("a = 1\na = 2\n", "f.toml, line 2: this line cannot be read: "),
        ("a = [1,\n2,\n", "f.toml, line 2: this line cannot be read: "),
    ],
)
def test_a_file_that_cannot_be_parsed_says_where(text: str, message: str) -> None:
    with pytest.raises(FileSyntaxError) as caught:
        parse_toml(text, name="f.toml")
    assert str(caught.value).startswith(message)


def test_a_size_without_quotes_gets_the_hint() -> None:
    with pytest.raises(FileSyntaxError, match=r'Put quotes round a size, as in waist_girth = "71\.5 cm"\.'):
        parse_toml("waist_girth = 71.5 cm", name="f.toml")


def test_missing_binary_and_huge_files_are_explained(tmp_path: Path) -> None:
    with pytest.raises(FileError, match="is not there"):
        read_toml(tmp_path / "none.toml")
    with pytest.raises(FileError, match="is not there"):
        read_toml(tmp_path)
    (tmp_path / "photo.toml").write_bytes(b"\xff\xd8\xff\xe0")
    with pytest.raises(FileSyntaxError, match=r"is not UTF-8 text\. Save it as UTF-8"):
        read_toml(tmp_path / "photo.toml")
    (tmp_path / "huge.toml").write_bytes(b"#" * 5_000_001)
    with pytest.raises(FileError, match="larger than 5 MB"):
        read_toml(tmp_path / "huge.toml")
    (tmp_path / "bom.toml").write_bytes(b"\xef\xbb\xbfa = 1\r\nb = 2\r\n")
    assert read_toml(tmp_path / "bom.toml").data == {"a": 1, "b": 2}
