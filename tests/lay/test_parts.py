"""Parts from pieces: grain along the roll, stretch across, folds opened out, patterns that meet at seams."""

from dataclasses import replace

import numpy as np
import pytest

from layfigure.lay.laid import AllLaid
from layfigure.lay.lay_all import lay_all
from layfigure.lay.layout import Surface, Zone, polygon_area
from layfigure.lay.on_fold import symmetric_half
from layfigure.lay.part import posed
from layfigure.lay.parts import part_of, to_grain
from layfigure.lay.settings import LaySettings
from layfigure.lay.verify import faults_of, section_faults
from layfigure.materials.cloth import Cloth
from layfigure.materials.stock import Stock
from layfigure.materials.supply import Leftover, Supply
from layfigure.piece.piece import EdgeRole, Grainline, Piece, PieceEdge, Verdict


def panel(
    slug: str, width: float, height: float, *, seam: str | None = None, role: EdgeRole = "seam"
) -> Piece:
    """An upright panel whose right side carries a seam or lies on a fold; grain upwards."""
    corners = np.array([[0.0, 0.0], [width, 0.0], [width, height], [0.0, height]])
    sides = [np.array([corners[k], corners[(k + 1) % 4]]) for k in range(4)]
    edges = tuple(
        PieceEdge(
            slug=f"{name}",
            curve=curve,
            role=role if name == "right" else "seam",
            allowance=0.0,
            seam=seam if name == "right" else None,
        )
        for name, curve in zip(("bottom", "right", "top", "left"), sides, strict=True)
    )
    return Piece(
        slug=slug,
        label=slug,
        kind="woven",
        cloth="check",
        edges=edges,
        grainline=Grainline(start=(10.0, 10.0), end=(10.0, height - 10.0), kind="grain"),
        totals=(),
        verdict=Verdict(level="paper"),
    )


def stock(**supply: object) -> Stock:
    cloth = Cloth(slug="check", kind="woven", name="check", width=1400.0, areal_mass=200.0)
    return Stock(
        cloths={"check": cloth},
        supplies={"check": Supply(slug="check", **{"sold_as": "roll", **supply})},  # type: ignore[arg-type]
    )


QUICK = LaySettings(seconds=0.0, rounds=2)


def test_grain_lies_along_the_roll_and_stretch_across_it() -> None:
    piece = panel("front", 300.0, 700.0)
    assert np.ptp(part_of(piece).outline, axis=0) == pytest.approx([700.0, 300.0])
    knit = replace(piece, grainline=Grainline(start=(0.0, 9.0), end=(200.0, 9.0), kind="stretch"))
    assert np.ptp(part_of(knit).outline, axis=0) == pytest.approx([700.0, 300.0])
    up = np.array([[0.0, 1.0]])
    assert up @ to_grain(piece) == pytest.approx(up @ to_grain(knit)), "what is up runs one way on both"
    assert part_of(piece).turns == (0.0, 180.0)
    assert part_of(piece, one_way=True).turns == (0.0,)
    assert part_of(piece, any_way=True).turns is None


def test_a_piece_on_the_fold_is_opened_out_and_halved_again_on_folded_cloth() -> None:
    piece = panel("back", 300.0, 700.0, role="fold")
    whole = part_of(piece)
    assert polygon_area(whole.outline) == pytest.approx(2 * 300.0 * 700.0, rel=1e-5)
    half = symmetric_half(whole)
    assert half is not None
    assert polygon_area(half) == pytest.approx(300.0 * 700.0, rel=1e-5)
    laid = lay_all({"back": [piece]}, stock(), replace(QUICK, way="fold")).cloths["check"]
    (section,) = laid.layout.sections
    assert section.kind == "fold"
    assert [part.on_fold for part in section.parts] == [True]
    assert faults_of(laid.layout, {"back": 1}) == []


def test_a_pattern_runs_on_across_a_seam() -> None:
    first, second = panel("front", 430.0, 510.0, seam="side"), panel("back", 390.0, 600.0, seam="side")
    laid = lay_all({"skirt": [first, second]}, stock(repeat_along=120.0, repeat_across=80.0), QUICK)
    layout = laid.cloths["check"].layout
    (section,) = layout.sections
    assert faults_of(layout, {"front": 1, "back": 1}) == []
    places = []
    for piece in (first, second):
        (one,) = [one for one in section.laid if one.part == piece.slug]
        start = piece.edge("right").curve[:1] @ to_grain(piece)
        places.append(posed(start, turn=one.turn, mirrored=one.mirrored, x=one.x, y=one.y)[0])
    apart = places[1] - places[0]
    assert apart / [120.0, 80.0] == pytest.approx(np.round(apart / [120.0, 80.0]), abs=1e-3)


def test_leftovers_are_used_first_and_one_bad_cloth_spoils_no_other() -> None:
    pieces = {"a": [panel("small", 200.0, 300.0), panel("large", 900.0, 800.0)]}
    laid = lay_all(pieces, stock(on_shelf=(Leftover(length=350.0, width=250.0),)), QUICK)
    kinds = {
        section.name: [one.part for one in section.laid] for section in laid.cloths["check"].layout.sections
    }
    assert kinds == {"at home 1": ["small"], "single layer": ["large"]}
    assert laid.cloths["check"].amount.to_buy == pytest.approx(800.0)
    wide = replace(panel("wide", 1500.0, 300.0), cloth="silk")
    two = stock()
    silk = replace(two.cloths["check"], slug="silk", name="silk")
    two = replace(two, cloths={**two.cloths, "silk": silk})
    both = lay_all({**pieces, "b": [wide]}, two, QUICK)
    assert set(both.cloths) == {"check"}
    assert "wider than the cloth" in both.refused["silk"].what


def test_a_piece_touches_no_poorer_leather_than_the_maker_said() -> None:
    # Half of the hide is poor, and the good half has room for one of the two panels only.
    right = np.array([[410.0, 0.0], [820.0, 0.0], [820.0, 420.0], [410.0, 420.0]])
    hide = Surface(
        name="shoulder",
        outline=np.array([[0.0, 0.0], [820.0, 0.0], [820.0, 420.0], [0.0, 420.0]]),
        zones=(Zone(quality=2, outline=right),),
    )
    pieces = {"pouch": [panel("pouch_front", 380.0, 380.0)], "belt": [panel("belt_front", 380.0, 380.0)]}

    def laid(**zones: int) -> AllLaid:
        return lay_all(pieces, stock(sold_as="hide", poorest_zone=zones), QUICK, hides={"check": [hide]})

    assert "no room" in laid().refused["check"].what
    for zones in ({"pouch": 2}, {"pouch_front": 2}):
        (section,) = laid(**zones).cloths["check"].layout.sections
        assert not section_faults(section)
        left = {
            one.part: ring[:, 0].min() for one, ring in zip(section.laid, section.outlines(), strict=True)
        }
        assert left["belt_front"] < 410.0 < left["pouch_front"] + 380.0
    assert "no room" in laid(pouch=1).refused["check"].what


def test_a_stored_layout_is_used_while_the_pieces_are_the_same() -> None:
    pieces = {"a": [panel("front", 300.0, 700.0)]}
    first = lay_all(pieces, stock(), QUICK)
    before = {"check": first.cloths["check"].layout}
    assert lay_all(pieces, stock(), QUICK, before=before).cloths["check"].reused
    longer = {"a": [panel("front", 300.0, 701.0)]}
    assert not lay_all(longer, stock(), QUICK, before=before).cloths["check"].reused
    assert not lay_all(pieces, stock(nap=True), QUICK, before=before).cloths["check"].reused
