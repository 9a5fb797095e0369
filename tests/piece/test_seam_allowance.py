from dataclasses import replace

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import LineString, Point, Polygon

from layfigure.errors import DraftError
from layfigure.piece.piece import EdgeRole, PieceEdge
from layfigure.piece.seam_allowance import SPIKE_LIMIT, cut_line
from sample_pieces import all_samples, arc, leg_panel, small_tab


def straight(
    corners: list[tuple[float, float]], allowances: list[float], roles: dict[int, EdgeRole] | None = None
) -> list[PieceEdge]:
    """Edges between corners."""
    return [
        PieceEdge(
            slug=f"edge_{i}",
            curve=np.array([corners[i], corners[(i + 1) % len(corners)]], dtype=float),
            role=(roles or {}).get(i, "seam"),
            allowance=allowances[i],
        )
        for i in range(len(corners))
    ]


def area_of(edges: list[PieceEdge]) -> Polygon:
    return Polygon(np.concatenate([edge.curve[:-1] for edge in edges]))


def same(one: Polygon, other: Polygon, tolerance: float = 0.002) -> bool:
    return one.hausdorff_distance(other) < tolerance


@st.composite
def convex_outlines(draw: st.DrawFn) -> list[tuple[float, float]]:
    """Corners on an ellipse: convex, with corners from sharp to blunt."""
    count = draw(st.integers(3, 8))
    gaps = np.array(draw(st.lists(st.floats(1.0, 4.0), min_size=count, max_size=count)))
    angles = 2.0 * np.pi * np.cumsum(gaps) / gaps.sum()
    wide, high = draw(st.floats(80.0, 300.0)), draw(st.floats(80.0, 300.0))
    return [(wide * np.cos(t), high * np.sin(t)) for t in angles]


@given(convex_outlines(), st.floats(3.0, 25.0))
@settings(max_examples=60, deadline=None)
def test_one_allowance_all_round_is_the_parallel_with_sharp_points_cut_off(
    corners: list[tuple[float, float]], allowance: float
) -> None:
    # Independent: shapely's mitred buffer (GEOS), wherever no corner reaches the limit.
    edges = straight(corners, [allowance] * len(corners))
    outline = area_of(edges)
    cut = Polygon(cut_line(edges))
    mitred = outline.buffer(allowance, join_style="mitre", mitre_limit=100.0)
    assert cut.is_valid
    assert mitred.buffer(0.002).contains(cut)
    reach = max(Point(p).distance(outline) for p in cut.exterior.coords)
    # A point cut off square at the limit is at most two allowances wide there.
    assert reach <= np.hypot(SPIKE_LIMIT, 1.0) * allowance + 0.002
    farthest = max(Point(p).distance(outline) for p in mitred.exterior.coords)
    if farthest <= SPIKE_LIMIT * allowance:
        assert same(cut, mitred)


@given(convex_outlines(), st.lists(st.floats(2.0, 20.0), min_size=8, max_size=8))
@settings(max_examples=60, deadline=None)
def test_every_edge_keeps_its_own_allowance(corners: list[tuple[float, float]], widths: list[float]) -> None:
    edges = straight(corners, widths[: len(corners)])
    cut = Polygon(cut_line(edges))
    assert cut.is_valid
    assert cut.buffer(0.001).contains(area_of(edges))
    for edge in edges:
        start, end = edge.curve
        along = (end - start) / np.linalg.norm(end - start)
        outward = np.array([along[1], -along[0]])
        # Along the middle of the edge, where no corner has a say, the cut line is exactly this far out.
        middle = 0.5 * (start + end)
        ray = LineString([middle, middle + 60.0 * outward])
        crossing = shapely.get_coordinates(ray.intersection(cut.exterior))
        far = np.linalg.norm(crossing - middle, axis=1).min()
        if edge.length > 6.0 * max(widths):
            assert far == pytest.approx(edge.allowance, abs=0.002)


