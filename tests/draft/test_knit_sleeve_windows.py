"""Windows in sleeves of close knits: on them, over the seam of a sleeve with itself, and past its end."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
import shapely
from knit_requests import draft, faults, lens, preset, request, walked_faults
from stiff_limbs import ring

from layfigure.body.form import Form
from layfigure.draft.registry import DraftResult
from layfigure.errors import DraftError
from layfigure.geometry.polyline import length
from layfigure.piece.piece import Piece

TOP = {"garment": "top"}
CUFF = 0.9
HELD = "forearm_left"


@pytest.fixture(scope="module")
def woman() -> Form:
    return preset("woman")


def with_eye(
    form: Form, region: str, station: float, around: float, wide: float, **asked: Any
) -> DraftResult:
    edges = {"eye": lens("eye", region, station, around, 0.12, wide), "cuff": ring("cuff", HELD, CUFF)}
    options = TOP | asked.pop("options", {})
    return draft(form, edges=edges, roles={"cuff": "cuff"}, windows=("eye",), options=options, **asked)


def sleeve(result: DraftResult, side: str = "left") -> Piece:
    return next(piece for piece in result.pieces if piece.slug == f"suit_sleeve_{side}")


def skin_of(form: Form, region: str, station: float, around: float, wide: float) -> tuple[float, float]:
    """Area and outline of the same lens on the skin [mm², mm], from the chart alone: strips between sides."""
    asked = request(form, edges={"eye": lens("eye", region, station, around, 0.12, wide)})
    placed = asked.placement.edges["eye"]
    curve = placed.curves[0]
    chart = form.drafting_charts[region]
    outline = chart.points(curve.station, curve.around)
    levels = np.linspace(station - 0.119, station + 0.119, 120)
    ways = (np.asarray(curve.around) - around + 0.5) % 1.0 - 0.5 + around
    half = [
        (float(ways[near].min()), float(ways[near].max()))
        for level in levels
        for near in [np.abs(np.asarray(curve.station) - level) < 0.004]
    ]
    rows = np.stack(
        [chart.points(np.full(25, t), np.linspace(*h, 25)) for t, h in zip(levels, half, strict=True)]
    )
    across = np.linalg.norm(np.diff(rows, axis=1), axis=2).sum(axis=1)
    middle = rows[:, 12]
    rise = np.linalg.norm(np.diff(middle, axis=0), axis=1)
    return float((0.5 * (across[1:] + across[:-1]) * rise).sum()), length(outline)


@pytest.mark.parametrize("side", ["left", "right"])
@pytest.mark.parametrize(("region", "around"), [("upper_arm", 0.25), ("forearm", 0.25), ("forearm", 0.0)])
def test_a_window_on_an_arm_lies_on_its_sleeve_as_large_as_on_the_skin(
    woman: Form, region: str, around: float, side: str
) -> None:
    # An arm hangs level with the middle of the front: a front was taken for the panel of a forearm's window.
    result = with_eye(woman, f"{region}_{side}", 0.55, around, 0.08, backing="net")
    assert faults(result) == []
    (window,) = sleeve(result, side).windows
    assert [piece.slug for piece in result.pieces if piece.windows] == [f"suit_sleeve_{side}"]
    assert window.worn is not None
    area, outline = skin_of(woman, f"{region}_{side}", 0.55, around, 0.08)
    # The cloth is laid along the skin with a stretch that differs from place to place by a few per cent.
    assert shapely.Polygon(window.worn).area == pytest.approx(area, rel=0.06)
    assert length(window.worn, closed=True) == pytest.approx(outline, rel=0.04)
    # At rest it is smaller by the cloth's ease both ways, and by nothing else.
    ease = shapely.Polygon(window.curve).area / shapely.Polygon(window.worn).area
    assert 0.7 < ease < 0.95


def test_it_is_as_far_from_the_cuff_as_on_the_skin(woman: Form) -> None:
    result = with_eye(woman, HELD, 0.5, 0.25, 0.08, backing="net")
    piece = sleeve(result)
    (window,) = piece.windows
    tip = 0.62
    chart = woman.drafting_charts[HELD]
    down = length(chart.points(np.linspace(tip, CUFF, 40), np.full(40, 0.25)))
    cuff = shapely.LineString(piece.edge("cuff").curve)
    # Lengthwise a close top is at most a few per cent shorter than the skin.
    assert cuff.distance(shapely.Polygon(window.curve)) == pytest.approx(down, rel=0.06)


def test_over_a_sleeves_own_seam_it_is_cut_in_two_parts_that_meet(woman: Form) -> None:
    asked = {"across_seams": True, "backing_as": "inset"}
    result = with_eye(woman, "upper_arm_left", 0.6, 0.77, 0.08, backing="net", options=asked)
    assert faults(result) == []
    assert walked_faults(tuple(p for p in result.pieces if p.cloth != "net")) == []
    piece = sleeve(result)
    uses = [edge for edge in piece.edges if edge.seam == "suit.underarm_left"]
    assert len(uses) == 2
    parts = [line.curve for line in piece.lines if line.label.startswith("eye: cut")]
    assert len(parts) == 2
    area = 0.0
    for part in parts:
        on = [
            use for use in uses
            if all(shapely.LineString(use.curve).distance(shapely.Point(end)) < 1e-3 for end in part[[0, -1]])
        ]  # fmt: skip
        assert len(on) == 1
        area += shapely.Polygon(part).area
    # What is set in, over the seam, has the same edge; the window is as large as one beside the seam.
    (inset,) = [p for p in result.pieces if p.cloth == "net"]
    assert sum(e.length for e in inset.edges) == pytest.approx(sum(map(length, parts)), abs=0.05)
    beside = with_eye(woman, "upper_arm_left", 0.6, 0.55, 0.08, backing="net")
    on_skin = [skin_of(woman, "upper_arm_left", 0.6, way, 0.08)[0] for way in (0.77, 0.55)]
    whole = shapely.Polygon(sleeve(beside).windows[0].curve).area
    assert area == pytest.approx(whole * on_skin[0] / on_skin[1], rel=0.06)
    behind = with_eye(woman, "upper_arm_left", 0.6, 0.77, 0.08, backing="net", options={"across_seams": True})
    whole_panel = next(p for p in behind.pieces if p.slug == "suit_backing_sleeve_left")
    assert [line.kind for line in whole_panel.lines].count("trim") == 2


@pytest.mark.parametrize(
    ("station", "around", "told"),
    [
        (0.6, 0.77, "crosses a seam"),
        (0.86, 0.25, "left between|crosses a seam"),
        (1.2, 0.25, "crosses itself"),
    ],
)
def test_those_that_do_not_fit_are_refused_with_what_to_do(
    woman: Form, station: float, around: float, told: str
) -> None:
    region = "upper_arm_left" if station != 0.86 else HELD
    with pytest.raises(DraftError, match=told) as refused:
        with_eye(woman, region, station, around, 0.08, backing="net")
    assert refused.value.advice


def test_one_past_the_end_of_a_short_sleeve_is_told_so(woman: Form) -> None:
    edges = {"eye": lens("eye", HELD, 0.6, 0.25, 0.12, 0.08)}
    with pytest.raises(DraftError, match="past the garment's edge"):
        draft(woman, edges=edges, windows=("eye",), backing="net", options=TOP | {"sleeve_length": "elbow"})
