"""Sheets, hides, amounts, stored layouts, remnants and the order of cutting."""

import json
from pathlib import Path

import numpy as np
import pytest
from tests.lay.lay_parts import rectangle, wedge

from layfigure.errors import FileError, LayError
from layfigure.lay.amount import Amount, amount_words, hide_estimate, roll_amount
from layfigure.lay.cutting_order import cutting_order
from layfigure.lay.hide_file import read_hide
from layfigure.lay.layout import Laid, Layout, Section, Surface, Zone
from layfigure.lay.part import Part
from layfigure.lay.remnants import remnants_of
from layfigure.lay.share_time import share_time
from layfigure.lay.sheets import Board, lay_on_boards, sheets_bound
from layfigure.lay.store import layout_as_json, layout_key, read_layout, save_layout
from layfigure.lay.verify import section_faults
from layfigure.materials.supply import Supply

SHEET = Board(name="sheet", width=600.0, length=1000.0)


def test_sheets_are_as_few_as_their_area_allows() -> None:
    parts = [rectangle("plate", 300.0, 500.0, count=8, turns=None)]
    sections, lost = lay_on_boards(parts, [SHEET], rounds=60, seconds=60.0)
    assert not lost
    assert len(sections) == sheets_bound(parts, SHEET) == 2
    assert all(section_faults(section) == [] for section in sections)
    assert sum(len(section.laid) for section in sections) == 8


def test_offcuts_at_home_are_used_before_a_sheet_is_bought() -> None:
    parts = [
        rectangle("tab", 200.0, 100.0, count=4, turns=None),
        rectangle("plate", 500.0, 500.0, turns=None),
    ]
    home = Board(name="at home", width=200.0, length=400.0, count=1, at_home=True)
    sections, _ = lay_on_boards(parts, [home, SHEET], rounds=1)
    by_name = {section.name: section for section in sections}
    assert len(by_name["at home"].laid) == 4
    assert [one.part for one in by_name["sheet 1"].laid] == ["plate"]


def test_a_piece_larger_than_every_sheet_is_named() -> None:
    with pytest.raises(LayError, match=r"no room for big plate\. Add a larger sheet"):
        lay_on_boards([rectangle("big_plate", 1200.0, 500.0, turns=None)], [SHEET], rounds=1)


@pytest.fixture
def hide() -> Surface:
    angles = np.linspace(0.0, 2.0 * np.pi, 60, endpoint=False)
    radius = 500.0 + 60.0 * np.cos(4.0 * angles)
    outline = np.column_stack([radius * np.cos(angles), 0.8 * radius * np.sin(angles)])
    square = np.array([[-1.0, -1.0], [1.0, -1.0], [1.0, 1.0], [-1.0, 1.0]])
    low = outline.min(axis=0)
    return Surface(
        name="hide",
        outline=outline - low,
        flaws=(40.0 * square - low, 30.0 * square + [300.0, 100.0] - low),
        zones=(Zone(quality=3, outline=150.0 * square + [-350.0, 0.0] - low),),
    )


def test_hides_are_filled_clear_of_flaws_and_poor_zones(hide: Surface) -> None:
    parts = [
        rectangle("strap", 400.0, 60.0, count=3, turns=None, quality=1),
        wedge("panel", turns=None, quality=2),
        rectangle("patch", 120.0, 100.0, count=4, turns=None),
    ]
    board = Board(name="hide", width=1000.0, length=1200.0, count=1, surface=hide, at_home=True, margin=3.0)
    (section,), lost = lay_on_boards(parts, [board], rounds=3)
    assert not lost
    assert section_faults(section, tolerance=0.0) == [], "a margin keeps even hairs away"
    assert len(section.laid) == 8


def test_a_traced_hide_is_read_with_flaws_and_zones(tmp_path: Path) -> None:
    (tmp_path / "shoulder.svg").write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" width="800mm" height="600mm" viewBox="0 0 800 600">'
        '<g id="outline"><path d="M 10 10 H 790 V 590 H 10 Z"/></g>'
        '<g id="flaws"><path d="M 100 100 h 40 v 40 h -40 Z"/></g>'
        '<g id="zone-3"><path d="M 500 300 h 400 v 200 h -400 Z"/></g></svg>',
        encoding="utf-8",
    )
    surface = read_hide(tmp_path / "shoulder.svg")
    assert np.ptp(surface.outline, axis=0) == pytest.approx([780.0, 580.0])
    assert surface.outline.min() == pytest.approx(0.0)
    (zone,) = surface.zones
    # Drawn past the edge, it ends there.
    assert (zone.quality, zone.outline[:, 0].max()) == (3, pytest.approx(780.0))
    (flaw,) = surface.flaws
    assert flaw.mean(axis=0) == pytest.approx([110.0, 470.0])


def test_what_to_buy_counts_shrinking_margin_and_steps() -> None:
    part = rectangle("front", 1500.0, 700.0)
    laid = (Laid(part="front", copy=0, turn=0.0, mirrored=False, x=0.0, y=0.0),)
    section = Section(kind="single", name="", width=1400.0, length=1500.0, parts=(part,), laid=laid)
    layout = Layout(cloth="c", sold_as="roll", roll_width=1400.0, sections=(section,))
    supply = Supply(slug="c", sold_as="roll", shrinkage_along=0.05, margin=0.1)
    amount = roll_amount(layout, supply, 1500.0)
    assert amount.needed == pytest.approx(1500.0 / 0.95 * 1.1)
    assert amount.to_buy == pytest.approx(1800.0)
    assert amount_words(amount) == "buy 1.8 m of 150 cm"
    assert amount_words(amount, "in") == "buy 2 yd of 59 1/16 in"
    assert "5 %" in amount.remark
    whole = roll_amount(layout, Supply(slug="c", sold_as="roll"), 1500.0)
    assert whole.to_buy == pytest.approx(1500.0), "a whole number of steps is not rounded up"


