"""Boot covers: on a cone with an elliptic foot, where girths are exact, and on a real body."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from shapely import Polygon
from stiff_limbs import FOAM, form_with, line, ring

from layfigure.body.chart import RegionChart
from layfigure.body.form import Form
from layfigure.body.shape import form_of
from layfigure.body.template import load_template
from layfigure.design.design import DesignEdge, PieceStatement
from layfigure.draft.registry import DraftRequest, DraftResult, validated_options
from layfigure.draft.round_edge import wrap_edge
from layfigure.draft.wrap.boot_options import BootOptions
from layfigure.draft.wrap.boot_shoe import on_heel, sized, traced_sole, with_sole
from layfigure.draft.wrap.boot_surface import BootHalf, ball_of, boot_half, foot_reach
from layfigure.draft.wrap.kind import KIND
from layfigure.drawing.svg import svg_of
from layfigure.drawing.walk import read_svg, walk
from layfigure.errors import DraftError
from layfigure.files.drawn_path import DrawnPath
from layfigure.geometry.polyline import length, resample
from layfigure.materials.cloth import Cloth
from layfigure.piece.draw import Heading
from layfigure.piece.seam_allowance import cut_line
from layfigure.piece.seam_book import SeamBook
from layfigure.place.place import place_edge
from layfigure.place.placement import Placement

VINYL = Cloth(
    slug="vinyl",
    kind="knit",
    name="vinyl on a knit",
    width=1400.0,
    areal_mass=450.0,
    stretch_across=0.15,
    stretch_along=0.05,
    tested=True,
)
LEATHER = Cloth(
    slug="leather", kind="leather", name="leather", width=900.0, areal_mass=700.0, thickness=1.0, tested=True
)
KNOWN_SHOE = {"sole": "22 mm", "toe_room": "20 mm"}
TOP_RADIUS, ANKLE_RADIUS = 58.0, 40.0


def outline(section: np.ndarray) -> np.ndarray:
    return resample(section, 128, closed=True)


def toy_leg(side: str = "left") -> tuple[RegionChart, RegionChart]:
    """A cone that stands on a foot with elliptic sections, from the instep to the heel and the sole."""
    sign = 1.0 if side == "left" else -1.0
    turn = 2.0 * np.pi * np.arange(720) / 720
    heights = np.linspace(400.0, 90.0, 33)
    radii = np.interp(heights, [90.0, 400.0], [ANKLE_RADIUS, TOP_RADIUS])
    shank = [
        outline(np.column_stack([sign * r * np.sin(turn), -r * np.cos(turn), np.full(720, z)]))
        for r, z in zip(radii, heights, strict=True)
    ]
    stations = np.linspace(0.0, 2.96, 31)
    knots = [0.0, 0.7, 1.0, 2.0, 2.96]
    ahead = [np.interp(stations, knots, row) for row in ([40, 42, 46, 125, 190], [90, 84, 78, 45, 24])]
    behind = [np.interp(stations, knots, row) for row in ([-40, -48, -20, 120, 188], [90, 20, 2, 2, 4])]
    wide = np.interp(stations, knots, [40, 36, 36, 46, 24])
    foot = []
    for x, z, back, low, w in zip(*ahead, *behind, wide, strict=True):
        middle, half = 0.5 * np.array([x + back, z + low]), 0.5 * np.array([x - back, z - low])
        way = middle + np.cos(turn)[:, None] * half
        foot.append(outline(np.column_stack([sign * w * np.sin(turn), -way[:, 0], way[:, 1]])))
    return (
        RegionChart(
            region=f"shank_{side}",
            level_names=("knee", "ankle"),
            stations=np.linspace(0.0, 1.0, 33),
            sections=np.stack(shank),
        ),
        RegionChart(
            region=f"foot_{side}",
            level_names=("ankle", "instep", "ball", "toe_tip"),
            stations=stations,
            sections=np.stack(foot),
        ),
    )


TOY = form_with(*toy_leg("left"), *toy_leg("right"))


def cover(
    form: Form = TOY,
    boot: dict[str, Any] | None = None,
    *,
    cloth: Cloth = VINYL,
    edges: dict[str, DesignEdge] | None = None,
    side: Any = "left",
    cloths: dict[str, str] | None = None,
    shoe: dict[str, str] = KNOWN_SHOE,
) -> DraftResult:
    edges = edges or {"top": ring("t", f"shank_{'left' if side == 'both' else side}", 0.0)}
    statement = PieceStatement(
        slug="boot",
        kind="wrap",
        cloth=cloth.slug,
        side=side,
        edges={role: edge.slug for role, edge in edges.items()},
        options={"boot": shoe | (boot or {})},
        cloths=cloths or {},
    )
    return KIND.draft(
        DraftRequest(
            statement=statement,
            options=validated_options(KIND, statement.options, where="piece boot"),
            form=form,
            placement=Placement(wearer="test", edges={e.slug: place_edge(e, form) for e in edges.values()}),
            cloths={each.slug: each for each in (VINYL, LEATHER, FOAM)},
        )
    )


def test_a_cone_keeps_its_girth_with_the_ease_added() -> None:
    for ease in (0.0, 30.0):
        (piece,) = cover(boot={"leg_ease": f"{ease} mm"}).pieces
        half = math.pi * TOP_RADIUS + 0.5 * ease
        assert piece.edge("top").length == pytest.approx(half, rel=4e-3)
    # The sides of a cone are straight, and as long as its slant, down to where the shoe begins.
    (piece,) = cover().pieces
    front = piece.edge("front").curve
    run = front[: int(np.searchsorted(np.linalg.norm(np.diff(front, axis=0), axis=1).cumsum(), 200.0))]
    chord = np.linalg.norm(run[-1] - run[0])
    assert length(run) == pytest.approx(float(chord), rel=2e-3)


def test_the_lower_edge_is_the_sole_line() -> None:
    for boot, above in (
        ({"bottom": "sewn"}, 22.0),
        ({"bottom": "separate"}, 5.0),
        ({"bottom": "separate", "sole_line": "12 mm"}, 12.0),
    ):
        result = cover(boot=boot, cloth=LEATHER)
        lowest = [float(surface.mesh.vertices[:, 2].min()) for surface in result.worn]
        # The toy's foot stands with its sole 2 mm up: the shoe's sole is below that.
        assert lowest == pytest.approx([2.0 + above - 22.0] * 2)
        bottom = result.pieces[0].edge("sole_line" if boot["bottom"] == "sewn" else "bottom")
        assert bottom.allowance == (15.0 if boot["bottom"] == "sewn" else 0.0)
        on_shoe = result.worn[0].mesh.vertices
        assert float(-on_shoe[:, 1].min()) == pytest.approx(190.0 + 20.0, abs=0.5)


def test_the_foot_stays_inside() -> None:
    result = cover()
    right, left = sorted((s.mesh for s in result.worn), key=lambda mesh: float(mesh.vertices[:, 0].mean()))
    for name in ("shank_left", "foot_left"):
        sections = TOY.charts[name].sections.reshape(-1, 3)
        for side, mesh in ((1.0, left), (-1.0, right)):
            # Seen from the side, each place of the body lies within the panel or the sole, and less far out.
            mine = sections[side * sections[:, 0] > 5.0]
            corners = mesh.vertices[mesh.faces]
            flat, deep = corners[:, :, 1:], side * corners[:, :, 0]
            a, u, v = flat[:, 0], flat[:, 1] - flat[:, 0], flat[:, 2] - flat[:, 0]
            area = u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0]
            good = np.abs(area) > 1e-6
            a, u, v, area, deep = a[good], u[good], v[good], area[good], deep[good]
            to = mine[:, None, 1:] - a
            s = (to[..., 0] * v[:, 1] - to[..., 1] * v[:, 0]) / area
            t = (u[:, 0] * to[..., 1] - u[:, 1] * to[..., 0]) / area
            hit = (s >= -1e-9) & (t >= -1e-9) & (s + t <= 1.0 + 1e-9)
            depth = np.where(
                hit, deep[:, 0] + s * (deep[:, 1] - deep[:, 0]) + t * (deep[:, 2] - deep[:, 0]), -1.0
            )
            assert hit.any(axis=1).all()
            assert (depth.max(axis=1) > side * mine[:, 0]).all()


def test_left_and_right_are_mirror_images_cut_from_one_pattern() -> None:
    left, right = cover(side="both").pieces
    assert (left.slug, right.slug) == ("boot_left", "boot_right")
    for piece in (left, right):
        assert (piece.side, piece.count) == ("both", 2)
    for a, b in zip(left.edges, right.edges, strict=True):
        assert np.abs(a.curve - b.curve).max() < 1e-6
        assert [n.distance for n in a.notches] == pytest.approx([n.distance for n in b.notches])


@pytest.mark.parametrize("boot", [{"opening": "inside"}, {"bottom": "sewn", "opening": "back"}])
def test_a_real_body(boot: dict[str, str]) -> None:
    template = load_template()
    form = form_of(template, template.presets["woman"].copy(), wearer="test")
    pointed = line(
        "t",
        "shank_left",
        [(0.15, 0.0, True), *((0.3, k / 8.0, False) for k in range(2, 7)), (0.3, 0.9, False)],
    )
    for result in (cover(form, boot), cover(form, boot, edges={"top": pointed})):
        (piece,) = result.pieces
        assert all(check.passed for check in result.checks)
        strain, toes = result.checks
        assert strain.value < 0.09
        assert toes.value > 4.0
        assert Polygon(piece.stitch_line).is_valid
        assert Polygon(piece.stitch_line).exterior.is_ccw
        cut_line(piece.edges)
        assert len(piece.totals) == 3
        # Toe to the left of the heel, top above: upright on the paper.
        curves = {edge.slug.replace("sole_line", "bottom"): edge.curve for edge in piece.edges}
        assert curves["bottom"][0, 0] < curves["bottom"][-1, 0]
        assert curves["top"][:, 1].min() > curves["bottom"][:, 1].max()
        assert {line.label for line in piece.lines} >= {"ankle: level"}


def test_zip_elastic_and_lining() -> None:
    result = cover(cloths={"lining": "leather"})
    piece, lining = result.pieces
    zipper, elastic = result.items
    (end,) = (n for n in piece.edge("back").notches if n.name.endswith("zip_end"))
    assert zipper.length == pytest.approx(piece.edge("back").length - end.distance)
    assert elastic.slug == "elastic_25mm"
    # Round under a shoe that is about 2 times 44 + 8 mm wide, a tenth shorter, 40 mm sewn.
    assert elastic.length == pytest.approx(0.9 * 2.0 * (52.0 + 5.0) + 40.0, abs=12.0)
    assert lining.cloth == "leather"
    assert {e.seam for e in lining.edges}.isdisjoint({e.seam for e in piece.edges if e.seam})
    assert {i.slug for i in cover(boot={"bottom": "sewn", "opening": "none"}).items} == set()


def test_whether_the_heel_passes() -> None:
    # Above the ankle, where its front is bridged to the instep: 3 mm of radius higher up at most.
    least, most = (2.0 * math.pi * radius + 20.0 for radius in (ANKLE_RADIUS, ANKLE_RADIUS + 3.0))
    form = replace(TOY, measures={"heel_girth_left": 330.0})
    for opening, passed, advice in (("none", False, "Give it a zip"), ("back", True, "Open the zip")):
        check = cover(form, {"bottom": "sewn", "opening": opening}, cloth=LEATHER).checks[-1]
        assert check.passed is passed
        assert check.advice.startswith(advice)
        assert least < 330.0 * check.value < most
    assert cover(form, {"opening": "none"}, cloth=LEATHER).pieces[0].verdict.level == "paper"


def test_an_unmeasured_shoe_is_not_cut_from_good_material() -> None:
    assert cover().pieces[0].verdict.level == "good material"
    (reason,) = cover(shoe={"sole": "22 mm"}).pieces[0].verdict.reasons
    assert "toe room" in reason.why


def test_its_exported_seams_match_notch_to_notch(tmp_path: Path) -> None:
    pieces = cover(side="both", cloths={"lining": "leather"}).pieces
    path = tmp_path / "boot.svg"
    path.write_text(svg_of(pieces, Heading(costume="t", seams=SeamBook.of(pieces))))
    assert walk(read_svg(path)) == []


@pytest.mark.parametrize(
    ("said", "words"),
    [
        ({"cloth": FOAM}, "too stiff"),
        ({"edges": {"top": ring("t", "foot_left", 1.0)}}, "lies on foot_left"),
        (
            {"edges": {"top": ring("t", "shank_left", 0.1), "bottom": ring("b", "foot_left", 1.5)}},
            "ends at its sole line",
        ),
        (
            {"boot": {"shoe_top": "200 mm"}, "edges": {"top": ring("t", "shank_left", 0.9)}},
            "below the top of its shoe",
        ),
        ({"edges": {"bottom": ring("b", "shank_left", 0.5)}}, "needs a top edge"),
    ],
)
def test_refusals(said: dict[str, Any], words: str) -> None:
    with pytest.raises(DraftError, match=words) as caught:
        cover(**said)
    assert caught.value.advice
    assert caught.value.where == "piece boot"


def test_a_boot_cover_needs_no_lower_edge_and_a_guard_does() -> None:
    needs = [
        KIND.needs(validated_options(KIND, options, where="piece boot"))
        for options in ({}, {"boot": dict[str, str]()})
    ]
    assert needs == [{"bottom", "top"}, {"top"}]


def half_boot(form: Form = TOY, **said: str) -> tuple[BootHalf, BootOptions]:
    options = BootOptions.model_validate(KNOWN_SHOE | said)
    top = wrap_edge(place_edge(ring("t", "shank_left", 0.0), form))
    return boot_half(form.charts["shank_left"], form.charts["foot_left"], top, options, 0.0), options


def test_on_a_heel_the_foot_tips_about_its_ball_and_the_leg_stays_upright() -> None:
    flat, options = half_boot(heel="70 mm")
    ball = ball_of(flat, TOY.charts["foot_left"])
    heeled = on_heel(flat, options.heel, ball)
    # The heel rises by what was said, as the foot is a bar that turns about its ball.
    assert heeled.corner[-1, 2] - flat.corner[-1, 2] == pytest.approx(
        70.0 + (np.cos(np.arcsin(70.0 / (ball - flat.corner[-1, 0]))) - 1.0) * flat.corner[-1, 2], abs=0.01
    )
    # Toes stay flat, and the leg above keeps its sections, only carried along.
    ahead = [k for k, row in enumerate(flat.foot) if row[:, 0].min() > ball + 26.0]
    assert ahead
    for k in ahead:
        assert heeled.foot[k] == pytest.approx(flat.foot[k])
    shift = heeled.leg[0] - flat.leg[0]
    assert shift == pytest.approx(np.broadcast_to(shift[0], shift.shape), abs=1e-9)
    assert shift[0, 2] > 30.0
    # Behind the ball and below the ankle nothing is stretched: rows keep their length.
    for before, after in zip(flat.foot, heeled.foot, strict=True):
        if before[:, 0].max() < ball - 26.0 and before[:, 2].max() < flat.leg[flat.ankle][:, 2].min() - 20.0:
            assert length(after) == pytest.approx(length(before), rel=1e-6)
    with pytest.raises(DraftError, match="on its toes"):
        on_heel(flat, 200.0, ball)


def test_a_heel_shortens_the_front_of_a_cover_and_joins_all_the_same() -> None:
    template = load_template()
    form = form_of(template, template.presets["woman"], wearer="test")
    edges = {"top": ring("t", "shank_left", 0.25)}
    (flat,) = cover(form, edges=edges).pieces
    result = cover(form, {"heel": "80 mm"}, edges=edges)
    (heeled,) = result.pieces
    # The ankle opens in front, so the front seam runs straighter: the piece is less bent there.
    assert _bend(heeled.edge("front").curve) < _bend(flat.edge("front").curve) - 10.0
    assert Polygon(heeled.stitch_line).is_valid
    assert heeled.edge("top").length == pytest.approx(flat.edge("top").length, rel=0.01)


def _bend(curve: np.ndarray) -> float:
    """Between the first third of a front seam and its last [degrees]."""
    third = len(curve) // 3
    ways = [curve[third] - curve[0], curve[-1] - curve[-third]]
    first, last = (way / np.linalg.norm(way) for way in ways)
    return float(np.degrees(np.arccos(np.clip(first @ last, -1.0, 1.0))))


def test_the_lower_edge_lies_on_a_traced_sole() -> None:
    # A sole as an ellipse 250 by 90 mm, drawn lying askew on its paper.
    t = np.linspace(0.0, 2.0 * np.pi, 240, endpoint=False)
    ellipse = np.column_stack([125.0 * np.cos(t), 45.0 * np.sin(t)])
    lean = np.radians(27.0)
    turned = ellipse @ np.array([[np.cos(lean), np.sin(lean)], [-np.sin(lean), np.cos(lean)]]) + (300.0, 40.0)
    path = DrawnPath(name="sole", groups=(), points=turned, closed=True, nodes=np.arange(240))
    sole = traced_sole([path])
    assert sole.length == pytest.approx(250.0, abs=0.2)
    assert sole.half.max() == pytest.approx(45.0, abs=0.1)
    flat, options = half_boot()
    laid = with_sole(flat, options, sole)
    bottom = np.array([row[-1] for row in laid.foot])
    back, front = bottom[:, 0].min(), bottom[:, 0].max()
    middle = 2.0 * (bottom[:, 0] - back) / (front - back) - 1.0
    assert bottom[:-1, 1] == pytest.approx(45.0 * np.sqrt(np.maximum(0.0, 1.0 - middle[:-1] ** 2)), abs=1.5)
    with pytest.raises(DraftError, match="no closed outline"):
        traced_sole([replace(path, closed=False)])


def test_a_sole_s_length_and_width_are_kept() -> None:
    foot = foot_reach(TOY.charts["foot_left"])
    options = BootOptions.model_validate({"sole_length": f"{foot + 42.0:.2f} mm", "sole_width": "96 mm"})
    assert sized(options, foot, None).toe_room == pytest.approx(32.0, abs=0.01)
    flat, _ = half_boot()
    laid = with_sole(flat, options, None)
    assert max(row[-1, 1] for row in laid.foot) == pytest.approx(48.0)
    with pytest.raises(DraftError, match="shorter than the foot"):
        sized(options.model_copy(update={"sole_length": foot}), foot, None)
    with pytest.raises(DraftError, match="no tracing of the sole"):
        cover(boot={"sole_traced": True})
