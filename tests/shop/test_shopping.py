"""From drafted pieces to a list: amounts by geometry, packs rounded up, prices as sellers state them."""

from dataclasses import replace

import numpy as np
import pytest

from layfigure.design.design import PieceStatement
from layfigure.draft.registry import Check, DraftResult
from layfigure.errors import FileError, LayError
from layfigure.lay.amount import Amount
from layfigure.lay.laid import AllLaid
from layfigure.materials.material_file import parse_stock
from layfigure.materials.stock import Stock
from layfigure.materials.supply import Leftover
from layfigure.materials.warmth import insulation, sweat_words
from layfigure.piece.item import Item
from layfigure.piece.piece import Grainline, Piece, PieceEdge, Verdict, Window
from layfigure.shop.buying import budget_words, buying_of
from layfigure.shop.cost import piece_costs, piece_mass
from layfigure.shop.hidden_use import hidden_use_words
from layfigure.shop.hours import hours_of, hours_words
from layfigure.shop.instead import one_way, stiffness_words, way_rows
from layfigure.shop.make_or_buy import weighed_up
from layfigure.shop.material_line import material_line
from layfigure.shop.money_file import Money, of_each_side, parse_hours, parse_money, refuse_strangers
from layfigure.shop.need import SPILT, coating_needs, item_needs
from layfigure.shop.piece_area import cut_area, cut_mass, glued_area, worn_area
from layfigure.shop.shopping_list import ShoppingList, list_of, packs_for, with_remark
from layfigure.shop.words import amount_words, to_buy_words

STOCK = """format = 1
currency = "EUR"
[materials.twill]
kind = "woven"
width = "150 cm"
areal_mass = "300 g/m2"
price = "18 per m"
seller = "cloth shop"
overhang = "6 cm"
[materials.canvas]
like = "twill"
areal_mass = "600 g/m2"
overhang = "12 cm"
price = "10 per m"
[materials.plate]
kind = "foam"
width = "100 cm"
sheet_length = "100 cm"
areal_mass = "500 g/m2"
thickness = "5 mm"
finish = "lacquer"
glue = "contact"
price = "6 per sheet"
errand = "post"
[materials.hide_a]
kind = "leather"
width = "100 cm"
areal_mass = "1500 g/m2"
area = "18 ft2"
price = "9 per ft2"
[coatings.primer]
kind = "primer"
coverage = "8 m2/l"
areal_mass = "30 g/m2"
pack = "100 ml"
price = "4 each"
on_shelf = "20 ml"
[coatings.contact]
kind = "glue"
coverage = "4 m2/l"
solvent = true
[finishes.lacquer]
coats = ["primer x 2"]
[hardware.snap]
price = "4.20 per 50"
pack = 50
on_shelf = 2
[hardware.elastic_10mm]
price = "0.80 per m"
pack_length = "1 m"
seller = "haberdasher"
"""


@pytest.fixture(scope="module")
def stock() -> Stock:
    return parse_stock(STOCK)


def rectangle(
    slug: str, cloth: str, wide: float, high: float, *, allowance: float = 0.0, **more: object
) -> Piece:
    corners = np.array([[0.0, 0.0], [wide, 0.0], [wide, high], [0.0, high], [0.0, 0.0]])
    role = "butt" if more.pop("butt", False) else "seam"
    edges = tuple(
        PieceEdge(slug=f"e{k}", curve=corners[k : k + 2], role=role, allowance=allowance)  # type: ignore[arg-type]
        for k in range(4)
    )
    return Piece(
        slug=slug,
        label=slug,
        kind="woven",
        cloth=cloth,
        edges=edges,
        grainline=Grainline(start=(0.0, 0.0), end=(0.0, high), kind="grain"),
        totals=(),
        verdict=Verdict(level="scrap"),
        **more,  # type: ignore[arg-type]
    )


SHEET = Amount(by="count", needed=1.0, to_buy=1.0)


def roll(needed: float, to_buy: float) -> Amount:
    return Amount(by="length", needed=needed, to_buy=to_buy, width=1500.0)


