"""Cuts of close garments: seams over the bust, necklines, shorts, undershirts, sleeves."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from knit_requests import draft, faults, preset, request, walked_faults

from layfigure.body.chart import ChartPoint
from layfigure.body.form import Form
from layfigure.body.shape import form_of
from layfigure.body.template import load_template
from layfigure.design.design import DesignEdge, EdgePoint
from layfigure.draft.flatten.panel import Ease
from layfigure.draft.flatten.truing import flatten_panels
from layfigure.draft.flatten.worn_stretch import greatest_stretch_p95
from layfigure.draft.knit.options import KnitOptions
from layfigure.draft.knit.top import top_on
from layfigure.draft.registry import DraftResult
from layfigure.errors import DraftError
from layfigure.geometry.polyline import length
from layfigure.piece.piece import Piece


@pytest.fixture(scope="module")
def woman() -> Form:
    return preset("woman")


@pytest.fixture(scope="module")
def full_busted() -> Form:
    """Body 5 of the benchmark's random ones: a front in one piece stretches by more than a sixth."""
    template = load_template()
    rng = np.random.default_rng(2026)
    for _ in range(6):
        modes = 0.8 * rng.normal(size=template.mode_count)
    shape = np.zeros(len(template.directions))
    shape[: template.mode_count] = modes
    return form_of(template, shape, wearer="B")


def piece(result: DraftResult, slug: str) -> Piece:
    return next(piece for piece in result.pieces if piece.slug == slug)


def front_stretches(form: Form, seams: str) -> list[float]:
    """Stretch on top of the fit, 95th percentile over the area, of every panel of the front."""
    asked = request(form, options={"garment": "bodysuit", "seams": seams})
    assert isinstance(asked.options, KnitOptions)
    flats = flatten_panels(top_on(asked, asked.options).panels, Ease(around=0.0, along=0.0))
    return [greatest_stretch_p95(flat) for slug, flat in flats.items() if slug.startswith("front")]


def test_seams_over_the_bust_bring_a_full_bust_below_the_goal(full_busted: Form) -> None:
    (whole,) = front_stretches(full_busted, "plain")
    parts = front_stretches(full_busted, "princess")
    assert whole > 0.17
    assert len(parts) == 3
    assert max(parts) < 0.14


def test_they_are_proposed_where_strain_asks_and_said_in_the_note(woman: Form, full_busted: Form) -> None:
    flat, full = (draft(form, options={"garment": "bodysuit"}) for form in (woman, full_busted))
    assert piece(flat, "suit_front").note[2].startswith("Sew front to back")
    assert {p.slug for p in full.pieces} >= {"suit_front", "suit_front_side_left", "suit_front_side_right"}
    told = piece(full, "suit_front").note[2]
    assert "in one piece it would stretch the cloth by about 19%" in told
    assert 'seams = "plain"' in told
    assert faults(full) == []
    assert walked_faults(full.pieces) == []


def test_a_princess_seam_meets_the_sleeve_where_it_meets_the_armhole(full_busted: Form) -> None:
    result = draft(full_busted, options={"garment": "bodysuit"})
    sleeve = piece(result, "suit_sleeve_left")
    assert [e.slug for e in sleeve.edges[:3]] == ["cap_back", "cap_upper", "cap_front"]
    side = piece(result, "suit_front_side_left")
    assert sleeve.edge("cap_front").length == pytest.approx(side.edge("armhole").length, abs=0.05)
    levels = {n.name.rpartition(" ")[2] for n in side.edge("princess").notches}
    assert {"bust", "waist", "hip"} <= levels


@pytest.mark.parametrize(
    "options",
    [
        {"garment": "bodysuit", "neckline": "v"},
        {"garment": "bodysuit", "neckline": "v", "seams": "princess", "sleeves": False},
        {"garment": "bodysuit", "back_depth": "25 cm", "sleeves": False},
        {"garment": "top", "sleeve_length": "short"},
        {"garment": "top", "neckline": "stand", "sleeve_length": "three_quarter"},
        {"garment": "undershirt"},
        {"garment": "shorts"},
    ],
    ids=lambda options: " ".join(str(value) for value in options.values()),
)
def test_every_cut_passes_its_checks_and_walks(woman: Form, options: dict[str, Any]) -> None:
    result = draft(woman, options=options)
    assert faults(result) == []
    centre = frozenset({"suit.centre_front", "suit.centre_back"})
    assert walked_faults(result.pieces, mirrored=centre) == []
    assert all(len(p.totals) == 3 for p in result.pieces)
    # A check at a level the garment does not reach would be nonsense.
    told = " ".join(check.what for check in result.checks)
    if options["garment"] == "shorts":
        assert "thigh" in told
        assert "knee" not in told
        assert "ankle at" not in told
    if options.get("sleeve_length") == "short":
        assert "elbow" not in told


