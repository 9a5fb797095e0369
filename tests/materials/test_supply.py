"""How materials come and cost, as makers write it; each wrong word is refused with what to write."""

import pytest

from layfigure.errors import FileError, UnitError
from layfigure.materials.material_file import parse_stock
from layfigure.materials.overhang import flexural_rigidity
from layfigure.materials.price import format_money, parse_price
from layfigure.materials.stock import Stock
from layfigure.materials.supply_schema import parse_leftover
from layfigure.materials.swatch import larger_swatch, parse_weighed, sure_to

TEXT = """format = 1
currency = "EUR"

[materials.twill]
kind = "woven"
width = "150 cm"
areal_mass = "10 cm x 10 cm weighs 3.2 g"
nap = true
selvedge = "1 cm"
repeat_along = "32 cm"
shrinkage_along = "4 %"
price = "18.50 per m"
seller = "cloth shop"
on_shelf = ["1.2 m", "2 pieces of 60 cm x 40 cm"]

[materials.twill_dyed]
like = "twill"

[materials.shell_foam]
like = "eva_foam_5mm"
sheet_length = "100 cm"
finish = "lacquer"
price = "6 per sheet"

[coatings.primer]
kind = "primer"
coverage = "8 m2/l"
build_up = "0.02 mm"
areal_mass = "30 g/m2"
pack = "250 ml"
price = "7.50 each"

[coatings.red_paint]
kind = "paint"
coverage = "100 ml/m2"
build_up = "0.03 mm"

[finishes.lacquer]
coats = ["primer x 2", "red_paint x 3"]

[hardware.snap]
price = "4.20 per 50"
pack = 50
mass = "1.2 g"
on_shelf = 12

[hardware.elastic_10mm]
price = "0.80 per m"
pack_length = "1 m"
on_shelf = "3 m"
"""


@pytest.fixture(scope="module")
def stock() -> Stock:
    return parse_stock(TEXT)


def test_a_swatch_weighed_is_a_mass_per_area(stock: Stock) -> None:
    assert stock.cloths["twill"].areal_mass == pytest.approx(320.0)
    assert stock.supply("twill").swatch == pytest.approx((100.0, 100.0))
    assert stock.supply("twill_dyed").swatch is None
    assert parse_weighed("4 in by 4 in weighs 2 oz")[0] == pytest.approx(56.699 / 0.1016**2, rel=1e-4)
    assert parse_weighed("280 g/m2") == (280.0, None)


def test_scales_too_coarse_for_a_swatch_ask_for_a_larger_one() -> None:
    # 10 cm square of 200 g/m2 is 2 g: half a gram of step is a quarter of it.
    assert sure_to(100.0, 100.0, 200.0) == pytest.approx(0.25)
    side = larger_swatch(100.0, 100.0, 200.0)
    assert side is not None
    assert sure_to(side, side, 200.0) <= 0.05 < sure_to(side - 50.0, side - 50.0, 200.0)
    assert larger_swatch(1000.0, 500.0, 500.0) is None


def test_how_a_material_comes(stock: Stock) -> None:
    twill = stock.supply("twill")
    assert (twill.sold_as, twill.nap, twill.selvedge, twill.repeat_along) == ("roll", True, 10.0, 320.0)
    assert twill.shrinkage_along == pytest.approx(0.04)
    assert [(left.length, left.width, left.count) for left in twill.on_shelf] == [
        (1200.0, None, 1),
        (600.0, 400.0, 2),
    ]
    assert twill.price is not None
    assert twill.price.for_quantity(1600.0) == pytest.approx(29.6)
    dyed = stock.supply("twill_dyed")
    assert dyed.nap
    assert dyed.on_shelf == ()
    assert (stock.supply("shell_foam").sold_as, stock.supply("power_mesh").sold_as) == ("sheet", "roll")
    assert stock.currency == "EUR"