def drafted(*pieces: Piece, items: tuple[Item, ...] = (), checks: tuple[Check, ...] = ()) -> DraftResult:
    return DraftResult(pieces=pieces, items=items, checks=checks)


def test_areas_and_mass_are_those_of_the_rectangle(stock: Stock) -> None:
    window = Window(
        slug="w", curve=np.array([[100.0, 100.0], [200.0, 100.0], [200.0, 200.0], [100.0, 200.0]])
    )
    piece = rectangle("front", "twill", 500.0, 400.0, allowance=10.0, windows=(window,), count=2)
    assert worn_area(piece) == pytest.approx(500 * 400 - 100 * 100)
    assert cut_area(piece) == pytest.approx(520 * 420 - 100 * 100)
    assert cut_mass([piece], stock.cloths) == pytest.approx(2 * (0.52 * 0.42 - 0.01) * 300.0)


def test_paint_and_glue_follow_from_area_and_edges(stock: Stock) -> None:
    # 1 m x 0.5 m of foam 5 mm thick, two copies, butted all round: 1 m2 to coat twice at 8 m2/l is 250 ml;
    # 2 x 3 m of edge 5 mm high is 0.03 m2, 7.5 ml at 4 m2/l.
    piece = rectangle("plate", "plate", 1000.0, 500.0, butt=True, thickness=5.0, count=2)
    assert glued_area(piece) == pytest.approx(3000.0 * 5.0)
    needs = {need.slug: need.amount for need in coating_needs({"dome": drafted(piece)}, stock)}
    assert needs == pytest.approx({"primer": 250.0 * (1 + SPILT), "contact": 7.5 * (1 + SPILT)})


def test_like_items_are_added_up_and_bought_by_packs(stock: Stock) -> None:
    snap, elastic = Item(slug="snap", name="snap"), Item(slug="elastic_10mm", name="elastic")
    drafts = {
        "bodysuit": drafted(items=(replace(snap, count=3), replace(elastic, length=620.0))),
        "leggings": drafted(items=(replace(snap, count=50), replace(elastic, length=700.0))),
        "fittings": drafted(
            items=(
                Item(slug="zip_200mm", name="zip", count=2, length=200.0, price=3.0),
                Item(slug="wig", name="wig", source="owned"),
            )
        ),
    }
    shopping = list_of(item_needs(drafts, stock), stock)
    lines = {line.slug: line for line in shopping.lines}
    # 53 snaps less 2 on the shelf: two packs of 50. 1.32 m of elastic: 2 m.
    assert (lines["snap"].packs, lines["snap"].to_buy, lines["snap"].price) == (2, 100.0, pytest.approx(8.4))
    assert (lines["elastic_10mm"].to_buy, lines["elastic_10mm"].price) == (2000.0, pytest.approx(1.6))
    assert (lines["zip_200mm"].by, lines["zip_200mm"].to_buy, lines["zip_200mm"].price) == ("count", 2.0, 6.0)
    assert lines["wig"].to_buy == 0.0
    assert lines["snap"].pieces == ("bodysuit", "leggings")
    assert shopping.total == pytest.approx(8.4 + 1.6 + 6.0)


def test_what_one_piece_has_is_still_bought_for_another(stock: Stock) -> None:
    wig = Item(slug="wig", name="wig", price=40.0)
    drafts = {"first": drafted(items=(replace(wig, source="owned"),)), "second": drafted(items=(wig,))}
    shopping = list_of(item_needs(drafts, stock), stock)
    assert [(line.to_buy, line.pieces) for line in shopping.lines] == [(1.0, ("second",)), (0.0, ("first",))]
    costs = piece_costs(drafts, shopping, stock)
    assert [costs[slug].materials for slug in drafts] == pytest.approx([0.0, 40.0])


