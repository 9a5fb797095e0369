"""Rolls: verified layouts, the solver's failures survived, limits in words."""

import dataclasses
from collections.abc import Callable

import numpy as np
import pytest
from tests.lay.lay_parts import rectangle, wedge

from layfigure.errors import LayError
from layfigure.lay import roll
from layfigure.lay.box_rows import box_rows
from layfigure.lay.clean import clean_outline, covering
from layfigure.lay.layout import Section
from layfigure.lay.on_fold import plan_fold
from layfigure.lay.part import Match, Part, pieces_cut
from layfigure.lay.roll import lay_roll
from layfigure.lay.strip_search import SearchEnd, StripSearch
from layfigure.lay.strip_worker import StripFound, StripItem, StripRequest
from layfigure.lay.verify import section_faults
from layfigure.recompute.job import QuietJob


def test_our_own_placement_reaches_the_bound_of_rectangles() -> None:
    parts = [rectangle("a", 400.0, 500.0, count=2), rectangle("b", 400.0, 250.0, count=4)]
    section = lay_roll(parts, 1000.0, seconds=0.0, rounds=1)
    assert section_faults(section) == []
    assert section.length == pytest.approx(section.bound) == pytest.approx(800.0)


def test_wedges_are_turned_to_fit_each_other() -> None:
    section = lay_roll([wedge("w", count=4)], 600.0, seconds=0.0, rounds=1)
    assert section_faults(section) == []
    assert section.length == pytest.approx(1200.0 / 2.0, abs=1.0)


def test_the_strip_solver_finds_a_verified_layout_in_a_process_of_its_own() -> None:
    parts = [wedge("w", count=3, mirrored=1), rectangle("r", 300.0, 200.0, count=3)]
    section = lay_roll(parts, 600.0, seconds=2.5, seed=1, threads=1)
    assert section_faults(section) == []
    assert section.bound <= section.length <= box_rows(parts, 600.0)[0]


def test_a_piece_as_wide_as_the_cloth_fits_and_a_wider_one_is_named() -> None:
    assert lay_roll([rectangle("band", 80.0, 1400.0)], 1400.0, seconds=0.0).length == pytest.approx(80.0)
    with pytest.raises(LayError, match="long band is wider than the cloth as the grain lies") as told:
        lay_roll([rectangle("long_band", 80.0, 1401.0, turns=(0.0, 180.0))], 1400.0, seconds=0.0)
    assert "1401" not in str(told.value), "an error never repeats a size"


def request(*outlines: tuple[tuple[float, float], ...]) -> StripRequest:
    items = tuple(StripItem(name=f"{n}", outline=o, count=1, turns=(0.0,)) for n, o in enumerate(outlines))
    return StripRequest(width=500.0, items=items, exploring=1, compressing=1, threads=1, seed=1)


@pytest.mark.parametrize(
    "outline",
    [
        ((0.0, 0.0), (10.0, 0.0), (10.0, 600.0), (0.0, 600.0)),
        ((0.0, 0.0), (10.0, 10.0), (10.0, 0.0), (0.0, 10.0)),
        ((0.0, 0.0), (float("nan"), 0.0), (10.0, 10.0)),
    ],
    ids=["too wide", "crossing", "nowhere"],
)
def test_a_panic_of_the_solver_ends_in_words(outline: tuple[tuple[float, float], ...]) -> None:
    found: list[StripFound] = []
    with StripSearch(request(outline)) as search:
        end = search.listen(QuietJob(), found.append, seconds=2.0)
    assert end.why
    assert not found


def test_a_cancelled_search_ends_at_once() -> None:
    class Stopped(QuietJob):
        def cancelled(self) -> bool:
            return True

    outline = ((0.0, 0.0), (10.0, 0.0), (10.0, 100.0))
    with StripSearch(dataclasses.replace(request(outline), exploring=600)) as search:
        end = search.listen(Stopped(), lambda _: None, seconds=600.0)
    assert end.cancelled


def test_a_search_that_has_found_something_ends_on_time() -> None:
    endless = dataclasses.replace(request(((0.0, 0.0), (10.0, 0.0), (10.0, 100.0))), exploring=600)
    found: list[StripFound] = []
    with StripSearch(endless) as search:
        end = search.listen(QuietJob(), found.append, seconds=1.0)
    assert not end.why
    assert any(one.apart for one in found)
    assert end.seconds < 600.0


@pytest.fixture
def parts() -> list[Part]:
    return [wedge("w", count=2), rectangle("r", 300.0, 200.0, count=2)]