# TRADE 5, a seller's rule: 100 sq ft net at 70 % and at 50 % yield are 142.86 and 200 sq ft gross.
@pytest.mark.parametrize(("largest", "gross"), [(10_000.0, 142.857), (400_000.0, 200.0)])
def test_leather_without_an_outline_is_estimated_by_the_trade_s_yield(largest: float, gross: float) -> None:
    foot = 304.8**2
    amount = hide_estimate(100.0 * foot, largest, Supply(slug="l", sold_as="hide"))
    assert amount.needed / foot == pytest.approx(gross, rel=1e-4)
    assert amount.estimated
    assert "estimate" in amount.remark


def test_six_panels_of_leather_beside_a_seller_s_table() -> None:
    # TRADE 5: six panels of 24 x 24 in are 54 sq ft by a seller's table for cloth 54 in wide. By the yield of
    # the same seller it is 24 / 0.5 = 48, a ninth less: the estimate keeps to the yield (docs/lay.md).
    foot = 304.8**2
    panel = (24 * 25.4) ** 2
    amount = hide_estimate(6 * panel, panel, Supply(slug="l", sold_as="hide"))
    assert amount.needed / foot == pytest.approx(48.0)


def test_words_for_sheets() -> None:
    sheets = Amount(by="count", needed=2.0, to_buy=2.0, width=600.0, length=1000.0)
    assert amount_words(sheets) == "buy 2 sheets of 100 cm × 60 cm"


@pytest.fixture
def layout(hide: Surface) -> Layout:
    parts = (
        rectangle("front_left", 300.0, 200.0),
        rectangle("front_right", 300.0, 200.0),
        wedge("gusset", turns=(0.0,), count=1, mirrored=1),
    )
    laid = (
        Laid(part="gusset", copy=0, turn=0.0, mirrored=True, x=300.0, y=300.0),
        Laid(part="front_right", copy=0, turn=0.0, mirrored=False, x=0.0, y=200.0),
        Laid(part="front_left", copy=0, turn=180.0, mirrored=False, x=300.0, y=200.0),
    )
    strip = Section(kind="single", name="single layer", width=1400.0, length=900.0, parts=parts, laid=laid)
    fold = Section(
        kind="fold", name="folded", width=700.0, length=500.0,
        parts=(rectangle("back", 500.0, 300.0, on_fold=True, turns=(0.0,)),),
        laid=(Laid(part="back", copy=0, turn=0.0, mirrored=False, x=0.0, y=0.0),),
    )  # fmt: skip
    on_hide = Section(kind="hide", name="hide", width=900.0, length=1100.0, parts=(), laid=(), surface=hide)
    return Layout(cloth="twill", sold_as="roll", roll_width=1400.0, sections=(strip, fold, on_hide))


def test_a_layout_is_written_and_read_back(layout: Layout, tmp_path: Path) -> None:
    save_layout(layout, tmp_path / "twill.json")
    again = read_layout(tmp_path / "twill.json")
    assert layout_as_json(again) == layout_as_json(layout)
    assert [section_faults(section) for section in again.sections] == [[], [], []]


@pytest.mark.parametrize(
    ("text", "words"),
    [("{", "read as JSON"), ("[]", "not one that layfigure wrote"), ('{"format": 99}', "format 99")],
)
def test_a_spoiled_layout_says_what_to_do(tmp_path: Path, text: str, words: str) -> None:
    (tmp_path / "c.json").write_text(text, encoding="utf-8")
    with pytest.raises(FileError, match=words):
        read_layout(tmp_path / "c.json")


def test_a_key_holds_while_parts_and_cloth_are_the_same() -> None:
    key = layout_key([wedge("a")], 1400.0)
    assert key == layout_key([wedge("a")], 1400.0)
    assert key != layout_key([wedge("a")], 1500.0)
    assert key != layout_key([wedge("a", count=2)], 1400.0)
    moved = Part(slug="a", label="a", outline=wedge("a").outline + np.array([0.0, 0.1]))
    assert key != layout_key([moved], 1400.0)


def test_folded_first_then_large_before_small_and_mates_together(layout: Layout) -> None:
    steps = cutting_order(layout)
    assert [step.words for step in steps] == [
        "back: on the fold, opens out whole",
        "gusset: pattern turned over",
        "front left",
        "front right",
    ]
    assert [step.number for step in steps] == [1, 2, 3, 4]


def test_remnants_are_free_and_as_large_as_they_can_be(layout: Layout) -> None:
    from shapely import Polygon, box

    section = layout.sections[0]
    remnants = remnants_of(section)
    assert remnants[0].area == pytest.approx(1000.0 * 900.0, rel=0.03)
    for left in remnants:
        free = box(left.x, left.y, left.x + left.length, left.y + left.width)
        assert not any(free.overlaps(Polygon(outline)) for outline in section.outlines())


def test_time_goes_where_cloth_can_be_won(layout: Layout) -> None:
    strip = layout.sections[0]
    one = layout.sections[1]
    shares = share_time([strip, one], 30.0)
    assert shares == [5.0, 0.0], "few parts need little, one part nothing"
    assert json.dumps(shares)
