"""Schema faults in a maker's words, at their line, and without private sizes."""

from typing import Literal

import pytest
from pydantic import BaseModel

from layfigure.errors import FileError, UnknownKeyError
from layfigure.files.quantities import Length, PrivateLength
from layfigure.files.toml import parse_toml
from layfigure.files.validation import validated


class Inner(BaseModel, extra="forbid"):
    waist: Length = 0.0
    count: int = 0


class Outer(BaseModel, extra="forbid"):
    name: str
    side: Literal["left", "right"] = "left"
    inner: Inner | None = None
    many: list[Inner] = []
    by_name: dict[str, Inner] = {}
    private: PrivateLength | None = None


KNOWN = "Known: name, side, inner, many, by_name, private."
WITH_UNIT = "Write it in quotes with its unit, like '41.3 cm' or '16 1/4 in'."


@pytest.mark.parametrize(
    ("text", "kind", "message"),
    [
        ('name="a"\nwiast=1', UnknownKeyError, f"2: key 'wiast' is unknown. {KNOWN}"),
        ("wiast=1", UnknownKeyError, f"1: key 'wiast' is unknown. {KNOWN}"),
        (
            'name="a"\n[inner]\nwiast="1 cm"',
            UnknownKeyError,
            "3: key 'wiast' is unknown in inner. Did you mean 'waist'?",
        ),
        (
            'name="a"\n[[many]]\n[[many]]\nwiast=1',
            UnknownKeyError,
            "4: key 'wiast' is unknown in many[1]. Did you mean 'waist'?",
        ),
        (
            'name="a"\n[by_name.x]\nwiast=1',
            UnknownKeyError,
            "3: key 'wiast' is unknown in by_name.x. Did you mean 'waist'?",
        ),
        ('name="a"\nside="top"', FileError, "2: side must be one of 'left' or 'right'."),
        ("name=3", FileError, "1: name must be text in quotes."),
        ('name="a"\ninner={count="x"}', FileError, "2: inner.count must be a whole number."),
        (
            'name="a"\ninner={waist=36}',
            FileError,
            "2: inner.waist: length 36 has no unit. Write '36 cm' or '36 in', in quotes.",
        ),
        ('name="a"\ninner=3', FileError, "2: inner must be a table of keys and values."),
        ('name="a"\nprivate=987', FileError, f"2: private: the size has no unit. {WITH_UNIT}"),
        (
            'name="a"\nprivate="987 parsecs"',
            FileError,
            f"2: private: the size cannot be read. {WITH_UNIT}",
        ),
    ],
)
def test_faults_say_where_what_and_what_instead(text: str, kind: type[FileError], message: str) -> None:
    file = parse_toml(text, name="f.toml")
    with pytest.raises(kind) as caught:
        validated(Outer, file.data, where=file.where)
    assert str(caught.value) == f"f.toml, line {message}"
    assert type(caught.value) is kind


def test_private_sizes_reach_neither_message_nor_cause() -> None:
    file = parse_toml('name="a"\nprivate="987 parsecs"', name="f.toml")
    with pytest.raises(FileError) as caught:
        validated(Outer, file.data, where=file.where, private=True)
    assert caught.value.__cause__ is None
    assert caught.value.__context__ is None or caught.value.__suppress_context__
    assert "987" not in str(caught.value)


def test_good_data_pass() -> None:
    file = parse_toml('name="a"\n[inner]\nwaist="1 in"', name="f.toml")
    outer = validated(Outer, file.data, where=file.where)
    assert outer.inner is not None
    assert outer.inner.waist == 25.4


def test_a_missing_key_has_no_line_of_its_own() -> None:
    file = parse_toml('side="left"', name="f.toml")
    with pytest.raises(FileError, match=r"^f\.toml: name is missing\.$"):
        validated(Outer, file.data, where=file.where)