def test_things_of_one_kind_by_many_names_are_listed_as_what_they_are(stock: Stock) -> None:
    upper = Item(slug="elastic_25mm", name="Upper strap, elastic 25 mm wide", length=300.0)
    lower = replace(upper, name="Lower strap, elastic 25 mm wide")
    (need,) = item_needs({"dome": drafted(items=(upper, lower))}, stock)
    assert (need.name, need.amount) == ("elastic 25 mm", 600.0)


def test_a_price_by_another_unit_than_what_is_bought_is_told(stock: Stock) -> None:
    by_sheet = parse_stock(STOCK.replace('price = "18 per m"', 'price = "18 per sheet"'))
    line = material_line("twill", roll(900.0, 900.0), by_sheet)
    assert line.price is None
    assert line.remark == "its price is by the piece, and it is bought by the length: no price is counted"
    each = parse_stock(STOCK.replace('"0.80 per m"\npack_length = "1 m"', '"0.80 each"'))
    elastic = Item(slug="elastic_10mm", name="elastic", length=300.0)
    (line,) = list_of(item_needs({"a": drafted(items=(elastic,))}, each), each).lines
    assert "bought by the length" in line.remark
    assert not material_line("twill", roll(900.0, 900.0), stock).remark


def test_hardware_weighs_what_its_maker_says_by_piece_and_by_metre() -> None:
    text = STOCK.replace("on_shelf = 2\n", 'on_shelf = 2\nmass = "2 g"\n').replace(
        'seller = "haberdasher"\n', 'mass = "8 g"\n'
    )
    items = (
        Item(slug="snap", name="snap", count=3),
        Item(slug="elastic_10mm", name="elastic", count=2, length=500.0),
        Item(slug="bell", name="bell", mass=30.0),
        Item(slug="bead", name="bead", count=9),
    )
    assert piece_mass(drafted(items=items), parse_stock(text)) == pytest.approx(3 * 2.0 + 8.0 + 30.0)


def test_a_tin_priced_each_is_priced_by_the_tin(stock: Stock) -> None:
    piece = rectangle("plate", "plate", 1000.0, 500.0, thickness=5.0)
    (line,) = list_of(
        [n for n in coating_needs({"d": drafted(piece)}, stock) if n.slug == "primer"], stock
    ).lines
    # 0.5 m2 twice at 8 m2/l with 15 % spilt is 143.75 ml; 20 ml are on the shelf: two tins of 100 ml.
    assert (line.packs, line.to_buy, line.price) == (2, 200.0, pytest.approx(8.0))
    assert to_buy_words(line) == "2 x 100 ml"


# TRADE 5 [S50]: a yard of cloth 54 in wide is 13.5 sq ft of leather, 18 to be bought for it.
def test_cloth_sheets_and_hides_are_priced_as_they_are_sold(stock: Stock) -> None:
    cloth = material_line("twill", roll(1530.0, 1600.0), stock, ("coat",))
    assert (cloth.to_buy, cloth.price) == (1600.0, pytest.approx(28.8))
    assert (to_buy_words(cloth), to_buy_words(cloth, "in")) == ("1.6 m of 150 cm", "1.75 yd of 59 1/16 in")
    foam = material_line("plate", Amount(by="count", needed=3.0, to_buy=3.0, from_shelf=1.0), stock)
    assert (foam.to_buy, foam.needed, foam.price, to_buy_words(foam)) == (
        3.0,
        4.0,
        pytest.approx(18.0),
        "3 sheets",
    )
    square_foot = 304.8**2
    leather = Amount(by="area", needed=13.5 / 0.75 * square_foot, to_buy=18.0 * square_foot, estimated=True)
    hide = material_line("hide_a", leather, stock)
    assert (hide.packs, hide.price) == (1, pytest.approx(18 * 9.0))
    assert to_buy_words(hide, "in") == "1 hide of 18 ft2"
    assert (
        material_line("twill", Amount(by="length", needed=0.0, to_buy=0.0, from_shelf=500.0), stock).price
        == 0.0
    )


