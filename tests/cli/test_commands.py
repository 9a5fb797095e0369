"""The command line as a maker meets it: from nothing to a printed piece, and every slip explained."""

import json
import os
import re
import shutil
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest
from click.testing import CliRunner

from layfigure.cli.main import COMMANDS, layfigure
from layfigure.errors import LayfigureError


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    place = tmp_path_factory.mktemp("costumes") / "mine"
    assert run("new", str(place)).exit_code == 0
    return place


@pytest.fixture(autouse=True)
def own_cache(tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("LAYFIGURE_CACHE", str(tmp_path_factory.getbasetemp() / "cache"))


def run(*arguments: str):  # type: ignore[no-untyped-def]
    return CliRunner().invoke(layfigure, arguments)


def test_help_names_every_command_and_loads_no_solver() -> None:
    program = (
        "import sys, layfigure.cli.main as m\n"
        "try:\n m.layfigure.main(['--help'], standalone_mode=True)\n"
        "except SystemExit: pass\n"
        "heavy = {'numpy', 'scipy', 'shapely', 'pydantic', 'rich', 'reportlab'} & set(sys.modules)\n"
        "print('loaded:', sorted(heavy))\n"
    )
    shown = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True).stdout
    assert "loaded: []" in shown
    for name, (_, summary) in COMMANDS.items():
        assert name in shown
        assert summary[:20] in shown


@pytest.mark.parametrize("name", COMMANDS)
def test_every_command_explains_itself(name: str) -> None:
    result = run(name, "--help")
    assert result.exit_code == 0, result.output
    assert "Usage" in result.output


def test_the_starting_folder_makes_a_first_piece_as_it_stands(folder: Path) -> None:
    assert run("check", str(folder)).exit_code == 0
    result = run("make", str(folder), "--paper", "a4")
    assert result.exit_code == 0, result.output
    assert "sheets of a4" in result.output
    out = folder / "out"
    names = {path.name for path in out.iterdir()}
    assert names >= {
        "pattern-a4.pdf",
        "pieces.svg",
        "pieces.dxf",
        "pieces.json",
        "placement-card.pdf",
        "placement.json",
        "body.glb",
        "draft.json",
        "report.html",
    }
    assert (out / "pattern-a4.pdf").read_bytes().startswith(b"%PDF-")


@pytest.mark.parametrize("name", ["check", "body", "place", "draft"])
def test_json_is_for_programs(folder: Path, name: str) -> None:
    result = run(name, str(folder), "--json")
    assert result.exit_code == 0, result.output
    data = json.loads(result.output)
    expected = {"check": "remarks", "body": "measures", "place": "edges", "draft": "statements"}
    assert expected[name] in data


def test_placed_girths_lie_between_the_tapes_that_bound_them(folder: Path) -> None:
    # The folder's own wearer: wrist 165 mm, fullest forearm 265 mm; both edges lie between the two.
    data = json.loads(run("place", str(folder), "--json").output)
    for slug in ("guard_top_left", "guard_foot_left", "guard_top", "guard_foot"):
        if slug in data["edges"]:
            girth = next(c for c in data["edges"][slug]["checks"] if c["what"].startswith("round"))
            assert 160.0 < girth["length"] < 272.0


def test_a_failed_run_leaves_the_last_good_results(folder: Path) -> None:
    out = folder / "out"
    if not out.exists():
        assert run("make", str(folder), "--paper", "a4").exit_code == 0
    before = {path.name: path.read_bytes() for path in out.iterdir() if path.is_file()}
    text = (folder / "costume.toml").read_text(encoding="utf-8")
    try:
        broken = text.replace("70 % from wrist to elbow", "70 % from wrist to waist")
        (folder / "costume.toml").write_text(broken, encoding="utf-8")
        result = run("make", str(folder))
        assert isinstance(result.exception, LayfigureError)
    finally:
        (folder / "costume.toml").write_text(text, encoding="utf-8")
    assert {path.name: path.read_bytes() for path in out.iterdir() if path.is_file()} == before


def test_new_overwrites_nothing(folder: Path) -> None:
    result = run("new", str(folder))
    assert isinstance(result.exception, LayfigureError)
    assert "not empty" in str(result.exception)


def test_an_error_reaches_the_maker_without_a_traceback(tmp_path: Path) -> None:
    shown = subprocess.run(
        [sys.executable, "-m", "layfigure.cli.main", "check", str(tmp_path)],
        capture_output=True,
        text=True,
        env={**os.environ, "PYTHONWARNINGS": "ignore"},
    )
    assert shown.returncode == 1
    assert "there is no costume.toml" in shown.stderr
    assert "layfigure new" in shown.stderr
    assert "Traceback" not in shown.stderr