def test_a_solver_that_fails_or_lies_leaves_our_own_layout(
    parts: list[Part], monkeypatch: pytest.MonkeyPatch
) -> None:
    own = lay_roll(parts, 600.0, seconds=0.0, rounds=1)

    class Lies:
        def __init__(self, request: StripRequest) -> None:
            self.items = request.items

        def __enter__(self) -> "Lies":
            return self

        def __exit__(self, *_: object) -> None: ...

        def listen(self, job: object, better: Callable[[StripFound], None], **_: object) -> SearchEnd:
            laid = tuple((item.name, 0.0, 0.0, 0.0) for item in self.items for _ in range(item.count))
            better(StripFound(500.0, laid))
            return SearchEnd(why="died", seconds=1.0)

    monkeypatch.setattr(roll, "StripSearch", Lies)
    section = lay_roll(parts, 600.0, seconds=30.0, rounds=1)
    assert section.laid == own.laid


def test_a_search_keeps_the_layout_it_began_with_unless_it_finds_a_shorter(parts: list[Part]) -> None:
    long = Section(kind="single", name="", width=600.0, length=0.0, parts=tuple(parts), laid=())
    length, laid = box_rows(parts, 600.0)
    long = dataclasses.replace(long, length=length, laid=laid)
    assert section_faults(long) == []
    short = lay_roll(parts, 600.0, seconds=0.0, rounds=1, before=long)
    assert short.length < long.length
    assert lay_roll(parts, 600.0, seconds=0.0, rounds=1, before=short) is short


def test_a_pattern_repeat_is_met_along_and_across() -> None:
    parts = [
        rectangle("front", 310.0, 210.0, count=2, turns=(0.0,), match=Match(at=(5.0, 7.0))),
        rectangle("back", 290.0, 230.0, turns=(0.0,), match=Match(at=(0.0, 0.0), phase=(20.0, 30.0))),
    ]
    section = lay_roll(parts, 700.0, repeat=(90.0, 70.0), seconds=0.0, rounds=2)
    assert section_faults(section) == []
    free = lay_roll([dataclasses.replace(part, match=None) for part in parts], 700.0, seconds=0.0, rounds=2)
    assert section.length > free.length


def test_folded_cloth_takes_pairs_from_two_layers_and_halves_on_the_fold() -> None:
    house = np.array([[0.0, 0.0], [400.0, 0.0], [500.0, 150.0], [400.0, 300.0], [0.0, 300.0]])
    parts = [
        wedge("sleeve", count=2, mirrored=1),
        wedge("left"),
        Part(slug="right", label="right", outline=wedge("x").outline * [1.0, -1.0]),
        Part(slug="back", label="back", outline=house),
        Part(slug="flap", label="flap", outline=house[:, ::-1] * 0.3, count=3),
        rectangle("yoke", 100.0, 1200.0),
        wedge("odd"),
    ]
    plan = plan_fold(parts, 700.0)
    both = pieces_cut(plan.folded) + pieces_cut(plan.single)
    assert both == pieces_cut(parts)
    assert {part.slug: part.on_fold for part in plan.folded} == {
        "sleeve+": False,
        "left+right": False,
        "back/2": True,
        "yoke/2": True,
    }
    assert {part.slug: part.count for part in plan.single} == {"flap": 3, "odd": 1}
    section = lay_roll(plan.folded, 700.0, kind="fold", seconds=0.0, rounds=2)
    assert section_faults(section) == []
    assert {one.y for one in section.laid if one.part in ("back/2", "yoke/2")} == {0.0}


def test_malformed_outlines_are_refused_with_words() -> None:
    for points, words in [
        ([[0, 0], [1, 1]], "fewer than three corners"),
        ([[0, 0], [100, 0], [200, 0]], "no area"),
        ([[0, 0], [100, 100], [100, 0], [0, 100]], "crosses itself"),
        ([[0, 0], [np.inf, 0], [0, 100]], "nowhere"),
        ("a line", "no list of points"),
    ]:
        with pytest.raises(LayError, match=words):
            clean_outline(points, "sleeve")
    loop = [[0, 0], [100, 0], [100, 100], [50, 100], [50.05, 100.05], [50.05, 99.95], [0, 100]]
    assert len(clean_outline(loop, "sleeve")) >= 4


def test_a_plainer_outline_holds_the_whole_of_the_true_one() -> None:
    from shapely import Polygon

    angles = np.linspace(0.0, 2.0 * np.pi, 400, endpoint=False)
    radius = 200.0 + 40.0 * np.cos(5.0 * angles)
    outline = np.column_stack([radius * np.cos(angles), radius * np.sin(angles)])
    plain = covering(outline, 0.5)
    assert len(plain) < 120
    assert Polygon(plain).covers(Polygon(outline))
    assert Polygon(plain).hausdorff_distance(Polygon(outline)) < 2.0
