"""Layouts pressed together: against shapes whose tightest place is known, and never worse."""

import numpy as np
import pytest
import shapely
from shapely import Polygon

from layfigure.lay.layout import Laid, Section
from layfigure.lay.part import Part
from layfigure.lay.press import Press, convex_pieces
from layfigure.lay.verify import section_faults

SQUARE = np.array([[0.0, 0.0], [100.0, 0.0], [100.0, 100.0], [0.0, 100.0]])
HOOK = np.array([[0.0, 0.0], [100.0, 0.0], [100.0, 30.0], [30.0, 30.0], [30.0, 100.0], [0.0, 100.0]])


def laid(part: str, x: float, y: float, *, copy: int = 0, turn: float = 0.0) -> Laid:
    return Laid(part=part, copy=copy, turn=turn, mirrored=False, x=x, y=y)


def strip(parts: list[Part], places: list[Laid], *, width: float, length: float) -> Section:
    return Section(
        kind="single", name="strip", width=width, length=length, parts=tuple(parts), laid=tuple(places)
    )


def part(slug: str, outline: np.ndarray, count: int = 1) -> Part:  # type: ignore[type-arg]
    return Part(slug=slug, label=slug, outline=outline, count=count)


def press(section: Section, *, beat: float = np.inf) -> Section | None:
    return Press(section.parts).shorter(section, beat=beat, seconds=30.0)


def test_squares_with_gaps_come_to_lie_edge_to_edge() -> None:
    places = [laid("s", 150.0 * k + 20.0, 5.0 * k, copy=k) for k in range(4)]
    section = strip([part("s", SQUARE, 4)], places, width=130.0, length=620.0)
    found = press(section)
    assert found is not None
    assert found.length == pytest.approx(400.0, abs=1e-6)
    assert not section_faults(found)
    assert [one.turn for one in found.laid] == [0.0] * 4


def test_two_hooks_close_into_each_other() -> None:
    # The second, turned about, slides into the first: both arms are 30 wide, so 130 long and 100 high.
    places = [laid("h", 0.0, 0.0), laid("h", 190.0, 130.0, copy=1, turn=180.0)]
    section = strip([part("h", HOOK, 2)], places, width=130.0, length=190.0)
    assert not section_faults(section)
    found = press(section)
    assert found is not None
    assert found.length == pytest.approx(130.0, abs=1e-6)
    assert not section_faults(found)


def test_a_layout_that_cannot_be_shortened_is_returned_as_it_is() -> None:
    places = [laid("s", 0.0, 0.0), laid("s", 100.0, 0.0, copy=1)]
    section = strip([part("s", SQUARE, 2)], places, width=100.0, length=200.0)
    assert press(section, beat=section.length) is None


def test_parts_moved_at_random_stay_apart_and_on_the_cloth() -> None:
    random = np.random.default_rng(4)
    parts, places = [], []
    for k in range(24):
        angles = np.sort(random.uniform(0.0, 2.0 * np.pi, 11))
        ring = np.column_stack([np.cos(angles), np.sin(angles)]) * random.uniform(25.0, 60.0, (11, 1))
        if not Polygon(ring).is_valid:
            continue
        parts.append(part(f"p{k}", ring))
        places.append(laid(f"p{k}", 70.0 + 130.0 * (k // 4), 70.0 + 130.0 * (k % 4)))
    section = strip(parts, places, width=540.0, length=900.0)
    assert not section_faults(section)
    found = press(section)
    assert found is not None
    # Each lies in a cell 130 wide and is at most 120 across: with no cell between them they need less.
    assert found.length < 0.85 * section.length
    assert not section_faults(found, tolerance=1e-6)


def test_convex_pieces_cover_a_ring_and_nothing_else() -> None:
    angles = np.linspace(0.0, 2.0 * np.pi, 40, endpoint=False)
    radii = np.where(np.arange(40) % 4, 90.0, 50.0)
    star = np.column_stack([np.cos(angles), np.sin(angles)]) * radii[:, None]
    for ring, most in ((SQUARE, 1), (HOOK, 2), (star, 20)):
        pieces = [Polygon(piece) for piece in convex_pieces(ring)]
        assert len(pieces) <= most
        assert all(piece.area == pytest.approx(piece.convex_hull.area) for piece in pieces)
        whole = shapely.union_all(pieces)
        assert whole.area == pytest.approx(Polygon(ring).area)
        assert sum(piece.area for piece in pieces) == pytest.approx(whole.area)


def test_parts_that_overlap_are_moved_apart() -> None:
    # The middle one lies over both others by 3 mm; a fourth fits above it and no other way.
    places = [laid("s", 97.0 * k, 0.0, copy=k) for k in range(3)]
    places.append(laid("low", 100.0, 99.0))
    low = np.array([[0.0, 0.0], [90.0, 0.0], [90.0, 20.0], [0.0, 20.0]])
    section = strip([part("s", SQUARE, 3), part("low", low)], places, width=120.0, length=294.0)
    assert len(section_faults(section)) >= 3
    found = press(section)
    assert found is not None
    assert found.length == pytest.approx(300.0, abs=1e-6)
    assert not section_faults(found)


def test_parts_turned_over_keep_apart_as_well() -> None:
    # A hook turned over lies with its arm towards the other's column, above the other's arm: 130 by 130.
    hook = Part(slug="h", label="h", outline=HOOK, count=2, mirrored=1)
    over = Laid(part="h", copy=1, turn=180.0, mirrored=True, x=190.0, y=30.0)
    section = strip([hook], [laid("h", 0.0, 0.0), over], width=130.0, length=190.0)
    found = press(section)
    assert found is not None
    assert not section_faults(found, tolerance=1e-6)
    assert found.length == pytest.approx(130.0, abs=1e-6)


def test_what_is_too_far_overlapped_is_never_called_a_layout() -> None:
    places = [laid("s", 0.0, 0.0), laid("s", 0.0, 0.0, copy=1), laid("s", 250.0, 0.0, copy=2)]
    section = strip([part("s", SQUARE, 3)], places, width=100.0, length=350.0)
    assert press(section) is None or not section_faults(press(section))  # type: ignore[arg-type]
    assert press(section, beat=300.0) is None


def test_a_press_without_time_says_nothing() -> None:
    places = [laid("s", 150.0 * k, 0.0, copy=k) for k in range(4)]
    section = strip([part("s", SQUARE, 4)], places, width=130.0, length=620.0)
    assert Press(section.parts).shorter(section, beat=np.inf, seconds=0.0) is None


def test_layouts_of_very_many_corners_are_not_worth_pressing() -> None:
    angles = np.linspace(0.0, 2.0 * np.pi, 90, endpoint=False)
    wheel = (
        np.column_stack([np.cos(angles), np.sin(angles)]) * 400.0 * (1.0 + 0.2 * (np.arange(90) % 2))[:, None]
    )
    assert Press([part("w", wheel, 30)]).worth
    assert not Press([part("w", wheel, 40)]).worth
