"""Outlines read from SVG, held against another reader (svgpathtools) and exact shapes."""

import math
from pathlib import Path

import numpy as np
import pytest
import svgpathtools
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import LinearRing, Point, Polygon

from layfigure.errors import FileError, FileSyntaxError
from layfigure.files.svg_paths import FLATNESS, path_data, read_svg, svg_paths

SHEET = '<svg xmlns="http://www.w3.org/2000/svg" width="{w}" height="{h}" viewBox="{box}">{inside}</svg>'


def sheet(inside: str, *, w: str = "100mm", h: str = "100mm", box: str = "0 0 100 100") -> str:
    return SHEET.format(inside=inside, w=w, h=h, box=box)


def test_a_rectangle_keeps_its_size_in_millimetres_and_stands_upright() -> None:
    (path,) = svg_paths(sheet('<rect id="card" x="10" y="20" width="30" height="40"/>'), name="x")
    assert path.name == "card"
    assert path.closed
    assert Polygon(path.points).area == pytest.approx(1200.0, rel=1e-5)
    assert path.points.min(axis=0) == pytest.approx([10.0, -60.0], rel=1e-5)
    assert len(path.nodes) == len(path.points) == 4


@pytest.mark.parametrize(
    ("width", "box", "side"),
    # CSS Values and Units 3: 1 in = 96 px = 72 pt = 6 pc = 2.54 cm.
    [
        ("96px", "0 0 96 96", 25.4),
        ("96", "0 0 96 96", 25.4),
        ("1in", "0 0 10 10", 25.4),
        ("72pt", "0 0 1 1", 25.4),
        ("6pc", "0 0 1 1", 25.4),
        ("10cm", "0 0 50 50", 100.0),
    ],
)
def test_units_are_those_of_css(width: str, box: str, side: float) -> None:
    whole = float(box.split()[-1])
    text = sheet(f'<rect x="0" y="0" width="{whole}" height="{whole}"/>', w=width, h=width, box=box)
    (path,) = svg_paths(text, name="x")
    assert np.ptp(path.points, axis=0) == pytest.approx([side, side], rel=1e-6)


def test_transforms_and_groups_are_followed() -> None:
    inside = (
        '<g id="front" transform="translate(50 50) rotate(90)"><g id="inner">'
        '<line id="grain" x1="0" y1="0" x2="10" y2="0"/></g></g>'
    )
    (path,) = svg_paths(sheet(inside), name="x")
    assert path.groups == ("front", "inner")
    assert not path.closed
    assert path.points == pytest.approx(np.array([[50.0, -50.0], [50.0, -60.0]]))


def test_what_is_hidden_or_only_defined_is_passed_over() -> None:
    inside = '<defs><circle id="d" r="5"/></defs><circle r="4" display="none"/><circle id="seen" r="3"/>'
    assert [path.name for path in svg_paths(sheet(inside), name="x")] == ["seen"]


@given(radius=st.floats(0.5, 400.0))
@settings(max_examples=25, deadline=None)
def test_a_circle_is_flattened_to_its_tolerance(radius: float) -> None:
    (path,) = svg_paths(sheet(f'<circle cx="0" cy="0" r="{radius}"/>', w="100mm", h="100mm"), name="x")
    off = np.abs(np.hypot(*path.points.T) - radius)
    middle = 0.5 * (path.points + np.roll(path.points, -1, axis=0))
    assert off.max() < 1e-6 * radius + 1e-9
    assert (radius - np.hypot(*middle.T)).max() <= FLATNESS * 1.001


CURVES = (
    "M10 10 C20 90 80 -40 90 60 S 60 99 40 80 Q 20 60 12 40 T 10 10 Z",
    "M5 5 h40 v20 a15 10 30 1 0 20 25 L5,60z m70 0 l10 10-10 10z",
    "M1.5.5.5-3e0 L4 4 A5 5 0 0114 9",
)


@pytest.mark.parametrize("d", CURVES)
def test_curves_lie_where_another_reader_has_them(d: str) -> None:
    """svgpathtools 1.x reads the same data independently."""
    runs = path_data(d, where="x")
    reference = svgpathtools.parse_path(d)
    ours = [LinearRing(run.points) if run.closed else Polygon() for run in runs]
    for segment in reference:
        for t in np.linspace(0.0, 1.0, 21):
            place = segment.point(t)
            near = min(
                line.distance(Point(place.real, -place.imag)) if not line.is_empty else math.inf
                for line in ours
            )
            if near == math.inf:
                continue
            assert near <= FLATNESS * 1.01
    if all(run.closed for run in runs):
        whole = sum(ring.length for ring in ours)
        assert whole == pytest.approx(reference.length(), rel=1e-3)


def test_nodes_mark_where_the_drawing_itself_turns() -> None:
    (run,) = path_data("M0 0 L10 0 C10 5 5 10 0 10 Z", where="x")
    assert run.points[run.nodes] == pytest.approx(np.array([[0.0, 0.0], [10.0, 0.0], [0.0, -10.0]]))


def test_a_line_that_ends_where_it_began_is_closed() -> None:
    (run,) = path_data("M0 0 L10 0 L10 10 L0 0", where="x")
    assert run.closed
    assert len(run.points) == 3


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "no SVG"),
        ("<svg", "no SVG"),
        ("hello", "no SVG"),
        (sheet(""), "no outline"),
        (sheet("<text x='1' y='1'>a</text>"), "no outline"),
        ('<!DOCTYPE svg [<!ENTITY a "b">]>' + sheet("<rect width='1' height='1'/>"), "entities"),
    ],
)
def test_a_drawing_that_cannot_be_used_is_explained(text: str, said: str) -> None:
    with pytest.raises(FileError, match=said) as told:
        svg_paths(text, name="hem.svg")
    assert told.value.where == "hem.svg"
    assert told.value.advice


@pytest.mark.parametrize("d", ["", "M", "hello", "M0 0", "M 1 2 L x"])
def test_a_typed_path_that_draws_nothing_is_refused(d: str) -> None:
    with pytest.raises(FileSyntaxError, match="SVG path"):
        path_data(d, where="costume.toml:3")


def test_a_file_that_is_not_there_is_named(tmp_path: Path) -> None:
    with pytest.raises(FileError, match="cannot be read"):
        read_svg(tmp_path / "gone.svg")
