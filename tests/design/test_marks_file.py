"""Marks read as made, refused where they make no sense, and written back unchanged."""

import json
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image

from layfigure.design.mark_names import LANDMARK_NAMES
from layfigure.design.marks_file import marks_text, parse_marks, read_marks
from layfigure.errors import (
    FileError,
    FileSyntaxError,
    FileVersionError,
    LayfigureError,
    MarkError,
    UnknownKeyError,
)
from layfigure.study.landmarks import LANDMARKS

FRONT: dict[str, Any] = {
    "name": "front",
    "file": "references/front.png",
    "view": "front",
    "size": [400, 900],
    "landmarks": {"crown": [200, 20.5], "knee_left": [230, 640], "nape": None},
    "outlines": [{"region": "thigh_left", "points": [[260, 500], [262, 520]], "hidden": True}],
    "edges": {
        "thigh_band": [
            {"points": [[170, 600], [200, 605], [240, 600]], "corners": [1], "regions": ["thigh_left"]}
        ],
        "window": [{"points": [[1, 1], [20, 1], [10, 30]], "closed": True}],
    },
}


HERE = "marks.json, picture 'front': "


def with_front(**changes: Any) -> str:
    return json.dumps({"format": 1, "pictures": [FRONT | changes]})


def test_landmark_names_are_those_the_study_knows() -> None:
    assert set(LANDMARK_NAMES) == set(LANDMARKS)
    assert all(LANDMARK_NAMES.values())


def test_marks_are_read_as_made() -> None:
    marks = parse_marks(with_front())
    (front,) = marks.pictures
    assert (front.name, front.view, front.size, front.file) == (
        "front",
        "front",
        (400, 900),
        "references/front.png",
    )
    assert front.landmarks["crown"] == pytest.approx([200, 20.5])
    assert front.unseen == {"nape"}
    (outline,) = front.outlines
    assert (outline.region, outline.hidden) == ("thigh_left", True)
    assert outline.points.shape == (2, 2)
    band, window = front.edges
    assert (band.slug, band.regions, band.closed, band.corners) == ("thigh_band", ("thigh_left",), False, {1})
    assert (window.slug, window.closed) == ("window", True)
    assert marks.edge_slugs() == ("thigh_band", "window")


def test_marks_are_written_as_read() -> None:
    marks = parse_marks(
        json.dumps(
            {
                "format": 1,
                "pictures": [
                    FRONT,
                    {
                        "name": "three-quarter",
                        "view": "free",
                        "yaw": "35 deg",
                        "size": [9, 9],
                        "photograph": True,
                    },
                ],
            }
        )
    )
    again = parse_marks(marks_text(marks))
    assert marks_text(again) == marks_text(marks)
    assert again.pictures[1].yaw == 35.0
    assert all("," not in line.rstrip(",") or "]" in line for line in marks_text(again).splitlines())
    assert again.pictures[1].photograph
    for one, other in zip(marks.pictures, again.pictures, strict=True):
        assert one.landmarks.keys() == other.landmarks.keys()
        for name, place in one.landmarks.items():
            assert np.allclose(other.landmarks[name], place)


@pytest.mark.parametrize(
    ("text", "kind", "message"),
    [
        ("{", FileSyntaxError, "marks.json, line 1: this line cannot be read: "),
        ("[]", FileSyntaxError, "marks.json: the file is not an object in braces."),
        ('{"format": 2}', FileVersionError, "marks.json: the file is in format 2;"),
        ('{"format": 1, "pictures": []}', FileError, "marks.json: pictures "),
        (with_front(veiw="x"), UnknownKeyError, HERE + "key 'veiw' is unknown in pictures[0]. Did"),
        (with_front(view="top"), FileError, HERE + "pictures[0].view must be one of"),
        (
            with_front(landmarks={"kne_left": [1, 1]}),
            MarkError,
            HERE + "there is no landmark 'kne_left'. Did you mean 'knee_left'?",
        ),
        (
            with_front(landmarks={"crown": [401, 1]}),
            MarkError,
            HERE + "landmark crown has a mark at (401, 1), outside the picture (400 by 900 pixels).",
        ),
        (
            with_front(landmarks={"crown": [-1, 1]}),
            MarkError,
            HERE + "landmark crown has a mark at (-1, 1), outside",
        ),
        (with_front(landmarks={"crown": [float("nan"), 1]}), FileError, HERE + "pictures[0].landmarks.crown"),
        (with_front(landmarks={"crown": [1]}), FileError, HERE + "pictures[0].landmarks.crown"),
        (
            with_front(outlines=[{"region": "thigh", "points": [[1, 1]]}]),
            MarkError,
            HERE + "there is no region 'thigh'.",
        ),
        (
            with_front(outlines=[{"region": "torso", "points": []}]),
            FileError,
            HERE + "pictures[0].outlines[0].points",
        ),
        (
            with_front(edges={"band": [{"points": [[1, 1]], "corners": [1]}]}),
            MarkError,
            HERE + "edge band: corner 1 is not one of its 1 points.",
        ),
        (
            with_front(edges={"band": [{"points": [[1, 1], [2, 2]], "closed": True}]}),
            MarkError,
            HERE + "edge band is closed and has fewer",
        ),
        (with_front(edges={"Band!": []}), FileError, HERE + "pictures[0].edges.Band!"),
        (
            with_front(edges={"hand": [{"points": [[1, 1]]}]}),
            MarkError,
            HERE + "the costume has no edge 'hand'. Did you mean 'band'?",
        ),
        (with_front(yaw="20 deg"), MarkError, HERE + "yaw goes with a free view only."),
        (with_front(size=None), MarkError, HERE + "the picture is not there and its size"),
        (
            json.dumps({"format": 1, "pictures": [FRONT, FRONT]}),
            MarkError,
            "marks.json: two pictures are called 'front'.",
        ),
        ("[" * 100_000, FileSyntaxError, "marks.json: the file is nested far too deep."),
    ],
)
def test_bad_marks_say_where_and_what(text: str, kind: type[LayfigureError], message: str) -> None:
    with pytest.raises(kind) as caught:
        parse_marks(text, edges=("band", "thigh_band", "window"))
    assert str(caught.value).startswith(message)
    assert type(caught.value) is kind


def folder(tmp_path: Path, size: tuple[int, int] = (400, 900)) -> Path:
    (tmp_path / "references").mkdir()
    Image.new("RGB", size).save(tmp_path / "references/front.png")
    (tmp_path / "marks.json").write_text(with_front())
    return tmp_path / "marks.json"


def test_marks_are_held_against_their_picture(tmp_path: Path) -> None:
    path = folder(tmp_path)
    marks = read_marks(path)
    assert marks.missing == ()
    Image.new("RGB", (500, 900)).save(tmp_path / "references/front.png")
    with pytest.raises(MarkError, match=r"made on a picture of 400 by 900 pixels, and front\.png has 500"):
        read_marks(path)
    (tmp_path / "references/front.png").write_bytes(b"")
    with pytest.raises(FileError, match=r"front\.png: the picture cannot be opened"):
        read_marks(path)


def test_a_design_shared_without_its_photographs_still_reads(tmp_path: Path) -> None:
    path = folder(tmp_path)
    (tmp_path / "references/front.png").unlink()
    marks = read_marks(path)
    assert marks.missing == ("references/front.png",)
    assert marks.pictures[0].size == (400, 900)


def test_the_size_may_be_left_to_the_picture(tmp_path: Path) -> None:
    path = folder(tmp_path)
    path.write_text(with_front(size=None))
    assert read_marks(path).pictures[0].size == (400, 900)
