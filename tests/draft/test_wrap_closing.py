"""What closes a wrap is drawn on it and on the list of what to buy; lattices keep their lining.

Sources: girths of a cylinder by hand; spacing of lacing, width of straps: common practice, no source.
"""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from shapely import Polygon
from stiff_limbs import FOAM, draft, form_with, ring, round_limb

from layfigure.design.design import PieceStatement
from layfigure.draft.registry import DraftRequest, DraftResult, validated_options
from layfigure.draft.wrap.kind import KIND
from layfigure.errors import DraftError
from layfigure.materials.cloth import Cloth
from layfigure.piece.piece import InnerLine, Piece
from layfigure.place.place import place_edge
from layfigure.place.placement import Placement

REGION = "shank_left"
CYLINDER = form_with(round_limb(REGION, [50.0, 50.0], 300.0))
EDGES = {"bottom": ring("b", REGION, 0.9), "top": ring("t", REGION, 0.1)}
HEIGHT = 240.0
INNER = 2.0 * math.pi * 53.0
FELT = replace(FOAM, slug="felt", kind="woven", name="felt", thickness=1.0)


def wrap(options: dict[str, Any] | None = None) -> DraftResult:
    return draft(KIND, CYLINDER, EDGES, options)


def with_cloths(options: dict[str, Any], **cloths: Cloth) -> DraftResult:
    """A wrap with lining or stiffener."""
    statement = PieceStatement(
        slug="guard",
        kind="wrap",
        cloth="foam",
        side="left",
        edges={role: edge.slug for role, edge in EDGES.items()},
        cloths={role: cloth.slug for role, cloth in cloths.items()},
    )
    placed = {edge.slug: place_edge(edge, CYLINDER) for edge in EDGES.values()}
    return KIND.draft(
        DraftRequest(
            statement=statement,
            options=validated_options(KIND, options, where="guard"),
            form=CYLINDER,
            placement=Placement(wearer="", edges=placed),
            cloths={"foam": FOAM, **{cloth.slug: cloth for cloth in cloths.values()}},
        )
    )


def holes(piece: Piece) -> list[InnerLine]:
    return [line for line in piece.lines if line.kind == "placement" and line.closed]


def test_an_overlap_is_closed_by_hook_and_loop_as_long_as_the_end_and_as_wide_as_the_lap() -> None:
    (tape,) = wrap({"overlap": "40 mm"}).items
    assert tape.slug == "hook_and_loop_40mm"
    assert (tape.count, tape.length) == (1, pytest.approx(HEIGHT, abs=0.1))


def test_bands_that_are_joined_share_one_tape_and_bands_cut_apart_do_not() -> None:
    (tape,) = wrap({"bands": 2}).items
    assert tape.length == pytest.approx(HEIGHT, abs=0.1)
    apart = wrap({"lattice": {"bands": 3, "points": 4, "joined": "separate"}}).items
    assert len(apart) == 3
    assert sum(item.length or 0.0 for item in apart) == pytest.approx(HEIGHT, abs=0.5)


def test_lacing_holes_are_drawn_evenly_on_both_ends_and_bought() -> None:
    result = wrap({"join": "lacing", "lacing_gap": "30 mm"})
    (piece,) = result.pieces
    middles = np.array([hole.curve.mean(axis=0) for hole in holes(piece)])
    # 240 mm less 10 at either end, in 9 steps of about 25 mm: ten on each end.
    assert len(middles) == 20
    left, right = middles[middles[:, 0] < 0.0], middles[middles[:, 0] > 0.0]
    for end, slug in ((left, "left"), (right, "right")):
        heights = np.sort(end[:, 1])
        assert np.diff(heights) == pytest.approx(np.full(9, 220.0 / 9.0), abs=0.05)
        edge = piece.edge(slug).curve
        assert np.abs(end[:, 0] - edge[0, 0]) == pytest.approx(np.full(10, 10.0), abs=0.05)
    assert np.sort(left[:, 1]) == pytest.approx(np.sort(right[:, 1]), abs=0.05)
    assert all(np.ptp(hole.curve, axis=0) == pytest.approx([5.0, 5.0], abs=0.1) for hole in holes(piece))
    eyelets, lace = result.items
    assert eyelets.count == 20
    # Ten rows: once across, nine crossings each way, and the ends.
    assert lace.length == pytest.approx(50.0 + 18.0 * math.hypot(50.0, 25.0) + 600.0, abs=1.0)
    assert any("punch the holes as drawn" in line for line in piece.note)


def test_no_hole_is_punched_into_an_opening_of_a_lattice() -> None:
    result = wrap({"join": "lacing", "lattice": {"bands": 3, "points": 6}})
    (piece,) = result.pieces
    openings = [Polygon(window.curve) for window in piece.windows]
    punched = [Polygon(hole.curve) for hole in holes(piece)]
    assert 8 <= len(punched) < 20
    assert all(hole.distance(opening) >= 2.0 - 1e-6 for hole in punched for opening in openings)
    assert result.items[0].count == len(punched)


def test_a_plate_is_strapped_round_what_it_leaves_free() -> None:
    *straps, buckles = wrap({"cover": "60 %"}).items
    assert [strap.slug for strap in straps] == ["strap_25mm", "strap_25mm"]
    for strap in straps:
        assert strap.length == pytest.approx(0.4 * INNER + 220.0, rel=2e-3)
    assert (buckles.slug, buckles.count) == ("buckle_25mm", 2)


def test_what_is_glued_shut_needs_nothing() -> None:
    assert wrap({"join": "butt"}).items == ()


def test_a_mirrored_pair_is_bought_twice() -> None:
    form = form_with(
        round_limb("shank_left", [50.0, 50.0], 300.0), round_limb("shank_right", [50.0, 50.0], 300.0)
    )
    (tape,) = draft(KIND, form, EDGES, {"overlap": "50 mm"}, side="both").items
    assert tape.count == 2


def test_a_lattice_in_one_piece_is_lined_whole_and_its_openings_cut_after() -> None:
    sheet, lining = with_cloths({"lattice": {"bands": 3, "points": 4}}, lining=FELT).pieces
    assert lining.cloth == "felt"
    assert not lining.windows
    drawn = [line for line in lining.lines if line.kind == "trim"]
    assert len(drawn) == len(sheet.windows) == 8
    for line, window in zip(drawn, sheet.windows, strict=True):
        assert line.closed
        assert line.curve is window.curve
    assert any("openings last" in line for line in lining.note)


def test_bands_cut_apart_are_lined_one_by_one() -> None:
    said = {"lattice": {"bands": 3, "points": 4, "joined": "separate"}}
    pieces = with_cloths(said, lining=FELT).pieces
    assert [piece.cloth for piece in pieces] == ["foam"] * 3 + ["felt"] * 3


def test_a_stiffener_in_a_lattice_of_one_piece_is_refused() -> None:
    with pytest.raises(DraftError, match="no room for a stiffener") as told:
        with_cloths({"lattice": {"bands": 3, "points": 4}}, stiffener=FELT)
    assert "cut the bands apart" in told.value.advice
