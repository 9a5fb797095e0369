"""Windows across seams: cut through both mates, matched at the seam."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from knit_requests import draft, faults, lens, preset, walked_faults

from layfigure.body.form import Form
from layfigure.draft.registry import DraftResult
from layfigure.errors import DraftError
from layfigure.geometry.polyline import length, points_at

OPTIONS = {"garment": "top", "sleeves": False, "across_seams": True}


@pytest.fixture(scope="module")
def woman() -> Form:
    return preset("woman")


@pytest.fixture(scope="module")
def crossed(woman: Form) -> DraftResult:
    edges = {"eye": lens("eye", "torso", 2.2, 0.25, 0.35, 0.06)}
    return draft(woman, edges=edges, windows=("eye",), backing="net", options=OPTIONS)


def test_both_mates_carry_their_part_up_to_the_same_notches(woman: Form, crossed: DraftResult) -> None:
    assert faults(crossed) == []
    own = tuple(piece for piece in crossed.pieces if "backing" not in piece.slug)
    assert walked_faults(own) == []
    parts = []
    for piece in own:
        (line,) = [each for each in piece.lines if each.label == "eye: cut after sewing the seam"]
        edge = piece.edge("side_left")
        notches = {n.name: points_at(edge.curve, [n.distance])[0] for n in edge.notches}
        ends = {
            name: min(np.linalg.norm(line.curve[k] - place) for k in (0, -1))
            for name, place in notches.items()
            if name.startswith("eye")
        }
        assert set(ends) == {"eye 1", "eye 2"}
        assert max(ends.values()) < 1e-6
        assert shapely.Polygon(piece.stitch_line).buffer(0.5).covers(shapely.LineString(line.curve))
        parts.append(line.curve)
    # Together the two parts are the whole window, smaller by the ease: 10 % round, 2 % along.
    whole = sum(length(part) for part in parts)
    lens_on_body = crossed.worn_on(woman)[0].mesh
    assert 150.0 < whole < 320.0
    assert len(lens_on_body.faces) <= 3000


def test_the_cut_out_area_is_that_of_the_same_window_in_one_panel(woman: Form, crossed: DraftResult) -> None:
    # The same lens at the front, clear of seams; the trunk is rounder there, so only nearly as large.
    edges = {"eye": lens("eye", "torso", 2.2, 0.08, 0.35, 0.06)}
    whole = draft(woman, edges=edges, windows=("eye",), backing="net", options=OPTIONS)
    (window,) = next(p for p in whole.pieces if p.slug == "suit_front").windows
    one = shapely.Polygon(window.curve).area
    two = 0.0
    for piece in crossed.pieces:
        if "backing" in piece.slug:
            continue
        (line,) = [each for each in piece.lines if each.kind == "placement"]
        two += shapely.Polygon(line.curve).area
    assert two == pytest.approx(one, rel=0.12)


def test_the_backing_is_trimmed_behind_its_own_part(crossed: DraftResult) -> None:
    for piece in crossed.pieces:
        if "backing" in piece.slug:
            (trim,) = [line for line in piece.lines if line.kind == "trim"]
            (edge,) = [line for line in piece.lines if line.label.startswith("eye: cut")]
            assert shapely.Polygon(trim.curve).buffer(0.1).covers(shapely.LineString(edge.curve))
    note = " ".join(crossed.pieces[0].note)
    assert "runs across a seam. Sew that seam in front and in the backing first" in note


def test_it_is_done_only_if_asked_and_only_with_a_backing(woman: Form) -> None:
    edges = {"eye": lens("eye", "torso", 2.2, 0.25, 0.35, 0.06)}
    with pytest.raises(DraftError, match="across_seams = true"):
        draft(woman, edges=edges, windows=("eye",), backing="net", options=OPTIONS | {"across_seams": False})
    with pytest.raises(DraftError, match="nothing would hold the edge"):
        draft(woman, edges=edges, windows=("eye",), options=OPTIONS)


@pytest.mark.parametrize(
    ("station", "around", "told"),
    [(0.95, 0.25, "where seams meet|leaves the garment|an edge"), (3.45, 0.25, "left between|leaves")],
)
def test_windows_where_seams_meet_or_an_edge_runs_are_refused(
    woman: Form, station: float, around: float, told: str
) -> None:
    edges = {"eye": lens("eye", "torso", station, around, 0.35, 0.06)}
    with pytest.raises(DraftError, match=told):
        draft(woman, edges=edges, windows=("eye",), backing="net", options=OPTIONS)


def test_a_window_over_three_panels_leaves_the_middle_one_its_ends(woman: Form) -> None:
    edges = {"eye": lens("eye", "torso", 2.2, 0.19, 0.3, 0.13)}
    options = OPTIONS | {"seams": "princess"}
    result = draft(woman, edges=edges, windows=("eye",), backing="net", options=options)
    own = {piece.slug: piece for piece in result.pieces if "backing" not in piece.slug}
    assert walked_faults(tuple(own.values())) == []
    lines = {
        slug: [line.curve for line in piece.lines if line.label.startswith("eye: cut")]
        for slug, piece in own.items()
    }
    assert {slug: len(found) for slug, found in lines.items()} == {
        "suit_front": 1,
        "suit_back": 1,
        "suit_front_side_left": 2,
        "suit_front_side_right": 0,
    }
    # Its own backing is trimmed to the strip between the two lines, not to what lies above or below.
    behind = next(p for p in result.pieces if p.slug == "suit_backing_front_side_left")
    (trim,) = [line for line in behind.lines if line.kind == "trim"]
    upper, lower = (line[:, 1].mean() for line in lines["suit_front_side_left"])
    inside = shapely.Polygon(trim.curve)
    middle = np.vstack(lines["suit_front_side_left"]).mean(axis=0)
    assert inside.contains(shapely.Point(middle))
    assert np.ptp(trim.curve[:, 1]) < abs(upper - lower) + 60.0
