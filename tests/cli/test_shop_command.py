"""``layfigure shop``: the list on the terminal and for programs, from layouts and not from guesses."""

import json
from pathlib import Path

import pytest
from click.testing import CliRunner

from layfigure.cli.main import layfigure
from layfigure.errors import FileError

MATERIALS = """format = 1
currency = "EUR"
[materials.plate]
like = "eva_foam_5mm"
width = "60 cm"
sheet_length = "40 cm"
price = "6 per sheet"
seller = "foam dealer"
finish = "lacquer"
[materials.heavy_plate]
like = "plate"
areal_mass = "2000 g/m2"
thickness = "10 mm"
[coatings.primer]
kind = "primer"
coverage = "8 m2/l"
solvent = true
pack = "100 ml"
price = "4 each"
[finishes.lacquer]
coats = ["primer x 2"]
"""


@pytest.fixture
def costume(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("LAYFIGURE_CACHE", str(tmp_path / "cache"))
    folder = tmp_path / "costume"
    assert CliRunner().invoke(layfigure, ["new", str(folder)]).exit_code == 0
    (folder / "materials.toml").write_text(MATERIALS, encoding="utf-8")
    text = (folder / "costume.toml").read_text(encoding="utf-8")
    assert "vegetable_tanned_leather_2mm" in text
    text = text.replace("vegetable_tanned_leather_2mm", "plate")
    (folder / "costume.toml").write_text(text, encoding="utf-8")
    return folder


def shop(folder: Path, *more: str) -> str:
    result = CliRunner().invoke(layfigure, ["shop", str(folder), *more], catch_exceptions=False)
    assert result.exit_code == 0, result.output
    return result.output


def refused(folder: Path) -> str:
    """Where ``check`` finds what cannot be used."""
    said = CliRunner().invoke(layfigure, ["check", str(folder)])
    assert isinstance(said.exception, FileError)
    return str(said.exception.where)


def listed(folder: Path) -> dict:  # type: ignore[type-arg]
    return json.loads(shop(folder, "--json"))  # type: ignore[no-any-return]


def test_the_list_says_what_to_ask_for_and_what_it_comes_to(costume: Path) -> None:
    data = listed(costume)
    lines = {line["what"]: line for line in data["lines"]}
    assert (lines["plate"]["ask_for"], lines["plate"]["price"]) == ("1 sheet", 6.0)
    assert lines["primer"]["ask_for"] == "1 x 100 ml"
    assert data["total"] == pytest.approx(10.0)
    assert any("primer" in caution and "mask" in caution for caution in data["cautions"])
    words = shop(costume)
    assert "foam dealer" in words
    assert "10.00 EUR in all" in words


def test_a_larger_body_takes_more(costume: Path) -> None:
    # Changing one measure changes the list: a forearm too long for one sheet takes a second.
    before = {line["what"]: line["needed"] for line in listed(costume)["lines"]}
    wearer = costume / "wearers" / "me.toml"
    text = wearer.read_text(encoding="utf-8").replace('forearm_girth = "26.5 cm"', 'forearm_girth = "36 cm"')
    wearer.write_text(text, encoding="utf-8")
    after = {line["what"]: line["needed"] for line in listed(costume)["lines"]}
    assert after["primer"] > 1.05 * before["primer"]


def test_another_material_beside_the_one_it_is_of(costume: Path) -> None:
    (statement,) = json.loads(shop(costume, "--json"))["pieces"]
    words = shop(costume, "--instead", f"{statement}=heavy_plate")
    assert "instead of" in words
    assert "times as stiff by its thickness" in " ".join(words.split())
    result = CliRunner().invoke(layfigure, ["shop", str(costume), "--instead", f"{statement}=heavy_plat"])
    assert result.exit_code != 0
    assert "heavy_plate" in str(result.exception)


def test_check_reads_money_colours_and_swatches(costume: Path) -> None:
    """Nothing in them may be found out only when it is wanted."""
    text = (costume / "materials.toml").read_text(encoding="utf-8")
    weighed = text.replace(
        'finish = "lacquer"', 'finish = "lacquer"\nareal_mass = "10 cm x 10 cm weighs 4 g"', 1
    )
    (costume / "materials.toml").write_text(weighed, encoding="utf-8")
    said = CliRunner().invoke(layfigure, ["check", str(costume)])
    assert said.exit_code == 0, said.output
    # Half a gram of four is an eighth; a square of 20 cm is sixteen grams, of which it is a thirtieth.
    assert "to 12% only" in said.output
    assert "square of 20 cm" in said.output
    zones = weighed.replace("10 cm x 10 cm weighs 4 g", "400 g/m2").replace(
        'price = "6 per sheet"', 'price = "6 per sheet"\npoorest_zone = { saddle = 2 }'
    )
    (costume / "materials.toml").write_text(zones, encoding="utf-8")
    said = CliRunner().invoke(layfigure, ["check", str(costume)])
    assert "saddle, which is no piece of this costume" in said.output
    assert "whole grams" not in said.output
    (costume / "money.toml").write_text("format = 1\nrate = -1\n", encoding="utf-8")
    assert "money.toml" in refused(costume)
    (costume / "money.toml").write_text("format = 1\n", encoding="utf-8")
    (costume / "colours.toml").write_text("format = 1\ncolors = 3\n", encoding="utf-8")
    assert "colours.toml" in refused(costume)
