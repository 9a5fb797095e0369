"""Kinds are found by name, each loaded alone, and another package can bring its own."""

import subprocess
import sys
from pathlib import Path

import pytest

from layfigure.draft.registry import PieceKind, find_kind, known_kinds, register, validated_options
from layfigure.errors import DraftError

OUTSIDE = """
from pydantic import BaseModel
from layfigure.draft.registry import DraftResult, PieceKind, register

class Options(BaseModel, extra="forbid"):
    rings: int = 3

def draft(request):
    return DraftResult(pieces=())

KIND = register(PieceKind(name="chain", summary="Rings on a strap.", options=Options, draft=draft))
"""


def test_our_own_kinds_are_known() -> None:
    assert set(known_kinds()) >= {"belt", "knit", "wrap"}
    for name, kind in known_kinds().items():
        assert kind.name == name
        assert kind.required <= set(kind.edges)
        assert kind.summary


def test_an_unknown_kind_is_answered_with_the_known_ones() -> None:
    with pytest.raises(DraftError, match=r"no piece kind 'wrapp'.*belt, .*knit, .*wrap"):
        find_kind("wrapp")


def test_a_name_is_taken_once() -> None:
    wrap = find_kind("wrap")
    assert register(wrap) is wrap
    other = PieceKind(name="wrap", summary="", options=wrap.options, draft=wrap.draft)
    with pytest.raises(ValueError, match="registered already"):
        register(other)


def test_a_bad_option_is_named_with_those_there_are() -> None:
    with pytest.raises(DraftError, match=r"piece 3: option 'bandz' of kind 'wrap'.*bands"):
        validated_options(find_kind("wrap"), {"bandz": 2}, where="piece 3")


def test_a_kind_from_another_package_is_found(tmp_path: Path) -> None:
    (tmp_path / "outside_kind.py").write_text(OUTSIDE, encoding="utf-8")
    about = tmp_path / "outside_kind-1.0.dist-info"
    about.mkdir()
    (about / "METADATA").write_text("Metadata-Version: 2.1\nName: outside-kind\nVersion: 1.0\n")
    (about / "entry_points.txt").write_text("[layfigure.kinds]\nchain = outside_kind:KIND\n")
    program = (
        "import sys; sys.path.insert(0, sys.argv[1])\n"
        "from layfigure.draft.registry import find_kind, known_kinds, validated_options\n"
        "kind = find_kind('chain')\n"
        "print(kind.summary, validated_options(kind, {'rings': 5}, where='here').rings)\n"
        "print('layfigure.draft.wrap.kind' in sys.modules, 'chain' in known_kinds())\n"
    )
    shown = subprocess.run(
        [sys.executable, "-c", program, str(tmp_path)], capture_output=True, text=True, check=True
    ).stdout.splitlines()
    assert shown == ["Rings on a strap. 5", "False True"]


def test_a_kind_that_cannot_load_says_whose_it_is(tmp_path: Path) -> None:
    about = tmp_path / "broken_kind-1.0.dist-info"
    about.mkdir()
    (about / "METADATA").write_text("Metadata-Version: 2.1\nName: broken-kind\nVersion: 1.0\n")
    (about / "entry_points.txt").write_text("[layfigure.kinds]\nbroken = no_such_module:KIND\n")
    program = (
        "import sys; sys.path.insert(0, sys.argv[1])\n"
        "from layfigure.draft.registry import find_kind\n"
        "from layfigure.errors import DraftError\n"
        "try:\n find_kind('broken')\n"
        "except DraftError as error:\n print(error)\n"
    )
    shown = subprocess.run(
        [sys.executable, "-c", program, str(tmp_path)], capture_output=True, text=True, check=True
    ).stdout
    assert "no_such_module:KIND" in shown
    assert "package that brings it" in shown
