"""Gloves: seams that mate, five fingers, hands that mirror, room for fingers, and how the hand gets in."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import trimesh
from scipy.spatial import ConvexHull
from scipy.special import ellipe
from shapely import LineString, Polygon, union_all
from stiff_limbs import FOAM, line, ring

from layfigure.body.form import Form
from layfigure.body.shape import form_of
from layfigure.body.template import load_template
from layfigure.design.design import DesignEdge, PieceStatement, Trace
from layfigure.draft.glove.hand import DIGITS, digit_parts, hand_of
from layfigure.draft.glove.kind import KIND
from layfigure.draft.glove.layout import strip_share
from layfigure.draft.glove.thumb import _lower
from layfigure.draft.glove.trace import traced_hand
from layfigure.draft.registry import DraftRequest, DraftResult, validated_options
from layfigure.drawing.svg import svg_of
from layfigure.drawing.walk import read_svg, walk
from layfigure.errors import DraftError
from layfigure.files.drawn_path import DrawnPath
from layfigure.geometry.mesh import TriangleMesh
from layfigure.geometry.polyline import arc_lengths, length, points_at
from layfigure.materials.cloth import Cloth
from layfigure.piece.draw import Heading
from layfigure.piece.piece import Piece
from layfigure.piece.seam_allowance import cut_line
from layfigure.piece.seam_book import SeamBook
from layfigure.place.place import place_edge
from layfigure.place.placement import Placement

LEATHER = Cloth(slug="leather", kind="leather", name="thin leather", width=900.0, areal_mass=500.0,
                thickness=0.8, tested=True)  # fmt: skip
KNIT = Cloth(slug="knit", kind="knit", name="knit", width=1500.0, areal_mass=200.0, thickness=0.6,
             stretch_across=0.6, stretch_along=0.5, tested=True)  # fmt: skip
WOVEN = Cloth(slug="woven", kind="woven", name="cotton", width=1500.0, areal_mass=200.0, tested=True)


@pytest.fixture(scope="module")
def woman() -> Form:
    template = load_template()
    return form_of(template, template.presets["woman"])


@pytest.fixture(scope="module")
def man() -> Form:
    template = load_template()
    return form_of(template, template.presets["man"])


def glove(form: Form, cloth: Cloth, edges: dict[str, DesignEdge] | None = None, *, side: str = "left",
          stack: float = 0.0, trace: Trace | None = None, **options: object) -> DraftResult:  # fmt: skip
    edges = edges or {}
    statement = PieceStatement(
        slug=f"glove_{side}",
        kind="glove",
        cloth=cloth.slug,
        side=side,  # type: ignore[arg-type]
        edges={role: edge.slug for role, edge in edges.items()},
        options=options,
        trace=trace,
    )
    request = DraftRequest(
        statement=statement,
        options=validated_options(KIND, options, where="test"),
        form=form,
        placement=Placement(wearer="test", edges={e.slug: place_edge(e, form) for e in edges.values()}),
        cloths={cloth.slug: cloth},
        stack=stack,
    )
    return KIND.draft(request)


def part(result: DraftResult, name: str) -> Piece:
    return next(piece for piece in result.pieces if piece.slug.endswith(name))


CASES = [
    (LEATHER, {"style": "full"}, "left"),
    (LEATHER, {"style": "fingerless"}, "right"),
    (KNIT, {"style": "full"}, "right"),
    (KNIT, {"style": "fingerless", "thumb": "60 %"}, "left"),
    (KNIT, {"style": "full", "construction": "strips"}, "left"),
    (WOVEN, {"style": "full", "opening": "elastic"}, "right"),
]


@pytest.mark.parametrize(("cloth", "options", "side"), CASES)
def test_every_piece_sews_to_its_mates_as_exported(
    woman: Form, tmp_path: Path, cloth: Cloth, options: dict[str, str], side: str
) -> None:
    result = glove(woman, cloth, side=side, **options)
    for piece in result.pieces:
        for edge, following in zip(piece.edges, (*piece.edges[1:], piece.edges[0]), strict=True):
            assert edge.curve[-1] == pytest.approx(following.curve[0], abs=1e-9)
        outline = Polygon(piece.stitch_line)
        assert outline.is_valid
        assert outline.exterior.is_ccw
        assert Polygon(cut_line(piece.edges)).buffer(1e-3).contains(outline)
        assert piece.side == side
        assert len(piece.totals) == 3
        assert piece.note
    path = tmp_path / "glove.svg"
    path.write_text(svg_of(result.pieces, Heading(costume="t", seams=SeamBook.of(result.pieces))))
    assert walk(read_svg(path)) == []
    assert all(check.passed for check in result.checks)


def test_a_full_glove_has_five_closed_tips_and_a_short_one_five_open_ends(woman: Form) -> None:
    whole, short = glove(woman, LEATHER), glove(woman, LEATHER, style="fingerless")
    palm = part(whole, "palm")
    assert [e.slug for e in palm.edges if e.slug.startswith("tip")] == [
        f"tip_{name}" for name in reversed(DIGITS[1:])
    ]
    assert len(whole.pieces) == 6  # palm, back, thumb, three strips
    ends = [e.slug for p in short.pieces for e in p.edges if e.slug.startswith("end_")]
    assert {e.removeprefix("end_") for e in ends} == set(DIGITS)
    assert not [e for p in short.pieces for e in p.edges if e.slug.startswith("tip_")]


def test_left_and_right_mirror_exactly_on_a_symmetric_body(woman: Form) -> None:
    template = load_template()
    count = template.vertex_count
    # The template is symmetric to 0.03 mm; make it so to the last digit.
    other = np.empty(count, dtype=np.int64)
    other[:] = template.mirror
    assert (other[other] == np.arange(count)).all()
    even = woman.standing.vertices
    even = 0.5 * (even + even[other] * (-1.0, 1.0, 1.0))
    charts = dict(woman.charts)
    for region in ("hand", "forearm"):
        left = charts[f"{region}_left"]
        charts[f"{region}_right"] = replace(
            left, region=f"{region}_right", sections=left.sections * (-1.0, 1.0, 1.0)
        )
    form = replace(woman, standing=TriangleMesh(even, woman.standing.faces), charts=charts)
    cuff = {side: {"cuff": ring("cuff", f"forearm_{side}", 0.5)} for side in ("left", "right")}
    for cloth, options in ((LEATHER, {"style": "gauntlet"}), (KNIT, {"style": "full"})):
        given = cuff if options["style"] == "gauntlet" else {"left": None, "right": None}
        left = glove(form, cloth, given["left"], side="left", **options)
        right = glove(form, cloth, given["right"], side="right", **options)
        for one, two in zip(left.pieces, right.pieces, strict=True):
            mirrored = [e.curve[::-1] * (-1.0, 1.0) for e in reversed(two.edges)]
            for edge, curve in zip(one.edges, mirrored, strict=True):
                assert edge.curve == pytest.approx(curve, abs=1e-6)


def test_uneven_hands_get_uneven_gloves() -> None:
    template = load_template()
    shape = template.presets["woman"].copy()
    shape[template.mode_count + template.local_names.index("hand-fingers-length_left")] = 1.0
    form = form_of(template, shape)
    slots = [part(glove(form, LEATHER, side=s), "palm").edge("slot_2").length for s in ("left", "right")]
    assert abs(slots[0] - slots[1]) > 3.0


def test_girths_of_fingers_are_what_an_independent_cut_reads(woman: Form) -> None:
    # trimesh cuts the same surface; a tape is the convex hull of the cut.
    hand = hand_of(woman, "left")
    vertices = woman.standing.vertices
    of_hand = woman.face_region == woman.region_names.index("hand_left")
    mesh = trimesh.Trimesh(vertices, woman.standing.faces[of_hand], process=False)
    for digit in hand.digits:
        tip = vertices[digit_parts("left").tips[digit.name]]
        for number in (2, 6):
            normal = np.cross(*(digit.rings[number][[4, 9]] - digit.rings[number][0]))
            origin = digit.rings[number].mean(axis=0)
            near = np.linalg.norm(digit.rings[number] - origin, axis=1).max() + 2.0
            segments = trimesh.intersections.mesh_plane(mesh, normal, origin)
            segments = segments[np.linalg.norm(segments - origin, axis=2).max(axis=1) < near].reshape(-1, 3)
            u = np.linalg.svd(normal[None])[2][1:]
            flat = segments @ u.T
            hull = flat[ConvexHull(flat).vertices]
            assert digit.girths[number] == pytest.approx(length(hull, closed=True), abs=0.3), digit.name
        assert np.linalg.norm(tip - digit.rings[0].mean(axis=0)) < digit.length


def test_a_finger_of_the_glove_is_as_wide_as_the_finger_and_its_ease(woman: Form) -> None:
    # Two halves and the strips beside them go round the finger: at its root, girth x (1 + ease).
    result = glove(woman, LEATHER, ease="5 %")
    hand = hand_of(woman, "left")
    palm = part(result, "palm")
    strip = part(result, "strip_2")
    widest = np.ptp(strip.stitch_line[:, 1])
    left, right = palm.edge("slot_1"), palm.edge("slot_2")
    into = 14.0  # above the ends of both slots, where the finger has its own width
    inner = points_at(left.curve, [arc_lengths(left.curve)[np.argmin(left.curve[:, 1])] - into - 5.0])
    outer = points_at(right.curve, [arc_lengths(right.curve)[np.argmin(right.curve[:, 1])] + into + 5.0])
    across = float(np.linalg.norm(inner - outer))
    along = into + 1.0
    wanted = 1.05 * float(hand.digits[2].girth(along))
    share = float(strip_share(along / (0.85 * hand.digits[2].length)))
    assert 2.0 * across + 2.0 * widest * share == pytest.approx(wanted, abs=1.5)


def test_the_thumb_s_lower_edge_is_a_true_quarter_of_an_ellipse() -> None:
    # Perimeter of an ellipse by the complete elliptic integral (scipy), Abramowitz & Stegun 17.3.
    for half, tongue in ((30.0, 35.0), (40.0, 20.0)):
        long, short = max(half, tongue), min(half, tongue)
        exact = long * ellipe(1.0 - (short / long) ** 2)
        assert length(_lower(half, tongue)) == pytest.approx(exact, rel=1e-4)


def test_the_cuff_reaches_the_placed_edge(woman: Form) -> None:
    slanted = line(
        "cuff", "forearm_left", [(0.5 + 0.08 * np.cos(2 * np.pi * k / 12), k / 12, False) for k in range(12)]
    )
    result = glove(woman, LEATHER, {"cuff": slanted}, style="gauntlet")
    chart = woman.charts["forearm_left"]
    middles = chart.sections.mean(axis=1)
    along = arc_lengths(middles)
    for name in ("palm", "back"):
        cuff = part(result, name).edge("cuff").curve
        ends = (cuff[0, 1], cuff[-1, 1]) if name == "palm" else (cuff[-1, 1], cuff[0, 1])
        # Way round 0 is the thumb's side, 0.5 the little finger's.
        for height, station in zip(ends, (0.58, 0.42), strict=True):
            assert height == pytest.approx(
                float(np.interp(station, chart.stations, along) - along[-1]), abs=0.5
            )
    girth = sum(np.ptp(part(result, n).edge("cuff").curve[:, 0]) for n in ("palm", "back"))
    assert girth == pytest.approx(1.04 * float(chart.girth(0.5)), rel=0.03)
    assert part(result, "palm").edge("slit").role == "closure"
    assert result.items[0].slug == "snap_10mm"


def test_how_the_hand_gets_in(woman: Form) -> None:
    def opening(result: DraftResult) -> float:
        return next(check.value for check in result.checks if "passes" in check.what)

    leather = glove(woman, LEATHER)
    assert opening(leather) > 1.3
    assert any("slit" in edge.slug for edge in part(leather, "palm").edges)
    closed = glove(woman, LEATHER, opening="none")
    failed = [check for check in closed.checks if not check.passed]
    assert "slit" in failed[0].advice
    assert closed.pieces[0].verdict.level == "paper"
    knit = glove(woman, KNIT)
    assert opening(knit) <= 1.0
    assert not any("slit" in edge.slug for edge in part(knit, "palm").edges)
    elastic = glove(woman, WOVEN, opening="elastic")
    assert opening(elastic) <= 1.0
    # 90 to 100 % of the wrist and half an inch: the middle of the usual range.
    wrist = float(hand_of(woman, "left").girth(0.0))
    assert elastic.items[0].length == pytest.approx(0.95 * wrist + 12.7)
    cut = 2.0 * part(elastic, "palm").edge("cuff").length
    assert cut >= 1.15 * float(woman.charts["hand_left"].girth(1.0))


def test_layers_beneath_make_room(woman: Form) -> None:
    over, bare = glove(woman, LEATHER, stack=2.0), glove(woman, LEATHER)
    added = [2.0 * part(r, "palm").edge("cuff").length for r in (over, bare)]
    assert added[0] - added[1] == pytest.approx(2.0 * np.pi * 2.0, abs=0.2)


def test_a_lifelike_surface_reaches_the_fingertips(woman: Form) -> None:
    (surface,) = glove(woman, LEATHER, {"cuff": ring("c", "forearm_left", 0.4)}, style="gauntlet").worn
    assert len(surface.mesh.faces) <= 3000
    off = np.linalg.norm(surface.mesh.vertices - woman.landmarks["fingertip_left"], axis=1).min()
    assert off < 4.0
    top = surface.mesh.vertices[:, 2].max()
    assert top == pytest.approx(float(woman.charts["forearm_left"].height(0.4)), abs=15.0)
    volume = trimesh.Trimesh(surface.mesh.vertices, surface.mesh.faces, process=False).volume
    assert volume > 0.0


def test_wrist_and_knuckles_are_drawn(woman: Form) -> None:
    labels = {inner.label for inner in part(glove(woman, LEATHER), "back").lines}
    assert {"wrist", "knuckles", "to the middle finger"} <= labels
    placed = glove(woman, LEATHER, {"knuckles": ring("k", "hand_left", 0.9)})
    drawn = next(inner for inner in part(placed, "back").lines if inner.label == "knuckles")
    level = next(inner for inner in part(glove(woman, LEATHER), "back").lines if inner.label == "knuckles")
    assert drawn.curve[:, 1].mean() < level.curve[:, 1].mean() - 4.0


@pytest.mark.parametrize(
    ("cloth", "edges", "side", "options", "words"),
    [
        (FOAM, {}, "left", {}, "too stiff"),
        (LEATHER, {}, "middle", {}, "for one hand"),
        (LEATHER, {}, "left", {"style": "gauntlet"}, "needs the edge"),
        (LEATHER, {"cuff": ring("c", "forearm_right", 0.5)}, "left", {}, "left hand or forearm"),
        (LEATHER, {"cuff": ring("c", "hand_left", 0.7)}, "left", {}, "root of the thumb"),
        (WOVEN, {}, "left", {"construction": "two_piece"}, "does not stretch enough"),
    ],
)
def test_what_cannot_work_is_refused(
    woman: Form, cloth: Cloth, edges: dict[str, DesignEdge], side: str, options: dict[str, str], words: str
) -> None:
    with pytest.raises(DraftError, match=words) as refusal:
        glove(woman, cloth, edges, side=side, **options)
    assert refusal.value.advice
    assert refusal.value.where


def capsules(digits: int) -> tuple[np.ndarray, list[float]]:
    """A hand of round-ended fingers on a round palm, with the lengths from web to tip."""
    palm = Polygon([(-42, 0), (42, 0), (42, 95), (-42, 95)])
    tips = [(-85.0, 95.0), (-36.0, 172.0), (-12.0, 182.0), (13.0, 174.0), (37.0, 146.0)][:digits]
    roots = [(-36.0, 40.0), (-31.0, 85.0), (-11.0, 85.0), (11.0, 85.0), (31.0, 80.0)][:digits]
    fingers = [
        LineString([root, tip]).buffer(9.0, quad_segs=32) for root, tip in zip(roots, tips, strict=True)
    ]
    hand = union_all([palm, *fingers])
    outline = np.array(hand.exterior.coords)[:-1]
    if not hand.exterior.is_ccw:
        outline = outline[::-1]
    start = int(np.argmin(np.linalg.norm(outline - (42, 0), axis=1)))
    outline = np.roll(outline, -start, axis=0)
    return outline, [t[1] + 9.0 for t in tips]


def trace_of(outline: np.ndarray) -> Trace:
    path = DrawnPath(
        name="hand", groups=(), points=outline, closed=False, nodes=np.arange(len(outline), dtype=np.int64)
    )
    return Trace(file="hand.svg", lines=(path,))


@pytest.mark.parametrize("turned", [False, True])
def test_a_traced_hand_gives_its_own_fingers(man: Form, turned: bool) -> None:
    outline, tops = capsules(5)
    if turned:
        outline = outline[::-1] * (-1.0, 1.0)
    like = hand_of(man, "left")
    hand = traced_hand(trace_of(outline).lines, 0.0, like)
    # Webs lie on the palm's straight top at 95 mm, tips at the ends of the round fingers.
    assert hand.webs[1:] == pytest.approx([95.0] * 3, abs=0.3)
    for finger, top in ((hand.digits[2], tops[2]), (hand.digits[3], tops[3])):
        assert finger.length == pytest.approx(top - 95.0, abs=0.3)
    for finger in hand.digits[1:]:
        assert finger.girths[:8] == pytest.approx(np.full(8, finger.girths[0]), rel=5e-3)  # 18 mm all along
        assert 2.8 < finger.girths[0] / 18.0 < math.pi  # flatter than a circle
    inside = traced_hand(trace_of(outline).lines, 2.0, like)
    assert inside.digits[2].girths[3] / hand.digits[2].girths[3] == pytest.approx(14.0 / 18.0, rel=1e-3)
    assert inside.digits[2].length == pytest.approx(hand.digits[2].length, abs=1e-6)
    result = glove(man, LEATHER, trace=trace_of(outline))
    assert all(check.passed for check in result.checks)
    assert not any("fingers follow" in reason.why for reason in result.pieces[0].verdict.reasons)
    traced = part(result, "palm").edge("slot_2").length
    assert traced != pytest.approx(part(glove(man, LEATHER), "palm").edge("slot_2").length, abs=1.0)


def test_a_tracing_without_five_fingers_is_refused(man: Form) -> None:
    outline, _ = capsules(4)
    with pytest.raises(DraftError, match="4 fingertips, not five") as refusal:
        glove(man, LEATHER, trace=trace_of(outline))
    assert "wrist open" in refusal.value.advice
    with pytest.raises(DraftError, match="no line"):
        glove(man, LEATHER, trace=Trace(file="x.svg"))
