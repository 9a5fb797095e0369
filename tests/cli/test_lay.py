"""``layfigure lay`` on the costume that ``new`` makes: amounts, files, layouts used again, plain refusals."""

import json
import re
import signal
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result
from pikepdf import Pdf

from layfigure.cli.lay import stopped_by_interrupt
from layfigure.cli.main import layfigure
from layfigure.files.write import MANIFEST
from layfigure.recompute.job import QuietJob

DOCS = Path(__file__).parents[2] / "docs/lay.md"


@pytest.fixture(scope="module")
def costume(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("laid") / "costume"
    assert CliRunner().invoke(layfigure, ["new", str(folder)]).exit_code == 0
    return folder


@pytest.fixture(autouse=True)
def own_cache(costume: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("LAYFIGURE_CACHE", str(costume.parent / "cache"))


def lay(costume: Path, *more: str) -> Result:
    return CliRunner().invoke(layfigure, ["lay", str(costume), "--seconds", "0", *more])


def materials(costume: Path, text: str) -> None:
    (costume / "materials.toml").write_text(f"format = 1\n\n{text}", encoding="utf-8")


def answer(costume: Path, *more: str) -> Any:
    result = lay(costume, "--json", *more)
    assert result.exit_code == 0, result.output
    return json.loads(result.output)


def test_leather_without_a_tracing_is_estimated_in_the_documented_words(costume: Path) -> None:
    data = answer(costume)
    (text,) = re.findall(r"```json answer-lay\n(.*?)```", DOCS.read_text(encoding="utf-8"), re.DOTALL)
    promised = json.loads(text)
    (slug,) = promised["cloths"]
    assert data["cloths"].keys() == promised["cloths"].keys()
    assert data["cloths"][slug].keys() == promised["cloths"][slug].keys()
    assert data["cloths"][slug]["remark"] == promised["cloths"][slug]["remark"]


def test_a_roll_is_laid_drawn_kept_and_used_again(costume: Path) -> None:
    leather = (
        '[materials.vegetable_tanned_leather_2mm]\nkind = "woven"\nwidth = "60 cm"\nareal_mass = "300 g/m2"'
    )
    materials(costume, f'{leather}\nsold_as = "roll"\nselvedge = "1 cm"\nshrinkage_along = "10 %"\n')
    result = lay(costume)
    assert result.exit_code == 0, result.output
    assert re.search(r"buy \d0 cm of 60 cm", result.output), result.output
    place = costume / "out/layouts"
    assert (costume / "out" / MANIFEST).is_file()
    assert (place / "layouts.pdf").read_bytes().startswith(b"%PDF")
    svg = (place / "vegetable_tanned_leather_2mm-1.svg").read_text(encoding="utf-8")
    assert "Cut in this order" in svg
    kept = (place / "vegetable_tanned_leather_2mm.json").read_text(encoding="utf-8")
    again = answer(costume)
    assert again["cloths"]["vegetable_tanned_leather_2mm"]["reused"]
    assert (place / "vegetable_tanned_leather_2mm.json").read_text(encoding="utf-8") == kept
    compared = lay(costume, "--compare")
    assert compared.exit_code == 0, compared.output
    assert "150 cm" in compared.output


def test_a_roll_too_narrow_is_refused_and_the_last_layout_stays(costume: Path) -> None:
    kept = (costume / "out/layouts/vegetable_tanned_leather_2mm.json").read_bytes()
    narrow = lay(costume, "--width", "3 cm")
    assert narrow.exit_code == 1
    assert "wider than the cloth" in narrow.output
    assert (costume / "out/layouts/vegetable_tanned_leather_2mm.json").read_bytes() == kept


def test_a_cloth_nobody_cuts_is_named(costume: Path) -> None:
    result = lay(costume, "--cloth", "velvet")
    assert "no piece is cut from 'velvet'" in str(result.exception)


def test_a_spoiled_layout_is_laid_anew(costume: Path) -> None:
    path = costume / "out/layouts/vegetable_tanned_leather_2mm.json"
    path.write_text("{", encoding="utf-8")
    assert not answer(costume)["cloths"]["vegetable_tanned_leather_2mm"]["reused"]
    assert json.loads(path.read_text(encoding="utf-8"))["format"] == 1


def test_ctrl_c_ends_the_search_and_a_second_one_the_command() -> None:
    with stopped_by_interrupt(QuietJob()) as job:
        assert not job.cancelled()
        signal.raise_signal(signal.SIGINT)
        assert job.cancelled()
        with pytest.raises(KeyboardInterrupt):
            signal.raise_signal(signal.SIGINT)


def test_one_cloth_laid_again_leaves_the_others_pages_in_the_file(tmp_path: Path) -> None:
    folder = tmp_path / "costume"
    assert CliRunner().invoke(layfigure, ["new", str(folder)]).exit_code == 0
    statement = folder / "costume.toml"
    skirt = (
        '\n[[pieces]]\nslug = "{cloth}_skirt"\nkind = "circular"\ncloth = "{cloth}"\n'
        'options = {{ top_girth = "70 cm", length = "30 cm", circle = "half" }}\n'
    )
    both = "".join(skirt.format(cloth=cloth) for cloth in ("cotton_calico", "wool_flannel"))
    statement.write_text(statement.read_text(encoding="utf-8") + both, encoding="utf-8")
    assert lay(folder).exit_code == 0
    paper = folder / "out/layouts/layouts.pdf"
    with Pdf.open(paper) as pdf:
        pages = len(pdf.pages)
    assert pages >= 2
    assert lay(folder, "--cloth", "cotton_calico").exit_code == 0
    with Pdf.open(paper) as pdf:
        assert len(pdf.pages) == pages