def test_what_has_no_price_is_said_and_not_taken_for_free(stock: Stock) -> None:
    piece = rectangle("plate", "plate", 1000.0, 500.0, thickness=5.0, butt=True)
    shopping = list_of(coating_needs({"d": drafted(piece)}, stock), stock)
    assert shopping.unpriced == ("contact",)
    assert shopping.by_errand()["shop"][""]


def test_a_material_that_could_not_be_laid_is_missing_from_the_sum_and_said_so(stock: Stock) -> None:
    statements, drafts, _ = costume(stock)
    refused = AllLaid(cloths={}, refused={"plate": LayError("there is no room for gore.")})
    money = parse_money("format = 1\nrate = 1\nbudget = 50\n[pieces.helm]\nbuy = 900\n")
    buying = buying_of(statements, drafts, refused, stock, money)
    said = budget_words(buying.shopping, money)
    assert said.endswith("; 1 material could not be laid and is not in it.")
    assert buying.costs["helm"].unpriced == ("plate",)
    assert buying.costs["coat"].unpriced == ()
    # Making could come out dearer than ready made: it is not said to be the cheaper.
    assert {one.slug: one.answer for one in buying.weighed}["helm"] == "cannot say"


def test_the_list_is_sorted_by_errand_and_seller(stock: Stock) -> None:
    taken = [
        material_line("plate", SHEET, stock),
        material_line("twill", roll(900.0, 900.0), stock),
    ]
    shopping = list_of(
        item_needs({"b": drafted(items=(Item(slug="elastic_10mm", name="e", length=10.0),))}, stock),
        stock,
        taken,
    )
    errands = shopping.by_errand()
    assert list(errands) == ["shop", "post"]
    assert list(errands["shop"]) == ["cloth shop", "haberdasher"]


@pytest.mark.parametrize(
    ("amount", "pack", "packs"), [(0.0, 50.0, 0), (50.0, 50.0, 1), (50.1, 50.0, 2), (1600.0000001, 100.0, 16)]
)
def test_packs_are_rounded_up_but_not_by_rounding(amount: float, pack: float, packs: int) -> None:
    assert packs_for(amount, pack) == packs


def costume(stock: Stock) -> tuple[list[PieceStatement], dict[str, DraftResult], ShoppingList]:
    statements = [
        PieceStatement(slug="coat", kind="woven", cloth="twill"),
        PieceStatement(slug="helm", kind="shell", cloth="plate", options={"shape": "helm"}),
    ]
    drafts = {
        "coat": drafted(rectangle("coat", "twill", 1000.0, 1000.0)),
        "helm": drafted(rectangle("gore", "plate", 500.0, 500.0, thickness=5.0)),
    }
    lines = [
        material_line("twill", roll(1500.0, 1500.0), stock),
        material_line("plate", SHEET, stock),
    ]
    return statements, drafts, list_of(coating_needs(drafts, stock), stock, lines)


def test_every_piece_bears_its_share_of_the_list(stock: Stock) -> None:
    _, drafts, shopping = costume(stock)
    costs = piece_costs(drafts, shopping, stock)
    assert costs["coat"].materials == pytest.approx(27.0)
    assert sum(cost.materials for cost in costs.values()) == pytest.approx(shopping.total)
    # 0.25 m2 of 500 g/m2 foam and two coats of 30 g/m2.
    assert piece_mass(drafts["helm"], stock) == pytest.approx(0.25 * 500.0 + 0.25 * 60.0)


def test_making_is_weighed_against_buying(stock: Stock) -> None:
    statements, drafts, shopping = costume(stock)
    costs = piece_costs(drafts, shopping, stock)

    def answers(text: str) -> dict[str, str]:
        money = parse_money("format = 1\n" + text)
        return {one.slug: one.answer for one in weighed_up(statements, costs, money)}

    assert answers("rate = 10\n[pieces.helm]\nbuy = 90\n") == {"coat": "cannot say", "helm": "buy it"}
    assert answers("rate = 10\n[pieces.helm]\nbuy = 900\n")["helm"] == "make it"
    assert answers("rate = 10\n[pieces.helm]\nbuy = 300\n")["helm"] == "either"
    assert answers("rate = 10\n[pieces.helm]\nbuy = 900\ntools = ['Heat gun']\n")["helm"] == "either"
    assert (
        answers("rate = 10\ntools = ['heat gun']\n[pieces.helm]\nbuy = 900\ntools = ['Heat gun']\n")["helm"]
        == "make it"
    )
    assert answers("[pieces.helm]\nbuy = 900\n")["helm"] == "cannot say"
    assert answers("rate = 10\n[pieces.coat]\nbuy = 50\nhours = '1 h'\n")["coat"] == "make it"


