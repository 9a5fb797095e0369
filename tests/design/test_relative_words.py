"""Edges said relative to other edges: what may be said, in which order they are found, on a body."""

from __future__ import annotations

import numpy as np
import pytest

from layfigure.body.chart import ChartPoint
from layfigure.body.form import Form
from layfigure.body.shape import form_of
from layfigure.body.template import load_template
from layfigure.design.costume import design_of
from layfigure.design.costume_file import parse_costume
from layfigure.design.design import Design, DesignEdge, EdgePoint
from layfigure.design.relative_words import RelativeEdge, parse_placement
from layfigure.errors import PlacementError
from layfigure.place.place import place_edge

NAMES = {"shin_top": "shin_top_left", "belt": "belt", "eye": "eye", "guard_top": "guard_top_left"}


@pytest.fixture(scope="module")
def form() -> Form:
    template = load_template()
    return form_of(template, template.presets["man"], wearer="A")


def costume(*edges: str) -> str:
    return "\n".join(["format = 1", 'name = "Test"', *edges])


def edge(slug: str, words: str, side: str = "middle") -> str:
    return f'[edges.{slug}]\nwords = "{words}"\nside = "{side}"'


def placed(form: Form, *edges: str, marked: dict[str, tuple[EdgePoint, ...]] | None = None) -> Design:
    return design_of(
        parse_costume(costume(*edges)),
        marked=marked or {},
        charts=form.charts,
        level_heights=form.level_heights,
    )


def on_trunk(station: float, around: float) -> ChartPoint:
    return ChartPoint(region="torso", station=float(station), around=float(around))


def height(form: Form, found: DesignEdge) -> np.ndarray:
    """Heights of an edge's line above the floor at every eighth of the way round [mm]."""
    line = place_edge(found, form).curves
    at = np.concatenate([curve.around for curve in line]) % 1.0
    z = place_edge(found, form).line[:, 2]
    order = np.argsort(at)
    return np.interp(np.arange(8) / 8.0, at[order], z[order], period=1.0)


@pytest.mark.parametrize(
    ("text", "way", "base", "below", "share"),
    [
        ("2 cm below shin_top", "moved", "shin_top_left", 20.0, 0.0),
        ("2 cm above the shin top", "moved", "shin_top_left", -20.0, 0.0),
        ("along belt", "moved", "belt", 0.0, 0.0),
        ("Along belt, 3 cm below", "moved", "belt", 30.0, 0.0),
        ("halfway between guard_top and wrist", "between", "guard_top_left", 0.0, 0.5),
        ("30 % from wrist to guard_top", "between", "guard_top_left", 0.0, 0.7),
        ("a third of the way from shin_top to guard_top", "between", "shin_top_left", 0.0, 1 / 3),
        ("level with the bottom of eye", "level", "eye", 0.0, 0.0),
        ("1 in above the top of belt", "level", "belt", -25.4, 0.0),
    ],
)
def test_relations_are_read(text: str, way: str, base: str, below: float, share: float) -> None:
    found = parse_placement(text, edges=NAMES, slug="new", side="left")
    assert isinstance(found, RelativeEdge)
    assert (found.way, found.base) == (way, base)
    assert found.below == pytest.approx(below)
    assert found.share == pytest.approx(share)
    assert found.text == text


def test_a_word_for_the_body_always_means_the_body() -> None:
    found = parse_placement("5 cm above the knee", edges={"knee": "knee_left"}, slug="a", side="left")
    assert not isinstance(found, RelativeEdge)


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("2 cm below shin_tip", "Did you mean the edge 'shin_top'?"),
        ("along belt, twice", "'twice' is no distance"),
        ("2 cm below belt, 3 cm higher at the back", "does not go with a line taken from another edge"),
        ("7 below belt", "has no unit"),
        ("halfway between belt and knie", "'knie' is not a level"),
    ],
)
def test_what_is_not_understood_is_told(text: str, told: str) -> None:
    with pytest.raises(PlacementError, match=told):
        parse_placement(text, edges=NAMES, slug="new", side="left")


