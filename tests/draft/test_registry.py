"""Kinds are found by name, each loaded alone, and another package can bring its own."""

import json
import os
import subprocess
import sys
from pathlib import Path

import pypdfium2 as pdfium
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

PENNANT = """
import numpy as np
from pydantic import BaseModel
from layfigure.draft.registry import Check, DraftResult, PieceKind, register
from layfigure.geometry.polyline import length
from layfigure.piece.item import Item
from layfigure.piece.piece import Grainline, Piece, PieceEdge, Reason, Total, Verdict

class Options(BaseModel, extra="forbid"):
    share: float = 0.5

def draft(request):
    line = request.placement.edges[request.statement.edges["line"]]
    wide = request.options.share * length(line.line)
    corners = np.array([[0.0, 0.0], [wide, 0.0], [0.5 * wide, 200.0], [0.0, 0.0]])
    edges = tuple(
        PieceEdge(slug=slug, curve=corners[k : k + 2], role="hem", allowance=10.0)
        for k, slug in enumerate(("foot", "right", "left"))
    )
    pieces = [
        Piece(
            slug=request.statement.slug + suffix,
            label="Pennant",
            kind="pennant",
            cloth=cloth,
            edges=edges,
            grainline=Grainline(start=(0.5 * wide, 20.0), end=(0.5 * wide, 120.0), kind="grain"),
            totals=tuple(Total(what=edge.slug + " edge", length=edge.length) for edge in edges),
            verdict=Verdict(level="scrap", reasons=(Reason(why="new", lifted_by="Try it."),)),
            note=("Cut it and hem it.",),
            layer=request.statement.layer,
            edition=request.edition,
        )
        for suffix, cloth in [("", request.cloth.slug)]
        + [("_" + role, slug) for role, slug in request.statement.cloths.items()]
    ]
    return DraftResult(
        pieces=tuple(pieces),
        checks=(Check.at_most(what="Pennant: width", value=wide, limit=5000.0, unit="mm"),),
        items=(Item(slug="pin", name="pin", count=2, use="Pennant: at its corners"),),
    )

KIND = register(
    PieceKind(
        name="pennant",
        summary="A pennant as wide as a share of a line.",
        options=Options,
        draft=draft,
        edges={"line": "the line it is measured on"},
        required=frozenset({"line"}),
        cloths={"lining": "the same again"},
        choices=lambda request, result: {"how it is held": "two pins"},
    )
)
"""

COSTUME = """
format = 1
name = "Outside"

[edges.girdle]
words = "at the waist"

[[pieces]]
slug = "flag"
kind = "pennant"
cloth = "cotton_calico"
edges = { line = "girdle" }
cloths = { lining = "cotton_calico" }
count = 2
decisions = ["its point hangs down."]
options = { share = 0.25 }
"""


def installed(folder: Path, name: str, module: str) -> dict[str, str]:
    """A package with one kind, as an installer leaves it, and an environment whose path holds it."""
    (folder / f"outside_{name}.py").write_text(module, encoding="utf-8")
    about = folder / f"outside_{name}-1.0.dist-info"
    about.mkdir()
    (about / "METADATA").write_text(f"Metadata-Version: 2.1\nName: outside-{name}\nVersion: 1.0\n")
    (about / "entry_points.txt").write_text(f"[layfigure.kinds]\n{name} = outside_{name}:KIND\n")
    path = os.pathsep.join(filter(None, [str(folder), os.environ.get("PYTHONPATH", "")]))
    return {**os.environ, "PYTHONPATH": path, "LAYFIGURE_CACHE": str(folder / "cache")}


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
    environment = installed(tmp_path, "chain", OUTSIDE)
    program = (
        "import sys\n"
        "from layfigure.draft.registry import find_kind, known_kinds, validated_options\n"
        "kind = find_kind('chain')\n"
        "print(kind.summary, validated_options(kind, {'rings': 5}, where='here').rings)\n"
        "print('layfigure.draft.wrap.kind' in sys.modules, 'chain' in known_kinds())\n"
        "print(list(known_kinds()) == sorted(known_kinds()))\n"
    )
    shown = subprocess.run(
        [sys.executable, "-c", program], capture_output=True, text=True, check=True, env=environment
    ).stdout.splitlines()
    # Shown in one order, whichever was loaded first.
    assert shown == ["Rings on a strap. 5", "False True", "True"]


def test_a_kind_from_another_package_is_made_whole(tmp_path: Path) -> None:
    """From its entry point to its piece on paper, through the command line, and nothing of ours touched."""
    environment = installed(tmp_path, "pennant", PENNANT)
    place = tmp_path / "costume"

    def run(*arguments: str) -> subprocess.CompletedProcess[str]:
        return subprocess.run(
            [sys.executable, "-m", "layfigure.cli.main", *arguments],
            capture_output=True,
            text=True,
            env=environment,
            check=False,
        )

    assert run("new", str(place)).returncode == 0
    (place / "costume.toml").write_text(COSTUME.lstrip(), encoding="utf-8")
    made = run("make", str(place), "--paper", "a4")
    assert made.returncode == 0, made.stderr
    document = json.loads((place / "out/pieces.json").read_text(encoding="utf-8"))
    flag, lining = document["pieces"]
    assert (flag["slug"], lining["slug"], flag["kind"], flag["count"]) == (
        "flag",
        "flag_lining",
        "pennant",
        2,
    )
    placed = json.loads((place / "out/placement.json").read_text(encoding="utf-8"))
    assert set(placed["edges"]) == {"girdle"}
    assert 100.0 < flag["totals"][0]["length"] < 500.0
    told = json.loads((place / "out/draft.json").read_text(encoding="utf-8"))["statements"]["flag"]
    assert [check["passed"] for check in told["checks"]] == [True]
    assert told["items"][0]["count"] == 4
    assert told["chosen"] == ["Not said: how it is held, so two pins."]
    with pdfium.PdfDocument((place / "out/pattern-a4.pdf").read_bytes()) as paper:
        words = " ".join(" ".join(page.get_textpage().get_text_range().split()) for page in paper)
    for line in ("Pennant", "Cut it and hem it.", "Decided: its point hangs down.", told["chosen"][0]):
        assert line in words
    for name in ("pieces.svg", "pieces.dxf", "report.html"):
        assert "Pennant" in (place / "out" / name).read_text(encoding="utf-8"), name
    # What it does not state it is not given.
    (place / "costume.toml").write_text(COSTUME.lstrip().replace("lining =", "padding ="), encoding="utf-8")
    refused = run("make", str(place))
    assert refused.returncode == 1
    assert "a pennant makes nothing of cloths.padding" in refused.stderr
    assert "lining (the same again)" in refused.stderr


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
