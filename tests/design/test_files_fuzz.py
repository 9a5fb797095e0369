"""Whatever a file holds, it is read or refused in words; it never breaks the program or tells a size."""

import copy
import json
import tomllib
from collections.abc import Callable
from typing import Any

import pytest
import tomli_w
from hypothesis import given
from hypothesis import strategies as st
from test_files_doc import blocks

from layfigure.body.wearer_file import parse_wearer
from layfigure.design.costume_file import parse_costume
from layfigure.design.marks_file import parse_marks
from layfigure.errors import LayfigureError
from layfigure.materials.material_file import parse_materials, parse_stock

SIZE = "713.97"
ODD = st.one_of(
    st.booleans(),
    st.integers(-(10**20), 10**20),
    st.floats(),
    st.sampled_from(["", SIZE, f"{SIZE} cm", f"{SIZE} %", "10 cm", "-3 in", "1/0 in", "at the knee", "left"]),
    st.sampled_from(["waist_girth", "../x", "stature", "\0", "é" * 500, "10 cm to 16 cm", "1e400 cm"]),
    st.lists(st.sampled_from([1, "10 cm", [], [1, 2], {}]), max_size=4),
    st.dictionaries(st.sampled_from(["left", "format", "", "points", "x"]), st.integers(0, 3), max_size=2),
)
WHOLE: dict[str, tuple[Callable[[str], Any], Any]] = {
    "wearer": (parse_wearer, tomllib.loads(blocks("wearer")[0])),
    "costume": (parse_costume, tomllib.loads(blocks("costume")[0])),
    "materials": (parse_materials, tomllib.loads(blocks("materials")[0])),
    "stock": (parse_stock, tomllib.loads(blocks("materials")[1])),
    "marks": (parse_marks, json.loads(blocks("marks")[0])),
}


def places(data: Any) -> list[tuple[Any, Any]]:
    """Every (container, key) of a nested file."""
    keys = list(data) if isinstance(data, dict) else range(len(data)) if isinstance(data, list) else []
    return [pair for key in keys for pair in ((data, key), *places(data[key]))]


@pytest.mark.parametrize("kind", WHOLE)
@given(where=st.integers(0, 10**6), odd=ODD, how=st.sampled_from(["replace", "remove", "add"]))
def test_a_damaged_file_is_read_or_refused(kind: str, where: int, odd: Any, how: str) -> None:
    parse, good = WHOLE[kind]
    data = copy.deepcopy(good)
    spots = places(data)
    container, key = spots[where % len(spots)]
    if how == "remove":
        del container[key]
    elif how == "add" and isinstance(container, dict):
        container[f"{key}x"] = odd
    else:
        container[key] = odd
    text = json.dumps(data) if kind == "marks" else tomli_w.dumps(data)
    try:
        parse(text)
    except LayfigureError as error:
        told = error
    else:
        return
    assert told.what
    if kind == "wearer" and "name" not in told.what:
        assert SIZE not in str(told)


@pytest.mark.parametrize("kind", WHOLE)
@given(text=st.text(max_size=60))
def test_any_text_is_read_or_refused(kind: str, text: str) -> None:
    with pytest.raises(LayfigureError):
        WHOLE[kind][0](text)
