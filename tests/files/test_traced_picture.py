"""An outline traced on a picture: a pinhole camera (exact projection) is undone by the sheet beside it."""

import json
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray
from shapely import LinearRing, Point, Polygon

from layfigure.errors import FileError
from layfigure.files.traced_picture import read_traced_picture

Points = NDArray[np.float64]
CORNERS = np.array([[0.0, 297.0], [210.0, 297.0], [210.0, 0.0], [0.0, 0.0]])


def photographed(places: Points) -> Points:
    """Places on a table [mm] as a tilted pinhole camera sees them [pixels, y down]."""
    tilt, turn = np.radians(35.0), np.radians(20.0)
    about_x = np.array([[1, 0, 0], [0, np.cos(tilt), -np.sin(tilt)], [0, np.sin(tilt), np.cos(tilt)]])
    about_z = np.array([[np.cos(turn), -np.sin(turn), 0], [np.sin(turn), np.cos(turn), 0], [0, 0, 1]])
    space = np.column_stack([places - (150.0, 150.0), np.zeros(len(places))]) @ (about_x @ about_z).T
    depth = 900.0 - space[:, 2]
    return np.column_stack([2000.0 + 3000.0 * space[:, 0] / depth, 1500.0 - 3000.0 * space[:, 1] / depth])


def trace(line: Points, **changed: Any) -> dict[str, Any]:
    sheet = {"width": "210 mm", "height": "297 mm", "corners": photographed(CORNERS).tolist()}
    lines = [{"name": "cuff", "points": photographed(line).tolist(), **changed}]
    return {"format": 1, "sheet": sheet, "lines": lines}


def saved(folder: Path, data: Any) -> Path:
    (folder / "cuff.json").write_text(json.dumps(data))
    return folder / "cuff.json"


def test_the_slant_of_the_camera_is_taken_out(tmp_path: Path) -> None:
    corners = np.array([[220.0, 0.0], [320.0, 0.0], [320.0, 80.0], [220.0, 80.0]])
    (path,) = read_traced_picture(saved(tmp_path, trace(corners, corners=[0, 1, 2, 3])))
    assert Polygon(path.points).area == pytest.approx(8000.0, rel=1e-9)
    assert path.points[path.nodes] == pytest.approx(corners, abs=1e-6)


def test_points_round_a_circle_become_a_smooth_circle(tmp_path: Path) -> None:
    t = np.arange(16) / 16 * 2 * np.pi
    ring = np.column_stack([270 + 60 * np.cos(t), 100 + 60 * np.sin(t)])
    (path,) = read_traced_picture(saved(tmp_path, trace(ring)))
    radius = np.hypot(*(path.points - (270.0, 100.0)).T)
    assert np.abs(radius - 60.0).max() < 0.05


def test_a_line_stays_sharp_only_where_said(tmp_path: Path) -> None:
    half = np.column_stack([np.linspace(220, 320, 9), 50 + 30 * np.sin(np.linspace(0, np.pi, 9))])
    (path,) = read_traced_picture(saved(tmp_path, trace(half, corners=[8, 0])))
    assert len(path.nodes) == 2
    x = path.points[:, 0]
    truth = LinearRing(
        np.column_stack(
            [np.linspace(220, 320, 400), 50 + 30 * np.sin((np.linspace(220, 320, 400) - 220) / 100 * np.pi)]
        )
    )
    assert max(truth.distance(Point(p)) for p in path.points) < 0.2
    assert x.min() == pytest.approx(220.0)
    assert x.max() == pytest.approx(320.0)


def test_a_known_length_checks_the_picture(tmp_path: Path) -> None:
    line = np.array([[220.0, 0.0], [320.0, 0.0], [320.0, 80.0]])
    data = trace(line)
    start, end = photographed(line[:2]).tolist()
    data["known"] = [{"start": start, "end": end, "length": "100.5 mm"}]
    read_traced_picture(saved(tmp_path, data))
    data["known"][0]["length"] = "95 mm"
    with pytest.raises(FileError, match=r"reads 5\.3% too long"):
        read_traced_picture(saved(tmp_path, data))


@pytest.mark.parametrize(
    ("break_it", "said"),
    [
        (lambda data: data["sheet"]["corners"].__setitem__(2, data["sheet"]["corners"][0]), "four corners"),
        (lambda data: data["lines"][0].update(corners=[9]), "corner beyond"),
        (lambda data: data["lines"][0].update(points=[[0, 0], [1, 1]]), "fewer than three"),
        (lambda data: data["sheet"].update(width=210), "width"),
        (lambda data: data.update(format=2), "format 2"),
        (lambda data: data.update(scale=2), "scale"),
    ],
)
def test_what_cannot_be_right_is_explained(tmp_path: Path, break_it: Any, said: str) -> None:
    data = trace(np.array([[220.0, 0.0], [320.0, 0.0], [320.0, 80.0]]))
    break_it(data)
    with pytest.raises(FileError, match=said):
        read_traced_picture(saved(tmp_path, data))
