"""Horns: strips unroll exactly, bevels are those of regular polygons, roots sit on the helm."""

from __future__ import annotations

import numpy as np
import pytest
from shapely import Polygon
from shells import FOAM, ball_cap, body, shell
from stiff_limbs import line
from test_shell_dome import mates

from layfigure.design.design import DesignEdge
from layfigure.draft.shell.horn import clear_of_itself, make_horn, standing_on
from layfigure.draft.shell.horn_curve import root_on, spiral, tightest_bend
from layfigure.draft.shell.horn_through import HornPoint, curve_through
from layfigure.draft.shell.options import ShellOptions
from layfigure.errors import DraftError
from layfigure.geometry.polyline import length
from layfigure.geometry.tube import rows_mesh

STRAIGHT = np.column_stack([np.zeros(60), np.zeros(60), np.linspace(0.0, 240.0, 60)])
X = np.array([1.0, 0.0, 0.0])


@pytest.mark.parametrize("sides", [3, 4, 6, 8])
def test_bevels_of_a_prism_are_half_of_what_its_corners_lack(sides: int) -> None:
    # Interior angle A = 180 - 360/n; bevel (180 - A)/2: 90 = 45, 120 = 30, 135 = 22.5 degrees (TRADE 6).
    horn = make_horn(STRAIGHT, np.array([60.0, 60.0]), sides, X)
    assert horn.bevels == pytest.approx(180.0 / sides)


def test_a_pyramid_s_plates_meet_less_sharply_than_a_prism_s() -> None:
    # Dihedral of a regular pyramid's sides: cos = n·n' with normals tilted up by the side's slope.
    horn = make_horn(STRAIGHT, np.array([120.0, 0.0]), 4, X)
    apothem = 0.5 * 120.0 * (np.pi / 4) / np.sin(np.pi / 4) * np.cos(np.pi / 4)
    slope = np.arctan2(apothem, 240.0)
    exact = 0.5 * np.degrees(np.arccos(np.sin(slope) ** 2))
    assert horn.bevels == pytest.approx(exact, abs=1e-6)


def test_strips_keep_area_length_and_each_other() -> None:
    result = shell(
        body("woman"),
        {
            "shape": "horn",
            "length": "300 mm",
            "base": "55 mm",
            "turns": 1.5,
            "coil": "45 mm",
            "curl": "40 deg",
        },
        side="middle",
    )
    assert all(check.passed for check in result.checks)
    mates(result)
    areas = sum(Polygon(piece.stitch_line).area for piece in result.pieces)
    assert areas == pytest.approx(result.worn[0].mesh.face_areas().sum(), rel=1e-3)
    assert {len(piece.totals) for piece in result.pieces} == {3}
    assert any("eyes" in caution for caution in result.pieces[0].cautions)
    assert len(result.worn[0].mesh.faces) <= 3000


def test_a_spiral_is_as_long_as_asked_and_swings_out_as_asked() -> None:
    options = ShellOptions(shape="horn", length="320 mm", turns=2.0, coil="40 mm")
    root = root_on(ball_cap(110.0, 1.5), 0.0, 1.0)
    curve = spiral(root, options)
    assert length(curve) == pytest.approx(320.0, abs=0.5)
    along = (curve - root.place) @ root.out
    off = np.linalg.norm(curve - root.place - along[:, None] * root.out, axis=1)
    assert off[-1] == pytest.approx(40.0, abs=0.2)
    plan = (curve[3:] - root.place) @ np.stack([root.back, np.cross(root.out, root.back)]).T
    turned = np.unwrap(np.arctan2(*plan.T))
    assert abs(turned[-1] - turned[0]) == pytest.approx(4.0 * np.pi, rel=0.12)
    mirrored = spiral(root, options.model_copy(update={"turns": -2.0}))
    across = np.cross(root.out, root.back)
    assert (mirrored - root.place) @ root.back == pytest.approx(-(curve - root.place) @ root.back, abs=0.2)
    assert (mirrored - root.place) @ across == pytest.approx((curve - root.place) @ across, abs=0.2)


