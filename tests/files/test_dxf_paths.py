"""Outlines read from DXF: drawings made with ezdxf, and our own exported pieces."""

from pathlib import Path

import ezdxf
import numpy as np
import pytest
from shapely import Polygon
from tests.sample_pieces import frustum_guard

from layfigure.drawing.dxf import dxf_of
from layfigure.errors import FileError
from layfigure.files.dxf_paths import read_dxf
from layfigure.piece.draw import Heading


def test_lines_arcs_and_blocks_come_out_in_millimetres(tmp_path: Path) -> None:
    drawing = ezdxf.new("R2010")
    drawing.header["$INSUNITS"] = 5
    space = drawing.modelspace()
    space.add_lwpolyline([(0, 0), (10, 0), (10, 5), (0, 5)], close=True, dxfattribs={"layer": "14"})
    space.add_circle((20, 0), 3)
    block = drawing.blocks.new("CUFF")
    block.add_line((0, 0), (2, 0))
    space.add_blockref("CUFF", (5, 5))
    drawing.saveas(tmp_path / "a.dxf")
    rectangle, circle, line = read_dxf(tmp_path / "a.dxf")
    assert rectangle.closed
    assert rectangle.groups[-1] == "14"
    assert Polygon(rectangle.points).area == pytest.approx(5000.0)
    assert len(rectangle.nodes) == 4
    assert np.hypot(*(circle.points - (200.0, 0.0)).T) == pytest.approx(30.0, abs=0.02)
    assert line.name == "CUFF"
    assert line.points == pytest.approx(np.array([[50.0, 50.0], [70.0, 50.0]]))


def test_our_own_export_comes_back(tmp_path: Path) -> None:
    piece = frustum_guard()
    (tmp_path / "pieces.dxf").write_text(dxf_of([piece], Heading(costume="x")), encoding="utf-8")
    found = read_dxf(tmp_path / "pieces.dxf")
    sewn = [path for path in found if path.groups[-1] == "14"]
    assert sum(len(path.points) for path in sewn) > 8
    areas = [Polygon(path.points).area for path in found if path.closed and len(path.points) > 3]
    assert max(areas) > Polygon(piece.stitch_line).area


@pytest.mark.parametrize("text", ["", "hello", "0\nSECTION\n"])
def test_what_is_no_drawing_is_explained(tmp_path: Path, text: str) -> None:
    (tmp_path / "a.dxf").write_text(text)
    with pytest.raises(FileError) as told:
        read_dxf(tmp_path / "a.dxf")
    assert told.value.where == "a.dxf"
    assert told.value.advice


def test_an_unknown_unit_is_refused(tmp_path: Path) -> None:
    drawing = ezdxf.new("R2010")
    drawing.header["$INSUNITS"] = 7
    drawing.modelspace().add_line((0, 0), (1, 0))
    drawing.saveas(tmp_path / "a.dxf")
    with pytest.raises(FileError, match="unit"):
        read_dxf(tmp_path / "a.dxf")
