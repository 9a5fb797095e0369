"""Placement on bodies whose every length is known in closed form."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from layfigure.body.chart import ChartPoint, RegionChart
from layfigure.body.form import Form
from layfigure.design.design import Design, DesignEdge, EdgePoint
from layfigure.errors import PlacementError
from layfigure.geometry.mesh import TriangleMesh
from layfigure.place.curve import chart_curves
from layfigure.place.place import edge_spread, place_design, place_edge

THIGH_TOP, KNEE, RADIUS_TOP, RADIUS_KNEE, STATURE = 800.0, 460.0, 95.0, 60.0, 1650.0


def cone_thigh(scale: float = 1.0) -> RegionChart:
    """A left thigh as a cone frustum: front at -y, outward is +x."""
    stations = np.linspace(0.0, 1.0, 30)
    angle = np.linspace(0.0, 2.0 * np.pi, 360, endpoint=False)
    radius = RADIUS_TOP + (RADIUS_KNEE - RADIUS_TOP) * stations
    height = THIGH_TOP + (KNEE - THIGH_TOP) * stations
    sections = scale * np.stack(
        [
            radius[:, None] * np.sin(angle),
            -radius[:, None] * np.cos(angle),
            np.broadcast_to(height[:, None], (len(stations), len(angle))),
        ],
        axis=2,
    )
    return RegionChart(
        region="thigh_left", level_names=("crotch", "knee"), stations=stations, sections=sections
    )


def cone_form() -> Form:
    chart = cone_thigh()
    k, n, _ = chart.sections.shape
    index = np.arange(k * n).reshape(k, n)
    a, b = index[:-1], np.roll(index, -1, axis=1)[:-1]
    c, d = index[1:], np.roll(index, -1, axis=1)[1:]
    faces = np.concatenate([np.stack([a, c, b], 2).reshape(-1, 3), np.stack([b, c, d], 2).reshape(-1, 3)])
    mesh = TriangleMesh(chart.sections.reshape(-1, 3), faces)
    return Form(
        wearer="cone",
        standing=mesh,
        drafting=mesh,
        charts={"thigh_left": chart},
        drafting_charts={"thigh_left": chart},
        region_names=("thigh_left",),
        face_region=np.zeros(len(faces), dtype=np.int64),
        level_heights={"crotch": THIGH_TOP, "knee_left": KNEE},
        landmarks={"crown": np.array([0.0, 0.0, STATURE])},
        measures={},
        estimated=frozenset(),
        spreads={},
    )


FORM = cone_form()
FIGURE = {"thigh_left": cone_thigh(2.0)}


def band(station: float, **changes: object) -> DesignEdge:
    points = tuple(
        EdgePoint(at=ChartPoint(region="thigh_left", station=station, around=k / 8)) for k in range(8)
    )
    return replace(DesignEdge(slug="band", points=points, closed=True), **changes)


def readings(edge: DesignEdge) -> dict[str, float]:
    return {check.what: check.length for check in place_edge(edge, FORM).checks}


def test_a_level_band_reads_as_a_tape_would() -> None:
    found = readings(band(0.25))
    slant = float(np.hypot(THIGH_TOP - KNEE, RADIUS_TOP - RADIUS_KNEE))
    radius = 0.75 * RADIUS_TOP + 0.25 * RADIUS_KNEE
    assert found["round the body along the edge"] == pytest.approx(2 * np.pi * radius, rel=1e-4)
    for line in ("front", "outside", "back", "inside"):
        assert found[f"{line}: down from the crotch"] == pytest.approx(0.25 * slant, rel=1e-6)
    floor = next(value for what, value in found.items() if what.startswith("floor to the edge"))
    assert floor == pytest.approx(0.75 * THIGH_TOP + 0.25 * KNEE)


@given(st.floats(0.55, 0.95))
def test_distances_are_named_from_the_nearer_level(station: float) -> None:
    slant = float(np.hypot(THIGH_TOP - KNEE, RADIUS_TOP - RADIUS_KNEE))
    found = readings(band(station))
    up = found["front: up from the middle of the kneecap"]
    assert up == pytest.approx((1.0 - station) * slant, rel=1e-6)


def test_the_outside_is_outward_on_either_side() -> None:
    placed = place_edge(band(0.5), FORM)
    outside = placed.points[2]
    assert outside[0] > 0.0
    assert abs(outside[1]) < 1e-6


@given(st.floats(0.02, 0.23), st.floats(0.1, 0.9))
def test_a_point_is_found_round_from_the_front(around: float, station: float) -> None:
    assume(abs(around - 0.125) > 1e-6)  # halfway between two lines either may be named
    edge = DesignEdge(
        slug="line",
        points=(
            EdgePoint(at=ChartPoint(region="thigh_left", station=station, around=around)),
            EdgePoint(at=ChartPoint(region="thigh_left", station=0.95, around=0.0)),
        ),
    )
    radius = RADIUS_TOP + (RADIUS_KNEE - RADIUS_TOP) * station
    turn = around if around < 0.125 else 0.25 - around
    line = "front toward the outside" if around < 0.125 else "outside toward the front"
    found = readings(edge)[f"start of the edge: round from the {line}"]
    assert found == pytest.approx(2 * np.pi * radius * turn, rel=1e-3)


def test_scaling_by_height_is_shown_beside_on_a_figure_of_other_proportions() -> None:
    # The character is twice the size below the waist and three times as tall: her thigh marks, scaled by
    # height, land lower on the wearer than her own thighs say.
    head = RegionChart(
        region="head",
        level_names=("crown", "brow", "chin"),
        stations=np.array([0.0, 2.0]),
        sections=np.array([[[0.0, 0.0, 3 * STATURE]] * 3, [[0.0, 0.0, 2.6 * STATURE]] * 3]),
    )
    placed = place_edge(band(0.5), FORM, figure={**FIGURE, "head": head})
    assert placed.by_height is not None
    middle = 0.5 * (THIGH_TOP + KNEE)
    assert placed.points[:, 2] == pytest.approx(middle)
    assert placed.by_height[:, 2] == pytest.approx(max(2 * middle / 3, KNEE))


def test_the_same_skin_on_the_same_body_is_the_same_place() -> None:
    edge = band(0.37, meaning="anatomy")
    placed = place_edge(edge, FORM, skin=FORM)
    wanted = place_edge(band(0.37), FORM)
    assert placed.points == pytest.approx(wanted.points, abs=0.02)
    with pytest.raises(PlacementError, match="by anatomy"):
        place_edge(edge, FORM)


def test_spread_grows_with_a_guessed_level() -> None:
    point = EdgePoint(
        at=ChartPoint(region="thigh_left", station=1.0, around=0.0), spread_along=0.003, spread_around=0.004
    )
    assert edge_spread(point, FORM) == pytest.approx(0.005 * STATURE)
    guessed = replace(FORM, spreads={"knee_height": 12.0})
    assert edge_spread(point, guessed) == pytest.approx(np.hypot(0.005 * STATURE, 12.0))


def test_a_point_off_the_body_is_refused_with_its_edge_named() -> None:
    stray = DesignEdge(
        slug="hood_rim",
        points=tuple(EdgePoint(at=ChartPoint(region="head", station=s, around=0.0)) for s in (0.2, 0.5)),
    )
    with pytest.raises(PlacementError, match="edge hood_rim: there is no region 'head'"):
        place_design(Design(name="x", edition=1, edges={"hood_rim": stray}, pieces=()), FORM)
    beyond = band(2.5)
    with pytest.raises(PlacementError, match="neighbouring region"):
        place_edge(beyond, FORM)


def corner_points(*places: tuple[float, float], corner: int | None = None) -> tuple[EdgePoint, ...]:
    return tuple(
        EdgePoint(at=ChartPoint(region="thigh_left", station=s, around=a), corner=k == corner)
        for k, (s, a) in enumerate(places)
    )


def test_a_closed_line_right_round_ends_one_turn_on() -> None:
    points = corner_points((0.2, 0.9), (0.25, 0.15), (0.2, 0.4), (0.22, 0.65))
    (curve,) = chart_curves(points, closed=True)
    assert curve.around[-1] - curve.around[0] == pytest.approx(1.0)
    assert curve.station[-1] == pytest.approx(curve.station[0])
    window = corner_points((0.2, 0.1), (0.3, 0.15), (0.4, 0.1), (0.3, 0.05))
    (loop,) = chart_curves(window, closed=True)
    assert loop.around[-1] == pytest.approx(loop.around[0])


def test_a_corner_stays_sharp_and_the_rest_is_smooth() -> None:
    points = corner_points((0.5, 0.0), (0.4, 0.25), (0.3, 0.5), (0.4, 0.75), corner=2)
    (curve,) = chart_curves(points, closed=True, samples=64)
    steps = np.diff(np.column_stack([curve.station, curve.around]), axis=0)
    direction = np.arctan2(steps[:, 0], steps[:, 1])
    turn = np.abs(np.diff(direction))
    assert turn.max() < 0.1, "the corner is the start of the run, so nothing inside it may turn sharply"
    closing = abs(direction[0] - direction[-1])
    assert closing > 0.5


@given(st.lists(st.tuples(st.floats(0.0, 1.0), st.floats(0.0, 0.99)), min_size=2, max_size=6, unique=True))
def test_the_line_passes_through_every_mark(places: list[tuple[float, float]]) -> None:
    points = corner_points(*places)
    (curve,) = chart_curves(points, closed=False)
    for station, around in places:
        gap = np.hypot(curve.station - station, (curve.around - around + 0.5) % 1.0 - 0.5)
        assert gap.min() < 1e-6


def test_one_point_is_not_an_edge() -> None:
    with pytest.raises(PlacementError, match="two points"):
        chart_curves(corner_points((0.2, 0.3)), closed=False)


def test_a_band_marked_on_one_side_goes_right_round() -> None:
    # A plane tilted by 30 mm across a cone's front half is seen; the same plane leads it round the back.
    ways = np.linspace(0.8, 1.2, 7) % 1.0
    tilted = [(0.5 + 0.06 * np.cos(2 * np.pi * a), float(a)) for a in ways]
    (seen,) = chart_curves(corner_points(*tilted), closed=True, goes_round=True)
    assert seen.around[-1] - seen.around[0] == pytest.approx(1.0)
    assert np.ptp(seen.station) < 0.2, "the unseen part may not swing away"
    for station, around in tilted:
        gap = np.hypot(seen.station - station, (seen.around - around + 0.5) % 1.0 - 0.5)
        assert gap.min() < 1e-6
    (loop,) = chart_curves(corner_points(*tilted), closed=True)
    assert loop.around[-1] == pytest.approx(loop.around[0]), "without the word it is a motif in front"


def test_marks_out_of_order_still_make_one_band() -> None:
    places = [(0.4, 0.6), (0.42, 0.1), (0.41, 0.85), (0.43, 0.35)]
    (curve,) = chart_curves(corner_points(*places), closed=True, goes_round=True)
    assert (np.diff(curve.around) > 0).all()
    assert curve.around[-1] - curve.around[0] == pytest.approx(1.0)