def test_a_wearer_who_is_not_there_is_named_beside_those_who_are(folder: Path) -> None:
    result = run("body", str(folder), "--wearer", "mee")
    assert isinstance(result.exception, LayfigureError)
    assert "me" in result.exception.advice


def test_no_measure_appears_in_a_message(folder: Path, tmp_path: Path) -> None:
    place = tmp_path / "bad"
    run("new", str(place))
    wearer = place / "wearers" / "me.toml"
    text = wearer.read_text(encoding="utf-8").replace('"84 cm"', '"784.25 cm"')
    wearer.write_text(text, encoding="utf-8")
    result = run("check", str(place))
    assert isinstance(result.exception, LayfigureError)
    assert "784" not in str(result.exception)
    assert "waist_girth" in str(result.exception)


@pytest.mark.parametrize("name", ["costume", "marks", "wearer", "materials", "kind-wrap"])
def test_schemas_are_json_schemas(name: str) -> None:
    result = run("schema", name)
    assert result.exit_code == 0, result.output
    schema = json.loads(result.output)
    assert schema["type"] == "object"
    assert schema["properties"]


@pytest.mark.parametrize("size", ["163", "163 parsecs", "16.3 cm 16.3 cm", "=163cm"])
def test_a_tape_that_cannot_be_read_is_named_and_its_size_kept_private(size: str) -> None:
    result = run("piece", "forearm_guard", "--tape", f"wrist_girth={size}")
    assert result.exit_code == 1
    assert "wrist_girth" in str(result.exception)
    assert "163" not in str(result.exception)
    assert "16.3" not in str(result.exception)


def test_a_tape_without_a_name_is_not_repeated() -> None:
    result = run("piece", "forearm_guard", "--tape", "=163 cm")
    assert result.exit_code != 0
    assert "163" not in result.output


def test_a_tape_given_twice_is_refused_and_not_the_last_one_taken() -> None:
    result = run("piece", "forearm_guard", "--tape", "wrist_girth=16 cm", "--tape", "wrist_girth=17 cm")
    assert result.exit_code != 0
    assert "wrist_girth is given twice" in result.output


def test_the_guessed_measures_are_listed_when_asked_for(tmp_path: Path) -> None:
    place = tmp_path / "costume"
    assert run("new", str(place)).exit_code == 0
    short, whole = run("body", str(place)), run("body", str(place), "--all")
    assert short.exit_code == whole.exit_code == 0
    assert "--all lists them" in short.output
    assert "calf girth" in whole.output
    assert len(whole.output.splitlines()) > len(short.output.splitlines()) + 20


def test_a_design_is_packed_without_its_wearers(tmp_path: Path) -> None:
    place = tmp_path / "costume"
    assert run("new", str(place)).exit_code == 0
    result = run("share", str(place))
    assert result.exit_code == 0, result.output
    with zipfile.ZipFile(tmp_path / "costume.zip") as packed:
        assert "costume.toml" in packed.namelist()
        assert not any("wearers" in name for name in packed.namelist())
    asked = run("share", str(place), "--wearers", "--out", str(tmp_path / "with.zip"))
    assert asked.exit_code == 0
    with zipfile.ZipFile(tmp_path / "with.zip") as packed:
        assert any("wearers" in name for name in packed.namelist())


def test_a_piece_that_cannot_be_drafted_shows_in_the_exit_status(folder: Path, tmp_path: Path) -> None:
    place = tmp_path / "costume"
    shutil.copytree(folder, place, ignore=shutil.ignore_patterns("out"))
    costume = (place / "costume.toml").read_text(encoding="utf-8")
    bad = '\n[edges.low]\nwords = "at the waist"\n[[pieces]]\nslug = "cuff"\nkind = "wrap"\n'
    bad += 'cloth = "craft_foam"\n'
    bad += 'edges = { top = "low", bottom = "low" }\n'
    cloth = re.search(r'cloth = "(\w+)"', costume)
    assert cloth
    (place / "costume.toml").write_text(costume + bad.replace("craft_foam", cloth[1]), encoding="utf-8")
    shown = subprocess.run(
        [sys.executable, "-m", "layfigure.cli.main", "make", str(place), "--paper", "a4"],
        capture_output=True,
        text=True,
    )
    assert shown.returncode == 1, shown.stdout + shown.stderr
    assert "Not drafted: cuff" in shown.stderr
    assert (place / "out/report.html").is_file()