def test_a_moved_line_runs_so_far_below_its_base_all_round(form: Form) -> None:
    design = placed(
        form,
        edge("under", "4 cm below shin_top", "both"),
        edge("shin_top", "20 % from knee to ankle, 3 cm higher at the outside", "both"),
    )
    for side in ("left", "right"):
        base, moved = (height(form, design.edges[f"{slug}_{side}"]) for slug in ("shin_top", "under"))
        assert np.ptp(base) > 20.0
        assert base - moved == pytest.approx(np.full(8, 40.0), abs=0.3)
    assert list(design.edges) == ["under_left", "under_right", "shin_top_left", "shin_top_right"]


def test_a_line_between_an_edge_and_a_level_halves_the_way_everywhere(form: Form) -> None:
    design = placed(
        form,
        edge("shin_top", "20 % from knee to ankle, 3 cm higher at the outside", "left"),
        edge("half", "halfway between shin_top and ankle", "left"),
        edge("later", "halfway from half to shin_top", "left"),
    )
    base, half, later = (height(form, design.edges[slug]) for slug in ("shin_top", "half", "later"))
    ankle = form.level_heights["ankle_left"]
    assert half == pytest.approx(0.5 * (base + ankle), abs=0.6)
    assert later == pytest.approx(0.5 * (base + half), abs=0.6)


def test_a_level_line_at_the_lowest_point_of_a_motif(form: Form) -> None:
    angle = np.arange(16) / 16 * 2 * np.pi
    motif = tuple(
        EdgePoint(
            at=on_trunk(2.4 + 0.3 * np.cos(a), 0.1 + 0.04 * np.sin(a)),
            spread_along=0.002,
        )
        for a in angle
    )
    design = placed(form, "[edges.eye]", edge("hem", "1 cm below the bottom of eye"), marked={"eye": motif})
    hem = design.edges["hem"]
    assert hem.goes_round
    lowest = place_edge(design.edges["eye"], form).points[:, 2].min()
    assert height(form, hem) == pytest.approx(np.full(8, lowest - 10.0), abs=1.0)
    assert all(point.spread_along == 0.002 for point in hem.points)


def test_a_moved_motif_stays_a_motif(form: Form) -> None:
    angle = np.arange(12) / 12 * 2 * np.pi
    motif = tuple(
        EdgePoint(
            at=on_trunk(1.6 + 0.2 * np.cos(a), 0.1 + 0.04 * np.sin(a)),
            corner=k == 0,
        )
        for k, a in enumerate(angle)
    )
    text = costume(
        "[edges.eye]",
        edge("second", "6 cm below eye"),
        '[[pieces]]\nslug = "suit"\nkind = "knit"\ncloth = "knit"\nwindows = ["eye", "second"]',
    )
    design = design_of(
        parse_costume(text), marked={"eye": motif}, charts=form.charts, level_heights=form.level_heights
    )
    second = design.edges["second"]
    assert second.closed
    assert not second.goes_round
    assert [point.corner for point in second.points] == [point.corner for point in motif]
    drop = place_edge(design.edges["eye"], form).points[:, 2] - place_edge(second, form).points[:, 2]
    assert drop == pytest.approx(np.full(12, 60.0), abs=0.5)


def test_edges_said_from_one_another_are_refused(form: Form) -> None:
    with pytest.raises(PlacementError, match="said from one another: a from b from a") as caught:
        placed(form, edge("a", "2 cm below b"), edge("b", "2 cm above a"))
    assert "Say one of them from the body" in str(caught.value)


def test_a_line_that_leaves_its_limb_is_refused(form: Form) -> None:
    with pytest.raises(PlacementError, match="lies beyond the shank left"):
        placed(
            form,
            edge("shin_top", "20 % from knee to ankle", "left"),
            edge("low", "70 cm below shin_top", "left"),
        )