def test_a_curl_is_an_arc() -> None:
    options = ShellOptions(shape="horn", length="300 mm", curl="180 deg")
    root = root_on(ball_cap(110.0, 1.5), 0.0, 1.0)
    curve = spiral(root, options)
    # Half a circle as long as 300 mm has radius 300 / pi.
    assert tightest_bend(curve) == pytest.approx(300.0 / np.pi, rel=2e-3)
    assert np.linalg.norm(curve[-1] - curve[0]) == pytest.approx(600.0 / np.pi, rel=2e-3)


def test_the_root_is_cut_to_the_helm() -> None:
    cap = ball_cap(110.0, 1.5)
    root = root_on(cap, 0.25, 0.5)
    options = ShellOptions(shape="horn", lean="35 deg", curl="60 deg")
    horn = standing_on(make_horn(spiral(root, options), np.array([50.0, 4.0]), 6, root.back), cap)
    assert np.linalg.norm(horn.rings[0], axis=1) == pytest.approx(110.0, abs=0.05)
    assert np.linalg.norm(horn.rings[1:].reshape(-1, 3), axis=1).min() > 110.0
    mesh = rows_mesh(horn.rings, closed=True)
    middle = horn.rings.mean(axis=1)
    out = mesh.face_corners().mean(axis=1) - middle[np.repeat(np.arange(len(middle) - 1), 12)]
    assert ((out * mesh.face_normals()).sum(axis=1) > 0.0).mean() > 0.99


def test_a_horn_may_follow_a_line_on_the_body() -> None:
    form = body("woman")
    places = line("h", "upper_arm_left", [(0.5, 0.2, False), (0.7, 0.25, False), (0.9, 0.3, False)])
    edge = DesignEdge(slug="h", points=places.points)
    result = shell(form, {"shape": "horn", "base": "40 mm"}, edges={"line": edge})
    assert all(check.passed for check in result.checks)
    mates(result)
    # It rests on the arm: its nearest place is the layer beneath and half the foam away.
    chart = form.charts["upper_arm_left"]
    distance = chart.locate(result.worn[0].mesh.vertices)[2]
    assert 0.0 <= distance.min() < 12.0


def test_what_cannot_be_rolled_is_refused() -> None:
    with pytest.raises(DraftError, match="more tightly than it is thick"):
        shell(body("woman"), {"shape": "horn", "base": "90 mm", "curl": "500 deg"}, side="middle")
    with pytest.raises(DraftError, match="uses up the horn's length"):
        shell(
            body("woman"),
            {"shape": "horn", "length": "200 mm", "coil": "200 mm", "turns": 3.0},
            side="middle",
        )
    closed = line("h", "upper_arm_left", [(0.5, 0.2, False), (0.7, 0.25, False), (0.6, 0.3, False)])
    with pytest.raises(DraftError, match="closed"):
        shell(body("woman"), {"shape": "horn"}, edges={"line": closed})


def test_turns_that_run_into_one_another_are_seen() -> None:
    t = np.linspace(0.0, 4.0 * np.pi, 300)
    tight = np.column_stack([80.0 * np.cos(t), 80.0 * np.sin(t), 3.0 * t])
    assert not clear_of_itself(make_horn(tight, np.array([40.0, 38.0]), 6, np.array([0.0, 0.0, 1.0]))).passed
    assert clear_of_itself(make_horn(STRAIGHT, np.array([40.0, 4.0]), 6, X)).passed


def test_the_stated_thickness_is_the_outside() -> None:
    result = shell(
        body("woman"), {"shape": "horn", "base": "60 mm", "tip": "60 mm", "sides": 12}, side="middle"
    )
    girth = sum(piece.edge("tip").length for piece in result.pieces)
    # Neutral surface half the foam in from 60 mm across: pi (60 - 5).
    assert girth == pytest.approx(np.pi * (60.0 - FOAM.thickness), rel=1e-3)


def cone(base: float, tip: float) -> dict[str, object]:
    """A straight horn along x, 300 mm long, through places unevenly apart."""
    places = [{"out": f"{at} mm"} for at in (40, 130, 220, 300)]
    return {"shape": "horn", "through": places, "base": f"{base} mm", "tip": f"{tip} mm", "sides": 8}


def foot_line() -> DesignEdge:
    places = line("h", "upper_arm_left", [(0.5, 0.2, False), (0.7, 0.25, False)])
    return DesignEdge(slug="h", points=places.points)


