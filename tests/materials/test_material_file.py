"""Materials read as pulled and weighed; the starter set is whole, sourced and untested."""

import tomllib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from layfigure.errors import FileError, LayfigureError, UnitError, UnknownKeyError
from layfigure.materials.material_file import parse_materials
from layfigure.materials.pull_strip import parse_stretch, stretch_of
from layfigure.materials.starter import starter_cloths, starter_stock, starter_text

HEAD = "format = 1\n[materials.knit_a]\n"
FULL = HEAD + 'kind = "knit"\nwidth = "150 cm"\nareal_mass = "8 oz/yd2"\n'


# A sewing magazine's item and a newsletter: 4 in to 5 in is 25 %, 4 to 10 is 150 %, 10 to 16 is 60 %.
@pytest.mark.parametrize(
    ("text", "stretch", "pulled"),
    [
        ("10 cm stretches to 16 cm", 0.6, True),
        ("4 in stretched to 5 in", 0.25, True),
        ("4 in to 10 in", 1.5, True),
        ("100 mm pulls to 12,5 cm", 0.25, True),
        ("60 %", 0.6, False),
        ("0 %", 0.0, False),
    ],
)
def test_the_hand_test(text: str, stretch: float, pulled: bool) -> None:
    assert parse_stretch(text) == (pytest.approx(stretch), pulled)


@given(st.floats(10.0, 500.0), st.floats(1e-6, 2.999))
def test_a_strip_gives_back_its_stretch(rest: float, stretch: float) -> None:
    assert stretch_of(rest, rest * (1.0 + stretch)) == pytest.approx(stretch, abs=1e-8)


@pytest.mark.parametrize(
    "text", ["16 cm to 10 cm", "10 cm to 50 cm", "60", "10 to 16 cm", "-5 %", "400 %", "very", "0 cm to 5 cm"]
)
def test_what_is_no_stretch_is_refused(text: str) -> None:
    with pytest.raises(UnitError):
        parse_stretch(text)


def test_a_material_as_weighed_and_pulled() -> None:
    cloth = parse_materials(FULL + 'stretch_across = "10 cm stretches to 16 cm"\nrecovery = "95 %"\n')[
        "knit_a"
    ]
    assert (cloth.slug, cloth.kind, cloth.name, cloth.width) == ("knit_a", "knit", "knit a", 1500.0)
    assert cloth.areal_mass == pytest.approx(271.2, abs=0.1)
    assert cloth.stretch_across == pytest.approx(0.6)
    assert cloth.recovery == 0.95
    assert cloth.tested
    assert not parse_materials(FULL + 'stretch_across = "60 %"\n')["knit_a"].tested


def test_like_takes_what_is_not_said_but_never_the_test() -> None:
    text = (
        FULL
        + 'stretch_across = "10 cm to 16 cm"\n[materials.dyed]\nlike = "knit_a"\nareal_mass = "300 g/m2"\n'
    )
    dyed = parse_materials(text)["dyed"]
    assert (dyed.kind, dyed.width, dyed.areal_mass) == ("knit", 1500.0, 300.0)
    assert dyed.stretch_across == pytest.approx(0.6)
    assert not dyed.tested
    mine = parse_materials('format = 1\n[materials.mine]\nlike = "power_mesh"\n')
    assert mine["mine"].kind == "mesh"
    assert set(starter_cloths()) < set(mine)


@pytest.mark.parametrize(
    ("text", "kind", "message"),
    [
        (
            FULL + "recovry = '90 %'",
            UnknownKeyError,
            ", line 6: key 'recovry' is unknown in materials.knit_a. Did",
        ),
        (FULL + "thickness = 3", FileError, ", line 6: materials.knit_a.thickness: length 3 has no unit."),
        (
            FULL + "thickness = '3 m'",
            FileError,
            ", line 2: material 'knit_a': thickness is not that of a cloth.",
        ),
        (
            FULL + "recovery = '120 %'",
            FileError,
            ", line 2: material 'knit_a': recovery is not that of a cloth.",
        ),
        (
            FULL + "stretch_along = '16 cm to 10 cm'",
            FileError,
            ", line 6: materials.knit_a.stretch_along: a pulled",
        ),
        (HEAD + "kind = 'knit'\nwidth = '1 m'", FileError, ", line 2: material 'knit_a' needs areal_mass."),
        (HEAD + "kind = 'fur'", FileError, ", line 3: materials.knit_a.kind must be one of"),
        (
            HEAD + "like = 'power_mehs'",
            FileError,
            ", line 3: material 'knit_a' is like 'power_mehs', which is not",
        ),
    ],
)
def test_bad_materials_say_where_and_what(text: str, kind: type[LayfigureError], message: str) -> None:
    with pytest.raises(kind) as caught:
        parse_materials(text)
    assert str(caught.value).startswith(f"materials.toml{message}")
    assert type(caught.value) is kind


def test_the_starter_set_is_sourced_and_untested() -> None:
    rows = tomllib.loads(starter_text())["materials"]
    cloths = starter_cloths()
    assert set(rows) == set(cloths)
    for slug, row in rows.items():
        assert row["source"], slug
        assert not cloths[slug].tested, slug
        if cloths[slug].kind in ("knit", "mesh"):
            assert cloths[slug].stretch_across >= cloths[slug].stretch_along > 0.0
    assert {cloth.kind for cloth in cloths.values()} >= {
        "knit", "mesh", "woven", "leather", "foam", "thermoplastic", "paper",
    }  # fmt: skip


def test_the_starter_set_has_what_else_a_costume_takes() -> None:
    rows, stock = tomllib.loads(starter_text()), starter_stock()
    for table in ("coatings", "hardware"):
        assert all(row["source"] for row in rows[table].values()), table
    assert {coating.kind for coating in stock.coatings.values()} >= {"primer", "paint", "sealer", "glue"}
    assert stock.finishes["painted_foam"].build_up(stock.coatings) == pytest.approx(
        4 * 0.03 + 2 * 0.02 + 2 * 0.02
    )
    assert {"elastic_10mm", "snap", "rivet", "braid_15mm"} <= set(stock.hardware)
    assert stock.supply("power_mesh").coverage is not None
    # TRADE 5, a seller's hides: calf 25 to 30, suede 15 to 18 square feet.
    feet = {slug: stock.supply(slug).area / 304.8**2 for slug in ("calf_leather_1mm", "suede_1mm")}
    assert 25.0 <= feet["calf_leather_1mm"] <= 30.0
    assert 15.0 <= feet["suede_1mm"] <= 18.0


def test_the_starter_leather_has_the_mass_its_ounces_say() -> None:
    # Trade definition: one ounce is 1/64 inch and weighs one avoirdupois ounce a square foot, 0.77 g/cm3.
    leather = starter_cloths()["vegetable_tanned_leather_2mm"]
    per_mm = 28.349523 / 0.09290304 / (25.4 / 64)
    assert leather.areal_mass == pytest.approx(per_mm * leather.thickness, rel=0.01)
