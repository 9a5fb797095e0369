"""A helm from a mesh of the maker's own, with windows in it: from the costume file to the printed page."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
import shapely
import trimesh
from click.testing import CliRunner

from layfigure.cli.main import layfigure

COSTUME = """
format = 1
name = "Tin Owl"
edition = 1
note = "Invented: an owl of tin that keeps a lighthouse."

[edges.brow_line]
words = "60 % from crown to brow, from 14 % to 30 % round"

[rows.lamp]
along = "brow_line"
shape = "circle"
count = 1
size = "24 mm"
width = "100 %"

[[pieces]]
slug = "owl_head"
label = "Owl head"
kind = "shell"
cloth = "lacquer_foam"
windows = ["lamp"]
backing = "lamp_mesh"
layer = 2
trace = { file = "meshes/owl.obj" }
options = { shape = "mesh", unit = "mm", up = "z", on = "over_head", fit = "head", hair = "10 mm" }
"""

MATERIALS = """
format = 1

[materials.lacquer_foam]
like = "eva_foam_5mm"
name = "lacquered foam"
source = "invented"

[materials.lamp_mesh]
like = "power_mesh"
name = "lamp mesh"
source = "invented"
"""


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("costumes") / "owl"
    patch = pytest.MonkeyPatch()
    patch.setenv("LAYFIGURE_CACHE", str(tmp_path_factory.getbasetemp() / "cache"))
    run = CliRunner().invoke
    assert run(layfigure, ["new", str(folder)]).exit_code == 0
    (folder / "costume.toml").write_text(COSTUME, encoding="utf-8")
    (folder / "materials.toml").write_text(MATERIALS, encoding="utf-8")
    (folder / "meshes").mkdir()
    # The upper half of an egg, open below.
    ball = trimesh.creation.icosphere(subdivisions=3, radius=1.0)
    egg = trimesh.Trimesh(np.array(ball.vertices) * (126.0, 147.0, 168.0), ball.faces)
    half = egg.slice_plane([0.0, 0.0, -20.0], [0.0, 0.0, 1.0])
    half.export(folder / "meshes" / "owl.obj")
    told = run(layfigure, ["make", str(folder), "--paper", "a4"])
    patch.undo()
    assert told.exit_code == 0, told.output
    return folder / "out"


def test_the_window_is_in_one_piece_of_the_helm_as_large_as_it_was_said(made: Path) -> None:
    pieces = json.loads((made / "pieces.json").read_text(encoding="utf-8"))["pieces"]
    windows = [(piece, window) for piece in pieces for window in piece.get("windows", [])]
    assert len(windows) == 1
    piece, window = windows[0]
    assert piece["slug"].startswith("owl_head")
    shape = shapely.Polygon(window["curve"])
    # A circle of 24 mm, on the inside of its edge rounded by nothing.
    assert shape.area == pytest.approx(np.pi * 12.0**2, rel=0.01)
    behind = [other for other in pieces if other["cloth"] == "lamp_mesh"]
    assert len(behind) == 1


def test_the_printed_page_shows_it(made: Path) -> None:
    assert (made / "pattern-a4.pdf").read_bytes().startswith(b"%PDF-")
    drawn = (made / "pieces.svg").read_text(encoding="utf-8")
    assert 'data-window="lamp_1"' in drawn
