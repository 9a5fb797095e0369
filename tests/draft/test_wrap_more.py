"""Wraps beyond the plain sheet: lattices, linings and stiffeners, joints, and how they show on the body."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from shapely import Point, Polygon
from stiff_limbs import FOAM, draft, form_with, ring, round_limb

from layfigure.draft.registry import DraftRequest, validated_options
from layfigure.draft.wrap.kind import KIND, draft_wrap
from layfigure.errors import DraftError
from layfigure.geometry.polyline import points_at
from layfigure.materials.cloth import Cloth
from layfigure.piece.piece import Piece
from layfigure.piece.seam_allowance import cut_line
from layfigure.place.place import place_edge
from layfigure.place.placement import Placement

REGION = "shank_left"
LEATHER = Cloth(
    slug="leather",
    kind="leather",
    name="leather",
    width=1000.0,
    areal_mass=1500.0,
    thickness=2.0,
    tested=True,
)
CYLINDER = form_with(round_limb(REGION, [50.0, 50.0], 300.0))
EDGES = {"bottom": ring("b", REGION, 0.9), "top": ring("t", REGION, 0.1)}
GIRTH = 2.0 * math.pi * (50.0 + 3.0 + 0.4 * 2.0)


def lattice(**said: object) -> dict[str, object]:
    return {"lattice": {"bands": 3, "points": 4, **said}}


def upper(piece: Piece) -> np.ndarray:
    parts = [edge.curve[::-1] for edge in piece.edges if edge.slug.startswith("top")]
    return np.concatenate(parts[::-1])


def lower(piece: Piece) -> np.ndarray:
    return np.concatenate([edge.curve for edge in piece.edges if edge.slug.startswith("bottom")])


def test_points_of_neighbouring_bands_meet() -> None:
    result = draft(KIND, CYLINDER, EDGES, lattice(joined="separate"), cloth=LEATHER)
    assert len(result.pieces) == 3
    for below, above in zip(result.pieces[:-1], result.pieces[1:], strict=True):
        # On a cylinder the sheet is a rectangle: heights on the paper are heights on the limb.
        x = np.linspace(-0.5, 0.5, 1001) * (GIRTH - 2.0)
        high = np.interp(x, *upper(below)[np.argsort(upper(below)[:, 0])].T)
        low = np.interp(x, *lower(above)[np.argsort(lower(above)[:, 0])].T)
        assert (low - high).min() == pytest.approx(0.0, abs=0.15)
        # Between points each gives up a quarter of its 80 mm: the gap is 40 mm.
        assert (low - high).max() == pytest.approx(40.0, abs=0.5)
        assert int((np.diff(np.sign(low - high - 20.0)) != 0).sum()) == 8
    for piece in result.pieces:
        assert Polygon(piece.stitch_line).is_valid
        cut_line(piece.edges)


def test_in_one_piece_the_openings_leave_necks_as_wide_as_asked() -> None:
    result = draft(KIND, CYLINDER, EDGES, lattice(neck="14 mm"), cloth=LEATHER)
    (piece,) = result.pieces
    holes = [Polygon(window.curve) for window in piece.windows]
    assert len(holes) == 2 * 4
    outline = Polygon(piece.stitch_line)
    assert all(hole.is_valid and outline.contains(hole) for hole in holes)
    first, second = sorted(holes[:4], key=lambda hole: hole.centroid.x)[:2]
    assert first.distance(second) == pytest.approx(14.0, abs=0.1)
    # A diamond: half of its width times its height.
    assert first.area == pytest.approx(0.5 * (GIRTH / 4 - 14.0) * 40.0, rel=0.01)


def test_linked_bands_leave_the_gap_and_list_their_elastic() -> None:
    result = draft(KIND, CYLINDER, EDGES, lattice(joined="elastic", gap="9 mm"), cloth=LEATHER)
    heights = [np.ptp(np.concatenate([lower(p), upper(p)])[:, 1]) for p in result.pieces]
    assert sum(heights) == pytest.approx(240.0 - 2 * 9.0, abs=0.5)
    (elastic,) = (item for item in result.items if item.slug == "elastic_10mm")
    assert (elastic.count, elastic.length) == (2 * 5, 9.0 + 30.0)


@pytest.mark.parametrize(
    ("said", "words"),
    [({"points": 12, "neck": "3 cm"}, "openings close up"), ({"bands": 9, "joined": "separate"}, None),
     ({"bands": 9, "joined": "elastic", "gap": "2 cm"}, "less than 15 mm")],
)  # fmt: skip
def test_a_lattice_that_cannot_be_is_explained(said: dict[str, object], words: str | None) -> None:
    if words is None:
        assert len(draft(KIND, CYLINDER, EDGES, lattice(**said), cloth=LEATHER).pieces) == 9
        return
    with pytest.raises(DraftError, match=words):
        draft(KIND, CYLINDER, EDGES, lattice(**said), cloth=LEATHER)


def with_cloths(**cloths: Cloth) -> tuple[Piece, ...]:
    from layfigure.design.design import PieceStatement

    statement = PieceStatement(
        slug="guard",
        kind="wrap",
        cloth="leather",
        edges={role: edge.slug for role, edge in EDGES.items()},
        cloths={role: cloth.slug for role, cloth in cloths.items()},
    )
    request = DraftRequest(
        statement=statement,
        options=validated_options(KIND, {"cover": "60 %", "inset": "12 mm"}, where="guard"),
        form=CYLINDER,
        placement=Placement(
            wearer="", edges={edge.slug: place_edge(edge, CYLINDER) for edge in EDGES.values()}
        ),
        cloths={"leather": LEATHER, **{cloth.slug: cloth for cloth in cloths.values()}},
    )
    return draft_wrap(request).pieces


def test_a_stiffener_ends_inside_the_sheet_and_a_lining_covers_it() -> None:
    felt = replace(FOAM, slug="felt", kind="woven", thickness=1.0)
    sheet, lining, stiffener = with_cloths(lining=felt, stiffener=FOAM)
    assert (lining.cloth, stiffener.cloth) == ("felt", "foam")
    outline = Polygon(sheet.stitch_line)
    inner = Polygon(stiffener.stitch_line)
    assert outline.contains(inner)
    nearest = min(outline.exterior.distance(Point(p)) for p in stiffener.stitch_line)
    assert nearest == pytest.approx(12.0, abs=0.01)
    assert Polygon(cut_line(lining.edges)).area > outline.area + 9.0 * outline.length
    assert not any(edge.seam for edge in (*lining.edges, *stiffener.edges))


def test_a_wrap_over_the_knee_is_two_parts_with_a_gap() -> None:
    thigh = round_limb("thigh_left", [70.0, 50.0], 400.0)
    shank = round_limb("shank_left", [50.0, 40.0], 400.0)
    form = form_with(thigh, shank)
    edges = {"top": ring("t", "thigh_left", 0.75), "bottom": ring("b", "shank_left", 0.25)}
    result = draft(KIND, form, edges, {"cover": "60 %", "joint": "40 mm"}, cloth=FOAM)
    over, under = result.pieces
    assert under.slug == f"{over.slug}_lower"
    heights = [np.ptp(points_at(piece.edge("left").curve, [0.0, 1e9])[:, 1]) for piece in (over, under)]
    assert heights[0] == pytest.approx(0.25 * 400.0 - 20.0, abs=2.0)
    assert heights[1] == pytest.approx(0.25 * 400.0 - 20.0, abs=2.0)
    assert any("knee" in line for line in over.note)


def test_the_worn_band_stands_off_by_room_and_thickness() -> None:
    (worn,) = draft(KIND, CYLINDER, EDGES, {"air": "3 mm"}, cloth=FOAM, stack=2.0).worn
    radius = np.hypot(*worn.mesh.vertices[:, :2].T)
    assert radius == pytest.approx(np.full(len(radius), 50.0 + 3.0 + 2.0 + 5.0), abs=0.2)
    assert np.ptp(worn.mesh.vertices[:, 2]) == pytest.approx(240.0, abs=0.5)
    assert worn.cloth == "foam"


@pytest.mark.parametrize("side", ["left", "both"])
def test_edges_with_no_joint_between_them_are_refused(side: str) -> None:
    form = form_with(
        round_limb("torso", [140.0, 140.0], 600.0), round_limb("thigh_left", [70.0, 50.0], 400.0)
    )
    edges = {"top": ring("t", "torso", 3.0), "bottom": ring("b", "thigh_left", 0.5)}
    with pytest.raises(DraftError, match="lie on torso and thigh_left"):
        draft(KIND, form, edges, {}, side=side)