def test_a_finish_adds_thickness_mass_and_volume(stock: Stock) -> None:
    lacquer = stock.finishes["lacquer"]
    assert lacquer.build_up(stock.coatings) == pytest.approx(2 * 0.02 + 3 * 0.03)
    # What lies above makes room for it; a cloth without a finish is as thick as it is.
    foam = stock.cloths["shell_foam"].thickness
    assert stock.finished_thickness("shell_foam") == pytest.approx(foam + 0.13)
    assert stock.finished_thickness("twill") == stock.cloths["twill"].thickness
    assert lacquer.areal_mass(stock.coatings) == pytest.approx(60.0)
    # Half a square metre: 8 m2/l is 125 ml/m2 a coat.
    volumes = lacquer.volumes(0.5e6, stock.coatings)
    assert volumes == pytest.approx({"primer": 125.0, "red_paint": 150.0})


def test_a_sheer_says_how_much_it_covers() -> None:
    assert parse_stock(TEXT).supply("power_mesh").coverage == pytest.approx(0.6)
    own = TEXT.replace('like = "eva_foam_5mm"', 'like = "power_mesh"\ncoverage = "45 %"')
    assert parse_stock(own).supply("shell_foam").coverage == pytest.approx(0.45)


def test_hardware_by_count_and_by_length(stock: Stock) -> None:
    snap, elastic = stock.hardware["snap"], stock.hardware["elastic_10mm"]
    assert snap.price is not None
    assert snap.price.for_quantity(50) == pytest.approx(4.2)
    assert snap.mass == pytest.approx(1.2)
    assert (snap.on_shelf, elastic.on_shelf, elastic.pack_length) == (12.0, 3000.0, 1000.0)


# TRADE 5: a square foot is 0.0929 m2.
@pytest.mark.parametrize(
    ("text", "quantity", "cost"),
    [
        ("18.50 per m", 1600.0, 29.6),
        ("12 / yd", 914.4, 12.0),
        ("9 per ft2", 92_903.04, 9.0),
        ("3,60 per 250 ml", 500.0, 7.2),
        ("9.80 each", 2.0, 19.6),
        ("4.20 per 50", 100.0, 8.4),
    ],
)
def test_prices_as_sellers_write_them(text: str, quantity: float, cost: float) -> None:
    assert parse_price(text).for_quantity(quantity) == pytest.approx(cost)


@pytest.mark.parametrize("text", ["18.50", "free", "3 per furlong", "3 per 0", "per m", "-2 each", 4])
def test_what_is_no_price_is_refused(text: str) -> None:
    with pytest.raises(UnitError, match="per m"):
        parse_price(text)


@pytest.mark.parametrize("text", ["", "a bit", "1 m x 2 m x 3 m", "0 cm", 3])
def test_what_is_no_leftover_is_refused(text: str) -> None:
    with pytest.raises(UnitError):
        parse_leftover(text)


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ('finish = "lacquer"', 'finish = "laquer"', "line 22.*laquer.*lacquer"),
        ('"red_paint x 3"', '"blue_paint"', "line 39.*blue_paint.*Known: .*primer"),
        ('price = "18.50 per m"', 'price = "18.50"', "line 12.*per m"),
        ('shrinkage_along = "4 %"', 'shrinkage_along = "400 %"', "line 11"),
        ('coverage = "8 m2/l"', 'coverage = "0 m2/l"', "covers nothing"),
        ("on_shelf = 12", "on_shelf = -3", "Write 12 or '3 m'"),
        ('pack = "250 ml"', 'pack = "250 g"', "unit 'g'"),
        ('"1.2 m", "2 pieces of', '"3 sheets", "2 pieces of', "line 14.*how large they are"),
        ('kind = "woven"', 'kind = "leather"', "line 14.*shelf_area"),
        ('like = "eva_foam_5mm"', 'like = "power_mesh"\ncoverage = "120 %"', "line 21"),
    ],
)
def test_a_wrong_word_is_named_with_its_line(old: str, new: str, message: str) -> None:
    assert old in TEXT
    with pytest.raises(FileError, match=message):
        parse_stock(TEXT.replace(old, new))


def test_flexural_rigidity_is_that_of_the_cantilever_test() -> None:
    # ISO 9073-7 writes m C^3 10^-3 mN cm, with 10 for gravity: 200 g/m2 bent 4 cm long give 12.8 mN cm.
    assert flexural_rigidity(80.0, 200.0) == pytest.approx(128.0 * 9.80665 / 10.0, rel=1e-9)


def test_money_has_two_places() -> None:
    assert format_money(18.5, "EUR") == "18.50 EUR"
    with pytest.raises(UnitError):
        format_money(float("nan"))