def test_hours_by_makers_ranges_and_by_her_own_pace() -> None:
    helm = PieceStatement(slug="helm", kind="shell", cloth="plate", options={"shape": "helm"})
    assert hours_of(helm, Money()) == (20.0, 60.0)
    assert hours_of(helm, Money(beginner=True)) == (40.0, 120.0)
    assert hours_of(replace(helm, options={"shape": "horn"}), Money()) is None
    own = parse_money("format = 1\n[pace]\nplate = 2.0\ntwill = 1.0\n[pieces.helm]\nhours = '30 h'\n")
    assert hours_of(helm, own) == (30.0, 30.0)
    assert hours_of(helm, own, "twill") == (15.0, 15.0)
    assert hours_words(parse_hours("2,5 to 60 hours")) == "2.5 to 60 h"


def test_another_material_changes_mass_cost_and_stiffness_together(stock: Stock) -> None:
    statement = PieceStatement(slug="coat", kind="woven", cloth="twill")

    def way(cloth: str):  # type: ignore[no-untyped-def]
        drafts = {"coat": drafted(rectangle("coat", cloth, 1000.0, 1000.0))}
        shopping = list_of([], stock, [material_line(cloth, roll(1500.0, 1500.0), stock)])
        return one_way(replace(statement, cloth=cloth), drafts, shopping, stock, Money())

    twill, canvas = way("twill"), way("canvas")
    assert (canvas.mass / twill.mass, twill.cost, canvas.cost) == (pytest.approx(2.0), 27.0, 15.0)
    # Twice the mass and twice the overhang: 2 x 2^3.
    assert stiffness_words(twill, canvas) == "16.0 times as stiff"
    assert stiffness_words(canvas, twill) == "less than a tenth as stiff"
    half = replace(twill, cost=0.0, unpriced=("tape, 40 mm wide, both halves", "thread"))
    told = {row[0]: row[1:] for row in way_rows(half, replace(half, cost=2.0), "EUR")}
    assert told["its materials"] == (
        "no price for: tape, 40 mm wide, both halves; thread",
        "2.00 EUR; no price for: tape, 40 mm wide, both halves; thread",
    )
    assert all(words.endswith("EUR, without those") for words in told["the whole list"])


def test_another_material_tells_warmth_and_sweat(stock: Stock) -> None:
    plate = stock.cloths["plate"]
    # 5 mm at 0.04 W/(m K) are 0.125 m2K/W; textile handbooks give 1.6 clo for a centimetre (from memory).
    assert insulation(plate) == pytest.approx(0.125 / 0.155)
    assert insulation(replace(stock.cloths["twill"], thickness=10.0)) == pytest.approx(1.6, abs=0.02)
    assert insulation(stock.cloths["twill"]) is None
    drafts = {"dome": drafted(rectangle("dome", "plate", 1000.0, 500.0, butt=True, thickness=5.0, count=2))}
    shopping = list_of([], stock, [material_line("plate", SHEET, stock)])
    statement = PieceStatement(slug="dome", kind="shell", cloth="plate")
    way = one_way(statement, drafts, shopping, stock, Money())
    assert {row[0]: row[1] for row in way_rows(way, way, "EUR")}["warmth"] == (
        "keeps heat in by about 0.81 clo where it lies (an indoor suit with shirt and underwear: 1 clo); "
        "covers 100 dm² of the body, as much as 100 × 100 cm; sweat cannot pass"
    )
    # A painted woven is closed by its paint, a bare one is not.
    assert sweat_words(stock.cloths["twill"], finished=True) == "sweat cannot pass"
    assert sweat_words(stock.cloths["twill"], finished=False) == "sweat passes"


