"""The checker rejects what a shop table would: overlaps, edges, missing copies, wrong turns."""

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest
from tests.lay.lay_parts import rectangle, wedge

from layfigure.lay.layout import Laid, Layout, Section, Surface, Zone
from layfigure.lay.part import Match
from layfigure.lay.verify import TOLERANCE, faults_of, section_faults


def at(part: str, copy: int, x: float, y: float, turn: float = 0.0, mirrored: bool = False) -> Laid:
    return Laid(part=part, copy=copy, turn=turn, mirrored=mirrored, x=x, y=y)


@pytest.fixture
def good() -> Section:
    """Two rectangles and a wedge with its turned-over mate, edge to edge."""
    return Section(
        kind="single",
        name="",
        width=600.0,
        length=1000.0,
        parts=(rectangle("bag", 200.0, 300.0, count=2), wedge("flap", count=2, mirrored=1)),
        laid=(
            at("bag", 0, 0.0, 0.0),
            at("bag", 1, 200.0, 300.0, turn=180.0),
            at("flap", 0, 200.0, 0.0),
            at("flap", 1, 200.0, 600.0, mirrored=True),
        ),
    )


def moved(section: Section, index: int, **change: object) -> Section:
    laid = list(section.laid)
    laid[index] = replace(laid[index], **change)  # type: ignore[arg-type]
    return replace(section, laid=tuple(laid))


def test_a_layout_edge_to_edge_stands(good: Section) -> None:
    good = moved(good, 1, x=200.0, y=600.0)
    assert section_faults(good) == []
    assert good.density == pytest.approx((2 * 200 * 300 + 2 * 0.5 * 600 * 300) / 600 / 1000)


SEEDED: dict[str, tuple[Callable[[Section], Section], str]] = {
    "overlap": (lambda s: moved(s, 2, x=199.0), "overlap"),
    "hair of an overlap": (lambda s: moved(s, 2, x=200.0 - 2.0 * TOLERANCE), "overlap"),
    "one on another": (lambda s: moved(s, 1, turn=0.0, x=0.0, y=0.0), "overlap"),
    "inside another": (
        lambda s: replace(
            s,
            parts=(*s.parts, rectangle("patch", 50.0, 50.0)),
            laid=(*s.laid, at("patch", 0, 60.0, 60.0)),
        ),
        "overlap",
    ),
    "off the side": (lambda s: moved(s, 0, y=-1.0), "runs off the cloth"),
    "off the end": (lambda s: replace(s, length=799.0), "runs off the cloth"),
    "missing copy": (lambda s: replace(s, laid=s.laid[1:]), "laid 1 times, not 2"),
    "stranger": (lambda s: replace(s, laid=(*s.laid, at("sash", 0, 900.0, 0.0))), "not to be laid here"),
    "wrong turn": (lambda s: moved(s, 2, turn=90.0, x=800.0), "grain does not allow"),
    "wrong way up": (lambda s: moved(s, 3, mirrored=False, turn=180.0, x=800.0), "turned over 0 times"),
    "twice one copy": (lambda s: moved(s, 1, copy=0), "one number"),
    "nowhere": (lambda s: moved(s, 0, x=float("nan")), "lies nowhere"),
}


@pytest.mark.parametrize("seeded", SEEDED)
def test_a_seeded_fault_is_found(good: Section, seeded: str) -> None:
    good = moved(good, 1, x=200.0, y=600.0)
    spoil, words = SEEDED[seeded]
    assert any(words in fault for fault in section_faults(spoil(good))), section_faults(spoil(good))


def test_a_part_off_the_fold_or_off_the_pattern_is_found() -> None:
    part = rectangle("back", 400.0, 200.0, on_fold=True, turns=(0.0,))
    on = Section(
        kind="fold", name="", width=700.0, length=400.0, parts=(part,), laid=(at("back", 0, 0.0, 0.0),)
    )
    assert section_faults(on) == []
    assert "not on the fold" in section_faults(moved(on, 0, y=5.0))[0]
    matched = replace(part, on_fold=False, match=Match(at=(10.0, 0.0), phase=(10.0, 0.0)))
    checked = replace(on, kind="single", parts=(matched,), length=600.0, repeat=(80.0, 0.0))
    assert section_faults(moved(checked, 0, x=160.0)) == []
    assert "pattern" in section_faults(moved(checked, 0, x=161.0))[0]


def test_flaws_zones_and_the_edge_of_a_hide_are_kept_clear_of() -> None:
    square = np.array([[0.0, 0.0], [100.0, 0.0], [100.0, 100.0], [0.0, 100.0]])
    hide = Surface(
        name="hide",
        outline=square * 10.0,
        flaws=(square + 100.0,),
        zones=(Zone(quality=2, outline=square + np.array([500.0, 500.0])),),
    )
    part = rectangle("tab", 100.0, 100.0, quality=1, turns=None)
    here = Section(
        kind="hide", name="", width=1000.0, length=1000.0, parts=(part,), laid=(at("tab", 0, 0.0, 0.0),),
        surface=hide,
    )  # fmt: skip
    assert section_faults(here) == []
    assert "flaw" in section_faults(moved(here, 0, x=150.0, y=150.0))[0]
    assert "zone too poor" in section_faults(moved(here, 0, x=550.0, y=550.0))[0]
    assert "off the hide" in section_faults(moved(here, 0, x=950.0))[0]
    plain = replace(here, parts=(replace(part, quality=2),))
    assert section_faults(moved(plain, 0, x=550.0, y=550.0)) == []


def test_pieces_missing_from_all_sections_are_found(good: Section) -> None:
    good = moved(good, 1, x=200.0, y=600.0)
    layout = Layout(cloth="twill", sold_as="roll", roll_width=600.0, sections=(good,))
    assert faults_of(layout, {"bag": 2, "flap": 2}) == []
    assert faults_of(layout, {"bag": 2, "flap": 2, "strap": 1}) == ["strap is cut 0 times, not 1"]
    assert faults_of(layout, {"bag": 1, "flap": 2}) == ["bag is cut 2 times, not 1"]