def test_a_v_neckline_comes_to_a_point_as_deep_as_asked(woman: Form) -> None:
    asked = request(woman, options={"garment": "top", "neckline": "v", "neck_depth": "12 cm"})
    assert isinstance(asked.options, KnitOptions)
    front = next(p for p in top_on(asked, asked.options).panels if p.slug == "front")
    point = front.vertices[front.outline[1].vertices[0]]
    assert [edge.slug for edge in front.outline[:2]] == ["neck_left", "neck_right"]
    assert abs(point[0]) < 1.0
    shift = float(np.median((woman.drafting.vertices - woman.standing.vertices)[:, 2]))
    pit = woman.landmarks["front_neck"] + np.array([0.0, 0.0, shift])
    # The chest is nearly straight there, so a tape reads little more than the distance.
    assert np.linalg.norm(point - pit) == pytest.approx(120.0, abs=6.0)
    result = draft(woman, options={"garment": "top", "neckline": "v", "neck_depth": "12 cm"})
    outline = piece(result, "suit_front")
    (a, b), (c, d) = (
        np.diff(outline.edge("neck_left").curve[-2:], axis=0)[0],
        np.diff(outline.edge("neck_right").curve[:2], axis=0)[0],
    )
    assert abs(np.degrees(np.arctan2(a * d - b * c, a * c + b * d))) > 50.0


def test_an_open_back_reaches_as_low_on_every_wearer_as_asked(woman: Form) -> None:
    for form in (woman, preset("man")):
        asked = request(form, options={"garment": "bodysuit", "back_depth": "25 cm"})
        assert isinstance(asked.options, KnitOptions)
        back = next(p for p in top_on(asked, asked.options).panels if p.slug == "back")
        neck = back.vertices[back.outline[0].vertices]
        chart = form.drafting_charts["torso"]
        line = chart.points(np.linspace(0.0, 3.0, 200), np.full(200, 0.5))
        down = line[line[:, 2] > neck[:, 2].min()]
        assert length(down) == pytest.approx(250.0, abs=8.0)


def test_a_neckline_down_to_the_waist_is_refused(woman: Form) -> None:
    with pytest.raises(DraftError, match="back neckline comes nearer than 60 mm to the waist"):
        draft(woman, options={"garment": "bodysuit", "back_depth": "40 cm"})


def test_an_undershirt_has_straps_narrower_than_a_top(woman: Form) -> None:
    shirt = draft(woman, options={"garment": "undershirt"})
    top = draft(woman, options={"garment": "top", "sleeves": False})
    strap, shoulder = (piece(r, "suit_front").edge("shoulder_left").length for r in (shirt, top))
    assert 25.0 < strap < shoulder - 25.0


def test_a_stand_collar_is_as_long_as_the_neckline_and_leans_in(woman: Form) -> None:
    result = draft(woman, options={"garment": "top", "neckline": "stand", "collar_height": "5 cm"})
    front, back, collar = (piece(result, f"suit_{part}") for part in ("front", "back", "collar"))
    assert walked_faults(result.pieces) == []
    for part, panel in (("front", front), ("back", back)):
        assert panel.edge("neck").seam == collar.edge(f"neck_{part}").seam == f"suit.neck_{part}"
        assert collar.edge(f"neck_{part}").length == pytest.approx(panel.edge("neck").length, abs=0.05)
    # A ring of a circle: exact for a frustum cut open, its upper edge 7 % shorter, its ends as high as asked.
    lower = sum(collar.edge(f"neck_{part}").length for part in ("front", "back"))
    assert collar.edge("top").length == pytest.approx(0.93 * lower, rel=1e-3)
    assert collar.edge("end_back").length == pytest.approx(50.0)
    assert collar.count == 2
    assert not any(item.use.startswith("neckline") for item in result.items)


def test_an_armhole_may_be_placed_on_the_arm(woman: Form) -> None:
    points = tuple(
        EdgePoint(at=ChartPoint(region="upper_arm_left", station=0.35, around=k / 12)) for k in range(12)
    )
    edges = {"cap": DesignEdge(slug="cap", points=points, closed=True, goes_round=True)}
    options = {"garment": "top", "sleeves": False}
    usual = draft(woman, options=options)
    capped = draft(woman, edges=edges, roles={"armhole": "cap"}, options=options)
    assert faults(capped) == []
    assert walked_faults(capped.pieces) == []
    plain, cap = (piece(r, "suit_front").edge("shoulder_left").length for r in (usual, capped))
    assert cap > plain + 40.0
    # Both arms: the other armhole lies at the same chart coordinates.
    other = piece(capped, "suit_front").edge("shoulder_right").length
    assert other == pytest.approx(cap, rel=0.02)