@pytest.mark.parametrize(
    ("piece", "shelf", "words"),
    [
        # A lining of 1 m x 1 m; half of what lies on the shelf, 1.5 m wide, is counted on.
        ("coat_lining", 2000.0, "of which you have enough"),
        ("coat_lining", 1000.0, "part of it may come from twill"),
        ("coat_lining", 0.0, ""),
        ("coat_front", 2000.0, ""),
        ("window_backing", 2000.0, ""),
    ],
)
def test_cloth_for_hidden_use_is_offered_where_nobody_sees_it(
    stock: Stock, piece: str, shelf: float, words: str
) -> None:
    left = (Leftover(length=shelf),) if shelf else ()
    kept = replace(stock.supply("twill"), hidden_use=True, on_shelf=left)
    stock = replace(stock, supplies={**stock.supplies, "twill": kept})
    said = hidden_use_words("canvas", [rectangle(piece, "canvas", 1000.0, 1000.0)], stock)
    assert (words in said) if words else said == ""
    canvas = replace(stock.cloths["canvas"], stretch_across=0.2)
    stretchy = replace(stock, cloths={**stock.cloths, "canvas": canvas})
    assert hidden_use_words("canvas", [rectangle(piece, "canvas", 1000.0, 1000.0)], stretchy) == ""
    line = with_remark(material_line("canvas", roll(1000.0, 1000.0), stock), said)
    assert line.remark.endswith(said)


def test_a_seam_that_overlaps_is_glued_over_its_allowance() -> None:
    # 2 x (400 + 300) mm of seam, 12 mm of allowance, no edge that butts.
    piece = rectangle("strap", "hide_a", 400.0, 300.0, allowance=12.0, thickness=3.0)
    assert glued_area(piece) == pytest.approx(1400.0 * 12.0)


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("rate = -1\n", "line 2"),
        ("budgt = 10\n", "budget"),
        ("[pieces.helm]\nhours = '60 to 20 h'\n", "line 3.*backwards"),
        ("[pieces.helm]\nhours = 20\n", "line 3.*'35 h'"),
        ("[pace]\nplate = 0\n", "line 3"),
    ],
)
def test_a_slip_in_the_file_of_money_is_named(text: str, message: str) -> None:
    with pytest.raises(FileError, match=message):
        parse_money("format = 1\n" + text)


def test_a_piece_that_the_costume_lacks_is_named() -> None:
    money = parse_money("format = 1\n[pieces.hlem]\nbuy = 3\n")
    with pytest.raises(FileError, match=r"hlem.*helm"):
        refuse_strangers(money, frozenset({"helm"}), frozenset())


def test_what_is_said_of_a_pair_is_said_of_each_side_unless_that_side_says_otherwise() -> None:
    money = parse_money(
        "format = 1\n[pieces.cuff]\nbuy = 30\n[pieces.cuff_left]\nbuy = 50\n[pieces.one]\nbuy = 4\n"
    )
    pieces = frozenset({"cuff_left", "cuff_right", "one_left"})
    spread = of_each_side(money, pieces)
    assert {slug: said.buy for slug, said in spread.pieces.items()} == {
        "cuff_left": 50.0,
        "cuff_right": 30.0,
        "one": 4.0,
    }
    # One side alone is not both: its name is to be written out.
    with pytest.raises(FileError, match="one"):
        refuse_strangers(spread, pieces, frozenset())


def test_amounts_are_written_in_the_makers_units() -> None:
    assert amount_words(1600.0, "length") == "1.6 m"
    assert amount_words(1600.0, "length", "in") == "1.75 yd"
    assert amount_words(254.0, "length", "in") == "10 in"
    assert amount_words(1250.0, "volume") == "1.25 l"