def test_a_rectangle_with_four_allowances() -> None:
    cut = cut_line(straight([(0, 0), (100, 0), (100, 50), (0, 50)], [10, 20, 5, 0]))
    assert same(Polygon(cut), shapely.box(0.0, -10.0, 120.0, 55.0))


def test_nothing_crosses_a_fold() -> None:
    # The fold slopes: strips beside it end on its line, extended, both where they lengthen and shorten.
    edges = straight([(0, 0), (100, 0), (150, 50), (0, 50)], [10, 0, 10, 10], {1: "fold"})
    cut = cut_line(edges)
    along = np.array([1.0, 1.0]) / np.sqrt(2.0)
    beyond = (cut - [100.0, 0.0]) @ np.array([along[1], -along[0]])
    assert beyond.max() < 0.001
    for expected in ((90.0, -10.0), (160.0, 60.0)):
        assert np.linalg.norm(cut - expected, axis=1).min() < 0.001


def test_a_hem_is_the_mirror_image_of_the_seams_beside_it() -> None:
    # A flared hem: turned up along its stitch line, its ends fall on the seams' cut lines.
    edges = straight([(0, 0), (200, 0), (160, 300), (40, 300)], [30, 10, 10, 10], {0: "hem", 2: "opening"})
    cut = Polygon(cut_line(edges))
    hem = cut.intersection(shapely.box(-100.0, -30.0, 300.0, 0.0))
    turned_up = shapely.affinity.scale(hem, yfact=-1.0, origin=(0.0, 0.0))
    above = cut.intersection(shapely.box(-100.0, 0.0, 300.0, 30.0))
    assert same(turned_up, above)
    # The check can fail: without the mirrored ends it would not fit.
    plain = straight([(0, 0), (200, 0), (160, 300), (40, 300)], [30, 10, 10, 10])
    square = Polygon(cut_line(plain)).intersection(shapely.box(-100.0, -30.0, 300.0, 0.0))
    assert not same(shapely.affinity.scale(square, yfact=-1.0, origin=(0.0, 0.0)), above, 1.0)


def test_smooth_edges_of_different_width_meet_in_a_square_step() -> None:
    edges = straight([(0, 0), (100, 0), (200, 0), (200, 100), (0, 100)], [20, 10, 10, 10, 10])
    cut = Polygon(cut_line(edges))
    assert same(cut, shapely.union_all([shapely.box(-10, -10, 210, 110), shapely.box(-10, -20, 100, 0)]))


def test_a_concave_corner_is_not_doubled() -> None:
    edges = straight([(0, 0), (100, 0), (100, 100), (50, 100), (50, 50), (0, 50)], [10.0] * 6)
    expected = area_of(edges).buffer(10.0, join_style="mitre")
    assert same(Polygon(cut_line(edges)), expected)


