"""Rows of motifs along an edge: shapes, sizes as a tape reads them, spacing, drawings."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import shapely

from layfigure.body.form import Form
from layfigure.body.shape import form_of
from layfigure.body.template import load_template
from layfigure.design.costume import Costume, design_of
from layfigure.design.costume_file import costume_from_toml, parse_costume, read_costume
from layfigure.design.motif import named_shape
from layfigure.errors import FileError, PlacementError
from layfigure.files.toml import parse_toml
from layfigure.place.place import place_design
from layfigure.place.placement import Placement


@pytest.fixture(scope="module")
def form() -> Form:
    template = load_template()
    return form_of(template, template.presets["woman"], wearer="A")


def text(row: str, *, edge: str = 'words = "along the outside from hip to knee"\nside = "left"') -> str:
    return f"""format = 1
name = "Test"
[edges.stripe]
{edge}
[rows.spots]
along = "stripe"
{row}
[[pieces]]
slug = "suit"
kind = "knit"
cloth = "knit"
windows = ["spots"]
"""


def placed(costume: Costume, form: Form) -> Placement:
    design = design_of(costume, marked={}, charts=form.charts, level_heights=form.level_heights)
    return place_design(design, form)


def heights(placement: Placement, count: int) -> tuple[np.ndarray, np.ndarray]:
    """Height of every spot's middle above the floor, and its length from top to bottom [mm]."""
    lines = [placement.edges[f"spots_{k + 1}"].line for k in range(count)]
    ends = [(line[line[:, 2].argmax()], line[line[:, 2].argmin()]) for line in lines]
    return (
        np.array([0.5 * (top[2] + bottom[2]) for top, bottom in ends]),
        np.array([np.linalg.norm(top - bottom) for top, bottom in ends]),
    )


def test_sizes_change_along_the_row_and_a_piece_gets_every_motif(form: Form) -> None:
    costume = parse_costume(
        text('shape = "circle"\nwidth = "100 %"\ncount = 5\nsize = "40 mm"\nsize_end = "20 mm"')
    )
    assert costume.pieces[0].windows == tuple(f"spots_{k}" for k in range(1, 6))
    placement = placed(costume, form)
    middles, extents = heights(placement, 5)
    assert extents == pytest.approx(np.linspace(40.0, 20.0, 5), rel=0.06)
    assert np.diff(middles) == pytest.approx(np.full(4, np.diff(middles).mean()), rel=0.03)
    for k in range(5):
        edge = placement.edges[f"spots_{k + 1}"]
        assert edge.edge.closed
        width = np.linalg.norm(edge.line.max(axis=0) - edge.line.min(axis=0))
        assert width >= extents[k]


def test_even_gaps_leave_the_same_cloth_between_unlike_motifs(form: Form) -> None:
    row = 'shape = "lens"\ncount = 4\nsize = "70 mm"\nsize_end = "20 mm"\nspacing = "gaps"'
    middles, extents = heights(placed(parse_costume(text(row)), form), 4)
    gaps = -np.diff(middles) - 0.5 * (extents[1:] + extents[:-1])
    assert gaps == pytest.approx(np.full(3, gaps.mean()), rel=0.06)
    assert gaps.mean() > 20.0


def test_a_row_right_round_closes_evenly(form: Form) -> None:
    costume = parse_costume(
        text('shape = "diamond"\ncount = 8\nsize = "30 mm"', edge='words = "at the waist"')
    )
    placement = placed(costume, form)
    middles = np.array([placement.edges[f"spots_{k + 1}"].line.mean(axis=0) for k in range(8)])
    gaps = np.linalg.norm(np.roll(middles, -1, axis=0) - middles, axis=1)
    assert gaps.min() > 0.85 * gaps.max()
    corners = [sum(p.corner for p in placement.edges[f"spots_{k + 1}"].edge.points) for k in range(8)]
    assert corners == [4] * 8


def test_motifs_that_follow_a_level_line_lie_on_their_side(form: Form) -> None:
    row = 'shape = "slot"\nwidth = "20 %"\ncount = 3\nsize = "60 mm"\nfirst = "10 %"\nlast = "40 %"'
    edge = 'words = "at the waist"'
    for follow, upright in (("", True), ("\nfollow = true", False)):
        line = placed(parse_costume(text(row + follow, edge=edge)), form).edges["spots_2"].line
        tall = float(np.ptp(line[:, 2]))
        assert (tall > 50.0) == upright
        # It is 60 mm long and 12 wide; how far the waist falls along it is the body's.
        assert (tall < 25.0) != upright


def test_both_sides_get_mirrored_rows(form: Form) -> None:
    edge = 'words = "along the outside from hip to knee"\nside = "both"'
    costume = parse_costume(text('shape = "drop"\ncount = 2\nsize = "50 mm"\nturn = "30 deg"', edge=edge))
    assert costume.pieces[0].windows == (
        "spots_left_1", "spots_left_2", "spots_right_1", "spots_right_2",
    )  # fmt: skip
    placement = placed(costume, form)
    left, right = (placement.edges[f"spots_{side}_1"].line for side in ("left", "right"))
    assert (
        shapely.Polygon(left[:, [0, 2]] * (-1.0, 1.0)).hausdorff_distance(shapely.Polygon(right[:, [0, 2]]))
        < 2.0
    )


