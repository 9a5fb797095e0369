"""Windows in what hangs: circulars by angle and radius, panels by height and width, pouches as seen."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from hanging_bodies import line_at, station_at, turned_body
from window_requests import HIDE, cut, draft, motifs, size_of

from layfigure.body.form import Form
from layfigure.draft.circular.kind import KIND as CIRCULAR
from layfigure.draft.hanging.kind import KIND as HANGING
from layfigure.draft.pouch.kind import KIND as POUCH
from layfigure.draft.registry import DraftResult
from layfigure.errors import DraftError
from layfigure.geometry.polyline import points_at

TOP, RADIUS = 1050.0, 160.0
SKIRT = {"length": "500 mm", "panels": 4, "ease": "0 mm", "window_edge": "bound"}


@pytest.fixture(scope="module")
def column() -> Form:
    """A round column: cloth falls straight down it."""
    return turned_body([(1200.0, RADIUS), (300.0, RADIUS)])


def spot(form: Form, height: float, way: float, size: float = 40.0) -> dict:
    station = station_at(form, height)
    return motifs(
        form, "torso", [(station - 0.02, way), (station + 0.02, way)], size=size, shape="circle", width=1.0
    )


def top(form: Form) -> dict:
    return {"top": line_at(form, "w", TOP)}


@pytest.mark.parametrize(("height", "way"), [(900.0, 0.1), (750.0, 0.4), (640.0, 0.63)])
def test_a_window_in_a_circular_skirt_lies_by_angle_and_radius(
    column: Form, height: float, way: float
) -> None:
    # A half circle: the top edge of length w lies on a radius w / pi, and the whole spans half a turn.
    # Opening at the back, a place at a way round lies at way + 1/2 of the top edge (mod 1), as far down
    # as it hangs.
    result = draft(CIRCULAR, column, top(column), spot(column, height, way), SKIRT)
    piece, shape = cut(result, "eye_1")
    along = (way + 0.5) % 1.0
    number = int(along * 4)
    assert piece.slug == f"thing_{number + 1}"
    girth = 2.0 * math.pi * RADIUS
    radius, angle = girth / math.pi + TOP - height, (along - (number + 0.5) / 4) * math.pi
    expected = (radius * math.sin(angle), -radius * math.cos(angle))
    assert np.array(shape.centroid.coords[0]) == pytest.approx(expected, abs=0.8)
    assert size_of(shape) == pytest.approx(40.0, rel=2e-3)


@pytest.fixture(scope="module")
def crossing(column: Form) -> DraftResult:
    return draft(
        CIRCULAR, column, top(column), spot(column, 800.0, 0.25, 60.0), SKIRT | {"across_seams": True}
    )


def test_a_window_over_the_seam_of_two_panels_meets_there(column: Form, crossing: DraftResult) -> None:
    with pytest.raises(DraftError, match="crosses the seam between thing 3 and thing 4"):
        draft(CIRCULAR, column, top(column), spot(column, 800.0, 0.25, 60.0), SKIRT)
    parts = [
        piece for piece in crossing.pieces if any(line.label.startswith("eye 1: cut") for line in piece.lines)
    ]
    assert [piece.slug for piece in parts] == ["thing_3", "thing_4"]
    ends = []
    for piece in parts:
        (line,) = [each.curve for each in piece.lines if each.label.startswith("eye 1: cut")]
        edge = next(edge for edge in piece.edges if edge.seam == "thing_seam_3")
        notches = {
            n.name: points_at(edge.curve, [n.distance])[0] for n in edge.notches if n.name.startswith("eye")
        }
        assert len(notches) == 2
        assert min(np.linalg.norm(line[0] - place) for place in notches.values()) < 1e-6
        ends.append(
            {
                n.name: edge.length - n.distance if edge.against else n.distance
                for n in edge.notches
                if n.name.startswith("eye")
            }
        )
    assert ends[0] == pytest.approx(ends[1], abs=0.05)
    assert abs(ends[0]["eye 1 1"] - ends[0]["eye 1 2"]) == pytest.approx(60.0, abs=1.5)


def test_a_net_over_a_straight_seam_is_one_piece_with_the_windows_own_edge(
    column: Form, crossing: DraftResult
) -> None:
    result = draft(
        CIRCULAR, column, top(column), spot(column, 800.0, 0.25, 60.0),
        SKIRT | {"across_seams": True, "backing_as": "inset"}, backing="net",
    )  # fmt: skip
    (inset,) = [piece for piece in result.pieces if piece.cloth == "net"]
    lines = [
        line.curve for piece in crossing.pieces for line in piece.lines if line.label.startswith("eye 1: cut")
    ]
    edge = sum(float(np.linalg.norm(np.diff(line, axis=0), axis=1).sum()) for line in lines)
    assert sum(part.length for part in inset.edges) == pytest.approx(edge, abs=0.05)
    assert "over the seam in one piece" in " ".join(inset.note)
    backed = draft(
        CIRCULAR, column, top(column), spot(column, 800.0, 0.25, 60.0), SKIRT | {"across_seams": True},
        backing="net",
    )  # fmt: skip
    behind = [piece for piece in backed.pieces if piece.cloth == "net"]
    seams = [edge.seam for piece in behind for edge in piece.edges if edge.seam and "seam_3" in edge.seam]
    assert seams == ["thing_seam_3:backing"] * 2


def test_a_closed_net_of_one_panel_refuses_a_window_at_its_opening(column: Form) -> None:
    with pytest.raises(DraftError, match=r"runs off its piece|crosses the seam"):
        draft(CIRCULAR, column, top(column), spot(column, 800.0, 0.5, 60.0), SKIRT | {"panels": 1})


def test_a_panel_has_its_window_at_its_height_and_its_way_from_the_middle(column: Form) -> None:
    edges = {"top": line_at(column, "t", TOP, start=-0.12, end=0.12)}
    where = spot(column, 900.0, 0.05)
    piece, shape = cut(
        draft(HANGING, column, edges, where, {"length": "500 mm", "window_edge": "bound"}), "eye_1"
    )
    assert shape.centroid.x == pytest.approx(0.05 * 2.0 * math.pi * RADIUS, abs=0.5)
    assert shape.centroid.y == pytest.approx(900.0 - TOP, abs=0.5)
    lined = draft(HANGING, column, edges, where, {"length": "500 mm"}, cloths={"lining": "wool"})
    lining = next(each for each in lined.pieces if each.slug == "thing_lining")
    (drawn,) = [line for line in lining.lines if line.kind == "trim"]
    # The lining faces the other way: what lies to the right outside lies to the left on it.
    assert shapely.Polygon(drawn.curve).centroid.x == pytest.approx(-shape.centroid.x, abs=1e-6)
    assert piece.slug == "thing"


def test_a_woven_window_is_faced_and_one_facing_serves_a_close_row(column: Form) -> None:
    edges = {"top": line_at(column, "t", TOP, start=-0.12, end=0.12)}
    stations = station_at(column, 960.0), station_at(column, 700.0)
    row = motifs(
        column, "torso", [(s, 0.0) for s in stations], size=60.0, count=3, shape="diamond", width=0.8
    )
    result = draft(HANGING, column, edges, row, {"length": "500 mm"})
    facings = [piece for piece in result.pieces if "window_facing" in piece.slug]
    assert len(facings) == 1
    piece = next(each for each in result.pieces if each.slug == "thing")
    for name in row:
        (window,) = [each for each in piece.windows if each.slug == name]
        (stitch,) = [line for line in piece.lines if line.label == f"{name.replace('_', ' ')}: stitch line"]
        gap = shapely.Polygon(stitch.curve).exterior.distance(shapely.Polygon(window.curve))
        assert gap == pytest.approx(6.0, abs=0.05)
        held = shapely.Polygon(facings[0].stitch_line)
        assert held.exterior.distance(shapely.Polygon(stitch.curve)) >= 34.9
    # A slit to each of the four corners of every diamond.
    assert [line.kind for line in piece.lines].count("slit") == 4 * 3


def test_windows_that_hang_from_nothing_or_close_over_are_refused(column: Form) -> None:
    where = spot(column, 900.0, 0.0)
    with pytest.raises(DraftError, match="hangs from no line on the body"):
        draft(HANGING, column, {}, where, {"length": "500 mm", "width": "300 mm"})
    with pytest.raises(DraftError, match=r"runs off its piece|lies on none|is left between"):
        draft(
            HANGING,
            column,
            {"top": line_at(column, "t", TOP, start=-0.03, end=0.03)},
            where,
            {"length": "500 mm"},
        )
    unused = CIRCULAR.unused
    assert unused is not None
    for options in ({"pleats": "box"}, {"gather": 2.0}, {"top_finish": "elastic", "passes_over": "900 mm"}):
        asked = CIRCULAR.options.model_validate(options)
        assert "windows" in unused(None, asked)  # type: ignore[arg-type]


def test_a_pouch_has_its_window_where_it_covers_the_body(column: Form) -> None:
    edges = {"line": line_at(column, "l", 900.0)}
    options = {
        "inside_width": "160 mm", "inside_height": "200 mm", "inside_depth": "30 mm", "at": "left",
        "flap": "20 %", "belt_width": "40 mm",
    }  # fmt: skip
    result = draft(POUCH, column, edges, spot(column, 820.0, 0.25), options, cloth=HIDE)
    piece, shape = cut(result, "eye_1")
    assert piece.slug == "thing_front"
    width = piece.edge("bottom").length
    tall = piece.edge("right").length
    # Of its loops 5 mm are left free and 20 sewn down, and half of 40 + 2 x 4 + 6 is above the line: the top
    # is 52 mm above it, and the window's middle 80 mm below.
    assert shape.centroid.x == pytest.approx(0.5 * width, abs=0.3)
    assert shape.centroid.y == pytest.approx(tall - 132.0, abs=0.6)
    with pytest.raises(DraftError, match="what the flap covers"):
        draft(POUCH, column, edges, spot(column, 880.0, 0.25), options | {"flap": "50 %"}, cloth=HIDE)