def test_a_horn_straight_through_places_is_a_cone() -> None:
    result = shell(body("woman"), cone(60.0, 20.0), edges={"line": foot_line()})
    assert all(check.passed for check in result.checks)
    mates(result)
    # A frustum of a regular pyramid: sides of 8 trapezoids; girth pi d at both ends, slant by Pythagoras.
    low, high = (np.pi * (d - FOAM.thickness) / 8.0 for d in (60.0, 20.0))
    slant = np.hypot(300.0, 0.5 * (low - high) / np.tan(np.pi / 8.0))
    assert sum(Polygon(piece.stitch_line).area for piece in result.pieces) == pytest.approx(
        8.0 * 0.5 * (low + high) * slant, rel=1e-4
    )
    for piece in result.pieces:
        assert piece.edge("right").length == pytest.approx(np.hypot(slant, 0.5 * (low - high)), rel=1e-5)


def test_a_horn_through_places_on_a_circle_is_a_torus() -> None:
    # A line of a torus at an angle t from its outside runs (R + r cos t) for each radian turned.
    radius, turned = 150.0, 1.8
    t = np.linspace(0.0, turned, 13)[1:]
    places = [
        {"out": f"{radius * np.sin(a):.5f} mm", "up": f"{radius * (1.0 - np.cos(a)):.5f} mm"} for a in t
    ]
    result = shell(
        body("woman"),
        {"shape": "horn", "through": places, "base": "45 mm", "tip": "45 mm", "sides": 6},
        edges={"line": foot_line()},
    )
    assert all(check.passed for check in result.checks)
    # Six corners a sixth of a turn apart; out to them by the girth of the neutral circle.
    out = 0.5 * 40.0 * (np.pi / 6.0) / np.sin(np.pi / 6.0)
    runs = sorted(length(np.concatenate(_rights(result, strip))) for strip in range(1, 7))
    # The first corner lies square to the plane of the circle.
    expected = sorted((radius + out * np.cos(0.5 * np.pi + k * np.pi / 3.0)) * turned for k in range(6))
    assert runs == pytest.approx(expected, rel=2e-3)


def _rights(result: object, strip: int) -> list[np.ndarray]:
    own = [piece for piece in result.pieces if f"strip_{strip}" in piece.slug]
    return [piece.edge("right").curve for piece in own]


def test_places_grow_with_the_body_and_mirror_with_the_side() -> None:
    places = [HornPoint(out="3 cm", up="8 cm", thick="5 cm"), HornPoint(out="9 cm", up="12 cm", back="4 cm")]
    said = {"base": 60.0, "tip": 4.0, "step": 6.0}
    left = curve_through(np.zeros(3), places, mirrored=False, factor=1.0, **said)
    right = curve_through(np.zeros(3), places, mirrored=True, factor=1.0, **said)
    assert right.curve == pytest.approx(left.curve * (-1.0, 1.0, 1.0))
    for place in ([0.0, 0.0, 0.0], [30.0, 0.0, 80.0], [90.0, 40.0, 120.0]):
        assert np.linalg.norm(left.curve - place, axis=1).min() < 3.1
    grown = curve_through(np.zeros(3), places, mirrored=False, factor=1.2, **said)
    assert length(grown.curve) == pytest.approx(1.2 * length(left.curve), rel=1e-3)
    assert left.thick[0] == pytest.approx(60.0)
    assert left.thick[-1] == pytest.approx(4.0)
    assert (np.diff(left.thick) < 0.0).all()
    with pytest.raises(DraftError, match="lie on one another"):
        curve_through(np.zeros(3), [*places, places[-1]], mirrored=False, factor=1.0, **said)
    with pytest.raises(DraftError, match="go together"):
        shell(body("woman"), {**cone(60.0, 20.0), "grows_with": "head_girth"}, edges={"line": foot_line()})


def test_a_horn_through_places_stands_on_the_helm() -> None:
    places = [{"out": "2 cm", "up": "7 cm"}, {"out": "9 cm", "up": "12 cm"}, {"out": "10 cm", "up": "24 cm"}]
    result = shell(
        body("woman"), {"shape": "horn", "through": places, "base": "50 mm", "root_around": "20 %"}
    )
    assert all(check.passed for check in result.checks)
    mates(result)