def test_a_drawn_motif_keeps_its_corners_and_its_shape(form: Form, tmp_path: Path) -> None:
    (tmp_path / "motifs").mkdir()
    (tmp_path / "motifs/arrow.svg").write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" width="40mm" height="80mm" viewBox="0 0 40 80">'
        '<path d="M20 0 L40 40 L26 40 L26 80 L14 80 L14 40 L0 40 Z"/></svg>'
    )
    (tmp_path / "costume.toml").write_text(text('file = "motifs/arrow.svg"\nsize = "80 mm"'))
    costume = read_costume(tmp_path)
    placement = placed(costume, form)
    spot = placement.edges["spots_1"]
    assert sum(point.corner for point in spot.edge.points) == 7
    assert np.ptp(spot.line[:, 2]) == pytest.approx(80.0, rel=0.05)
    top = spot.line[:, 2].argmax()
    # The tip points up: the highest point is one, the lowest a whole side.
    assert (spot.line[:, 2] > spot.line[top, 2] - 1.0).sum() < (
        spot.line[:, 2] < spot.line[:, 2].min() + 1.0
    ).sum()


@pytest.mark.parametrize(
    ("row", "told"),
    [
        ('count = 3\nsize = "4 cm"', "needs a shape or a file"),
        ('shape = "star"\nsize = "4 cm"', "shape"),
        ('shape = "lens"\nsize = "4"', "has no unit"),
        ('file = "../star.svg"\nsize = "4 cm"', "outside its folder"),
    ],
)
def test_rows_that_cannot_be_read_are_refused(row: str, told: str) -> None:
    with pytest.raises(FileError, match=told):
        parse_costume(text(row))


def test_a_row_along_an_unknown_edge_is_refused_with_the_nearest() -> None:
    with pytest.raises(FileError, match="Did you mean 'stripe'"):
        parse_costume(text('shape = "lens"\nsize = "4 cm"').replace('along = "stripe"', 'along = "strip"'))


def test_more_motifs_than_fit_are_refused(form: Form) -> None:
    costume = parse_costume(text('shape = "lens"\ncount = 40\nsize = "60 mm"'))
    with pytest.raises(PlacementError, match="40 motifs of that size do not fit along 'stripe'"):
        placed(costume, form)


@pytest.mark.parametrize("name", ["ellipse", "lens", "diamond", "drop", "slot"])
def test_named_shapes_are_simple_and_fill_their_size(name: str) -> None:
    shape = named_shape(name, 0.4)  # type: ignore[arg-type]
    outline = shapely.LinearRing(shape.outline)
    assert outline.is_simple
    assert outline.is_ccw
    low_x, low_y, high_x, high_y = outline.bounds
    assert high_y - low_y == pytest.approx(1.0, abs=1e-6)
    assert high_x - low_x == pytest.approx(0.4, rel=0.12)


@pytest.mark.parametrize("width", ["", 'width = "100 %"'])
def test_a_circle_is_round_at_every_size_of_its_row(form: Form, width: str) -> None:
    costume = parse_costume(text(f'shape = "circle"\ncount = 3\nsize = "14 mm"\nsize_end = "8 mm"\n{width}'))
    (spots,) = costume.rows.values()
    assert np.hypot(*np.array(spots.shape.outline).T) == pytest.approx(np.full(32, 0.5))
    placement = placed(costume, form)
    for k, size in enumerate((14.0, 11.0, 8.0)):
        line = placement.edges[f"spots_{k + 1}"].line
        across = 2.0 * np.linalg.norm(line - 0.5 * (line.min(axis=0) + line.max(axis=0)), axis=1)
        assert across == pytest.approx(np.full(len(line), size), rel=0.03)


def test_a_circle_with_another_width_is_refused_and_an_ellipse_has_one() -> None:
    row = 'count = 1\nsize = "40 mm"\nwidth = "60 %"'
    with pytest.raises(FileError, match="a circle is as wide as it is tall") as refused:
        parse_costume(text(f'shape = "circle"\n{row}'))
    assert 'shape = "ellipse"' in refused.value.advice
    (spots,) = parse_costume(text(f'shape = "ellipse"\n{row}')).rows.values()
    assert np.ptp(np.array(spots.shape.outline), axis=0) == pytest.approx([0.6, 1.0])
    (usual,) = parse_costume(text('shape = "lens"\ncount = 1\nsize = "40 mm"')).rows.values()
    assert np.ptp(np.array(usual.shape.outline), axis=0) == pytest.approx([0.5, 1.0], abs=0.01)


def test_the_width_of_a_drawn_motif_is_refused(tmp_path: Path) -> None:
    row = 'file = "star.svg"\ncount = 1\nsize = "40 mm"\nwidth = "60 %"'
    with pytest.raises(FileError, match="as wide as it is drawn"):
        costume_from_toml(parse_toml(text(row), name="costume.toml"), folder=tmp_path)