@pytest.mark.parametrize("piece", all_samples(), ids=lambda piece: piece.slug)
def test_sample_pieces_keep_their_allowances_along_curves(piece: object) -> None:
    edges = piece.edges  # type: ignore[attr-defined]
    cut = Polygon(cut_line(edges))
    assert cut.is_valid
    assert cut.exterior.is_ccw
    for edge in edges:
        inner = edge.curve[len(edge.curve) // 3 : -(len(edge.curve) // 3) or None]
        far = [cut.exterior.distance(Point(p)) for p in inner]
        if len(inner) > 4:
            assert far == pytest.approx([edge.allowance] * len(inner), abs=0.01)


def test_a_circle_becomes_a_larger_circle() -> None:
    ring = arc((0, 0), 100.0, 0.0, 360.0, 721)
    edges = [
        PieceEdge(slug="low", curve=ring[:361], role="seam", allowance=10.0),
        PieceEdge(slug="high", curve=ring[360:], role="seam", allowance=10.0),
    ]
    radius = np.linalg.norm(cut_line(edges), axis=1)
    assert radius == pytest.approx(np.full(len(radius), 110.0), abs=0.01)


def test_an_outline_that_crosses_itself_is_refused() -> None:
    with pytest.raises(DraftError, match="crosses itself"):
        cut_line(straight([(0, 0), (100, 100), (100, 0), (0, 100)], [10.0] * 4))


def test_a_mirrored_panel_gets_the_mirrored_cut_line() -> None:
    one = Polygon(cut_line(leg_panel("one").edges))
    other = Polygon(cut_line(leg_panel("other", mirrored=True).edges))
    assert same(one, shapely.affinity.scale(other, xfact=-1.0, origin=(0.0, 0.0)))


def random_outline(seed: int) -> list[PieceEdge] | None:
    """Curved edges between corners about a middle, any role and allowance; None if it crosses itself."""
    rng = np.random.default_rng(seed)
    count = int(rng.integers(3, 7))
    angles = np.sort(rng.uniform(0.0, 2.0 * np.pi, count))
    if np.diff(np.append(angles, angles[0] + 2.0 * np.pi)).min() < 0.35:
        return None
    radius = rng.uniform(60.0, 260.0, count)
    corners = np.column_stack([radius * np.cos(angles), radius * np.sin(angles) * rng.uniform(0.5, 1.5)])
    roles: list[EdgeRole] = ["seam", "hem", "fold", "opening", "butt", "closure"]
    edges = []
    for i, (a, b) in enumerate(zip(corners, np.roll(corners, -1, axis=0), strict=True)):
        role = roles[rng.choice(6, p=[0.4, 0.2, 0.1, 0.1, 0.1, 0.1])]
        straight_edge = role == "fold"
        t = np.linspace(0.0, 1.0, 2 if straight_edge else int(rng.integers(8, 90)))[:, None]
        sag = 0.0 if straight_edge else rng.uniform(-0.15, 0.2)
        curve = a + t * (b - a) + sag * np.sin(np.pi * t) * np.array([(b - a)[1], -(b - a)[0]])
        allowance = 0.0 if role in ("fold", "butt") else float(rng.uniform(3.0, 25.0))
        edges.append(PieceEdge(slug=str(i), curve=curve, role=role, allowance=allowance))
    area = area_of(edges)
    return edges if area.is_valid and area.exterior.is_ccw else None


def test_any_outline_gets_a_cut_line_without_spikes_slits_or_narrow_places() -> None:
    drawn = 0
    for seed in range(300):
        edges = random_outline(seed)
        if edges is None:
            continue
        drawn += 1
        area, cut = area_of(edges), Polygon(cut_line(edges))
        widest = max(edge.allowance for edge in edges)
        assert cut.is_valid
        assert cut.buffer(0.002).contains(area)
        reach = max(Point(p).distance(area) for p in cut.exterior.coords)
        assert reach <= np.hypot(SPIKE_LIMIT, 1.0) * widest + 0.01
        for edge in edges:
            # Away from corners the cut line is never nearer than the edge's own allowance.
            for share in np.linspace(0.35, 0.65, 7):
                at = LineString(edge.curve).interpolate(share, normalized=True)
                others = [LineString(e.curve).distance(at) for e in edges if e is not edge]
                if min(others) > 2.5 * widest:
                    assert cut.exterior.distance(at) >= edge.allowance - 0.02
        # A spike or a slit turns the line straight back on itself.
        ring = np.array(cut.exterior.coords)[:-1]
        steps = np.roll(ring, -1, axis=0) - ring
        steps = steps / np.linalg.norm(steps, axis=1, keepdims=True)
        assert np.einsum("ij,ij->i", steps, np.roll(steps, 1, axis=0)).min() > -0.999
    assert drawn > 80  # the rest crossed themselves


def test_a_kept_cut_line_is_for_the_same_edges_only_and_cannot_be_spoilt() -> None:
    edges = small_tab().edges
    cut = cut_line(edges)
    assert cut_line(edges) is cut
    with pytest.raises(ValueError, match="read-only"):
        cut += 1.0
    wider = tuple(replace(edge, allowance=edge.allowance + 2.0) for edge in edges)
    assert np.ptp(cut_line(wider), axis=0) == pytest.approx(np.ptp(cut, axis=0) + 4.0)
