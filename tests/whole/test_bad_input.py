"""Whatever is wrong with the maker's files or her disk: told in words with what to do, and nothing is lost.

Every case runs ``layfigure make`` on a folder that already holds good results, and finds them unchanged to
the byte. The wearer's sizes are odd numbers, so that one in a message would be recognised.
"""

import errno
import json
import os
import re
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result
from PIL import Image
from tests.whole.made_costumes import EXAMPLE

from layfigure.cli.main import layfigure
from layfigure.errors import (
    DraftError,
    FileError,
    FileSyntaxError,
    FileVersionError,
    LayfigureError,
    MarkError,
    MeasureContradiction,
    MeasureError,
    MeasureMissing,
    OutputError,
    PlacementError,
    StudyError,
    UnknownKeyError,
)

WEARER = """\
format = 1
name = "Me"
posture = "standing"
unit = "cm"

[measures]
stature = "168.73 cm"
bust_girth = "97.31 cm"
waist_girth = "84.57 cm"
hip_girth = "102.91 cm"
wrist_girth = "16.59 cm"
forearm_girth = "26.53 cm"
"""


def run(folder: Path, command: str, *arguments: str) -> Result:
    return CliRunner().invoke(layfigure, [command, str(folder), *arguments])


def contents(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in folder.iterdir()}


@pytest.fixture(scope="module")
def finished(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A small costume said in words, with its results in ``out``."""
    folder = tmp_path_factory.mktemp("finished") / "costume"
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("LAYFIGURE_CACHE", str(folder.parent / "cache"))
        assert CliRunner().invoke(layfigure, ["new", str(folder)]).exit_code == 0
        (folder / "wearers" / "me.toml").write_text(WEARER, encoding="utf-8")
        result = run(folder, "make", "--paper", "a4")
        assert result.exit_code == 0, result.output
    return folder


@pytest.fixture
def costume(finished: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The finished costume, to be spoilt."""
    monkeypatch.setenv("LAYFIGURE_CACHE", str(finished.parent / "cache"))
    return Path(shutil.copytree(finished, tmp_path / "costume"))


@pytest.fixture
def marked(costume: Path) -> Path:
    """The demonstration's pictures and marks with results that are there already."""
    for name in ("costume.toml", "marks.json", "materials.toml"):
        shutil.copy(EXAMPLE / name, costume / name)
    shutil.copytree(EXAMPLE / "references", costume / "references", dirs_exist_ok=True)
    return costume


def spoil(file: Path, old: str, new: str) -> None:
    text = file.read_text(encoding="utf-8")
    assert text.count(old) == 1, f"{old!r} is to be found once"
    file.write_text(text.replace(old, new), encoding="utf-8")


def spoil_marks(folder: Path, change: Callable[[dict[str, Any]], None]) -> None:
    marks = json.loads((folder / "marks.json").read_text(encoding="utf-8"))
    change(marks)
    (folder / "marks.json").write_text(json.dumps(marks), encoding="utf-8")


def refused(folder: Path, kind: type[LayfigureError], *words: str, arguments: tuple[str, ...] = ()) -> str:
    """The message of ``make``, which must be an error of that kind, hold the words and touch nothing."""
    before = contents(folder / "out")
    typed = sizes_in(folder)
    result = run(folder, "make", *arguments)
    error = result.exception
    assert isinstance(error, kind), f"{error!r}: {result.output}"
    message = str(error)
    for word in words:
        assert word in message
    assert error.advice or " Write " in message, f"no advice: {message}"
    said = (message + result.output).replace(str(folder), "")
    assert [size for size in typed if size in said] == []
    assert contents(folder / "out") == before
    assert not list(folder.glob(".out.*")), "something was left lying about"
    return message


def sizes_in(folder: Path) -> set[str]:
    """Numbers of the wearer's sizes as typed, and without their last digit, and in millimetres."""
    sizes: set[str] = set()
    for path in (folder / "wearers").glob("*.toml"):
        for number in re.findall(r"(\d+\.\d+)", path.read_text(encoding="utf-8", errors="replace")):
            sizes |= {number, number[:-1], str(round(10.0 * float(number), 1))}
    return sizes


# Slips in the text files: file, what is there, what stands there instead, the error, words of its message.

SLIPS: dict[str, tuple[str, str, str, type[LayfigureError], tuple[str, ...]]] = {
    "bare number": (
        "wearers/me.toml",
        'stature = "168.73 cm"',
        "stature = 168.73",
        MeasureError,
        ("me.toml, line 7", "stature", "no unit", "'41.3 cm'"),
    ),
    "number in quotes without its unit": (
        "wearers/me.toml",
        '"84.57 cm"',
        '"84.57"',
        MeasureError,
        ("me.toml, line 9", "waist_girth", "'41.3 cm'"),
    ),
    "unit of another kind": (
        "wearers/me.toml",
        '"102.91 cm"',
        '"102.91 kg"',
        MeasureError,
        ("me.toml, line 10", "hip_girth", "'41.3 cm'"),
    ),
    "inches for centimetres": (
        "wearers/me.toml",
        '"168.73 cm"',
        '"168.73 in"',
        MeasureError,
        ("me.toml, line 7", "stature", "not the size of a person", "inches for centimetres"),
    ),
    "a digit too many": (
        "wearers/me.toml",
        '"102.91 cm"',
        '"1029.1 cm"',
        MeasureError,
        ("me.toml, line 10", "hip_girth", "not the size of a person", "a decimal mark"),
    ),
    "less than nothing": (
        "wearers/me.toml",
        '"16.59 cm"',
        '"-16.59 cm"',
        MeasureError,
        ("me.toml, line 11", "wrist_girth"),
    ),
    "measure nobody knows": (
        "wearers/me.toml",
        "hip_girth",
        "hip_grith",
        MeasureError,
        ("me.toml, line 10", "'hip_grith'", "Did you mean 'hip_girth'?"),
    ),
    "contradictory measures": (
        "wearers/me.toml",
        'wrist_girth = "16.59 cm"',
        'wrist_girth = "28.59 cm"',
        MeasureContradiction,
        ("me.toml", "forearm_girth", "wrist_girth", "cannot both be right", "Take both again"),
    ),
    "unknown key of the wearer": (
        "wearers/me.toml",
        "posture",
        "postur",
        UnknownKeyError,
        ("me.toml, line 3", "'postur'", "Did you mean 'posture'?"),
    ),
    "newer wearer": (
        "wearers/me.toml",
        "format = 1",
        "format = 99",
        FileVersionError,
        ("me.toml, line 1", "99", "Update layfigure"),
    ),
    "unknown key of a piece": (
        "costume.toml",
        'label = "Forearm guard"',
        'lable = "Forearm guard"',
        UnknownKeyError,
        ("costume.toml, line 24", "'lable'", "Did you mean 'label'?"),
    ),
    "newer costume": (
        "costume.toml",
        "format = 1",
        "format = 2",
        FileVersionError,
        ("costume.toml, line 1", "format 2", "Update layfigure"),
    ),
    "no format": (
        "costume.toml",
        "format = 1\n",
        "",
        FileError,
        ("costume.toml", "does not state its format", "format = 1"),
    ),
    "a line that cannot be read": (
        "costume.toml",
        "edition = 1",
        "edition = ",
        FileSyntaxError,
        ("costume.toml, line 3", "cannot be read", "quotes"),
    ),
    "edge nobody stated": (
        "costume.toml",
        'bottom = "guard_foot"',
        'bottom = "guard_fot"',
        FileError,
        ("costume.toml, line 25", "guard_fot", "Did you mean 'guard_foot'?"),
    ),
    "edge neither said nor marked": (
        "costume.toml",
        'words = "8 % from wrist to elbow"\n',
        "",
        FileError,
        ("no marks.json", "words ="),
    ),
    "words that mean nothing": (
        "costume.toml",
        "8 % from wrist to elbow",
        "8 % from wrist to waist",
        PlacementError,
        ("costume.toml, line 13", "wrist and waist do not lie on one limb", "Name two levels"),
    ),
    "level nobody knows": (
        "costume.toml",
        "8 % from wrist to elbow",
        "8 % from wirst to elbow",
        PlacementError,
        ("costume.toml, line 13", "Did you mean 'wrist'?"),
    ),
    "cloth nobody knows": (
        "costume.toml",
        "vegetable_tanned_leather_2mm",
        "vegetable_taned_leather_2mm",
        LayfigureError,
        ("costume.toml", "vegetable_taned_leather_2mm", "Did you mean 'vegetable_tanned_leather_2mm'?"),
    ),
    "piece kind nobody knows": (
        "costume.toml",
        'kind = "wrap"',
        'kind = "wrapp"',
        DraftError,
        ("costume.toml, line 19", "'wrapp'", "Known kinds: base, belt"),
    ),
    "option nobody knows": (
        "costume.toml",
        'label = "Forearm guard"',
        'options = { bandz = "2" }',
        DraftError,
        ("costume.toml, line 19", "'bandz'", "Did you mean 'bands'?"),
    ),
    "option without its unit": (
        "costume.toml",
        'label = "Forearm guard"',
        "options = { overlap = 30 }",
        DraftError,
        ("costume.toml, line 19", "'overlap'", "no unit", "Write '30 cm'"),
    ),
    "edge that is missing": (
        "costume.toml",
        ', bottom = "guard_foot"',
        "",
        DraftError,
        ("costume.toml, line 19", "needs the edge 'bottom'", "Write edges"),
    ),
    "edge too many": (
        "costume.toml",
        'bottom = "guard_foot"',
        'bottom = "guard_foot", botom = "guard_top"',
        DraftError,
        ("costume.toml, line 19", "no edge 'botom'", "Did you mean 'bottom'?"),
    ),
}


@pytest.mark.parametrize("slip", SLIPS)
def test_a_slip_is_named_with_file_line_and_what_to_write(costume: Path, slip: str) -> None:
    file, old, new, kind, words = SLIPS[slip]
    spoil(costume / file, old, new)
    refused(costume, kind, *words)


def test_the_terminal_shows_one_line_without_a_traceback_or_a_size(costume: Path) -> None:
    spoil(costume / "wearers/me.toml", '"102.91 cm"', '"1029.1 cm"')
    before = contents(costume / "out")
    done = subprocess.run(
        [sys.executable, "-m", "layfigure.cli.main", "make", str(costume)], capture_output=True, text=True
    )
    assert done.returncode == 1
    assert done.stdout == ""
    assert done.stderr.startswith("layfigure: me.toml, line 10: hip_girth ")
    assert done.stderr.count("\n") == 1
    assert not [size for size in sizes_in(costume) if size in done.stderr.replace(str(costume), "")]
    assert contents(costume / "out") == before


# Files that are empty, missing or no text.


@pytest.mark.parametrize("name", ["costume.toml", "wearers/me.toml"])
@pytest.mark.parametrize("spoilt", [b"", b"\xff\xfe\x00\x01 nothing", b"[[[[", b"\x00" * 40])
def test_a_file_that_holds_nothing_readable_is_named(costume: Path, name: str, spoilt: bytes) -> None:
    (costume / name).write_bytes(spoilt)
    refused_named(costume, Path(name).name)


def refused_named(folder: Path, *words: str) -> None:
    before = contents(folder / "out")
    result = run(folder, "make")
    assert isinstance(result.exception, FileError), repr(result.exception)
    for word in words:
        assert word in str(result.exception)
    assert contents(folder / "out") == before


def test_missing_wearers_are_asked_for(costume: Path) -> None:
    shutil.rmtree(costume / "wearers")
    refused(costume, FileError, str(costume / "wearers"), "no wearer", "Write wearers/NAME.toml")


def test_with_two_wearers_the_one_meant_must_be_said(costume: Path) -> None:
    shutil.copy(costume / "wearers/me.toml", costume / "wearers/you.toml")
    refused(
        costume, FileError, "there is no wearer 'yu'", "Did you mean 'you'?", arguments=("--wearer", "yu")
    )
    result = run(costume, "place")
    assert isinstance(result.exception, FileError)
    assert "--wearer me|you" in str(result.exception)


def test_a_wearer_nobody_measured_is_refused(costume: Path) -> None:
    text = WEARER[: WEARER.index("stature")]
    (costume / "wearers/me.toml").write_text(text, encoding="utf-8")
    refused(costume, MeasureMissing, "me.toml", "not one measure", "stature")


def test_stature_alone_is_enough_to_begin_and_says_what_to_take(costume: Path) -> None:
    text = WEARER[: WEARER.index("bust_girth")]
    (costume / "wearers/me.toml").write_text(text, encoding="utf-8")
    result = run(costume, "draft", "--json")
    assert result.exit_code == 0, result.output
    (piece,) = json.loads(result.output)["statements"]["forearm_guard"]["pieces"]
    assert piece["verdict"]["level"] != "good material"
    lifted = {reason["why"]: reason["lifted_by"] for reason in piece["verdict"]["reasons"]}
    assert "over the wrist bone" in lifted["wrist girth on the left is guessed"]
    assert "where it is fullest" in lifted["forearm girth on the left is guessed"]


# Pictures and the marks on them.


@pytest.mark.parametrize("spoilt", ["empty", "no picture", "cut short"])
def test_a_broken_picture_is_named(marked: Path, spoilt: str) -> None:
    picture = marked / "references/front.png"
    whole = picture.read_bytes()
    picture.write_bytes({"empty": b"", "no picture": b"<svg/>" * 50, "cut short": whole[:20]}[spoilt])
    refused(marked, FileError, "front.png", "cannot be opened", "save it again as PNG or JPEG")


def test_a_picture_of_another_size_is_not_the_one_that_was_marked(marked: Path) -> None:
    Image.new("RGB", (640, 480)).save(marked / "references/front.png")
    refused(marked, MarkError, "picture 'front'", "640 by 480", "Put the same picture back")


MARK_SLIPS: dict[str, tuple[Callable[[dict[str, Any]], None], type[LayfigureError], tuple[str, ...]]] = {
    "landmark outside the picture": (
        lambda m: m["pictures"][0]["landmarks"].update(crown=[5000, 40]),
        MarkError,
        ("picture 'front'", "landmark crown", "outside the picture", "Place it again"),
    ),
    "edge outside the picture": (
        lambda m: m["pictures"][0]["edges"]["belt"][0]["points"].append([-30, 400]),
        MarkError,
        ("picture 'front'", "edge belt", "outside the picture", "Place it again"),
    ),
    "landmark nobody knows": (
        lambda m: m["pictures"][0]["landmarks"].update(crwon=[400, 40]),
        MarkError,
        ("picture 'front'", "'crwon'", "Did you mean 'crown'?"),
    ),
    "edge the costume does not have": (
        lambda m: m["pictures"][0]["edges"].update(bellt=m["pictures"][0]["edges"]["belt"]),
        MarkError,
        ("picture 'front'", "'bellt'", "Did you mean 'belt'?"),
    ),
    "region nobody knows": (
        lambda m: m["pictures"][0]["edges"]["belt"][0].update(regions=["torsoo"]),
        MarkError,
        ("picture 'front'", "'torsoo'", "Did you mean 'torso'?"),
    ),
    "view nobody knows": (
        lambda m: m["pictures"][0].update(view="above"),
        FileError,
        ("picture 'front'", "view", "'front'", "'back'"),
    ),
    "unknown key": (
        lambda m: m["pictures"][0].update(landmark={}),
        UnknownKeyError,
        ("picture 'front'", "'landmark'", "Did you mean 'landmarks'?"),
    ),
    "newer format": (
        lambda m: m.update(format=7),
        FileVersionError,
        ("marks.json", "format 7", "Update layfigure"),
    ),
    "too few marks": (
        lambda m: [picture.update(landmarks={}, outlines=[]) for picture in m["pictures"]],
        StudyError,
        ("front", "too few marks", "Click at least the top of the head"),
    ),
    "an edge marked nowhere": (
        lambda m: [picture["edges"].pop("belt", None) for picture in m["pictures"]],
        PlacementError,
        ("costume.toml", "belt", "words"),
    ),
}


@pytest.mark.parametrize("slip", MARK_SLIPS)
def test_a_mark_that_cannot_be_right_is_named_with_its_picture(marked: Path, slip: str) -> None:
    change, kind, words = MARK_SLIPS[slip]
    spoil_marks(marked, change)
    before = contents(marked / "out")
    result = run(marked, "make")
    assert isinstance(result.exception, kind), f"{result.exception!r}: {result.output}"
    for word in words:
        assert word in str(result.exception)
    assert contents(marked / "out") == before


TOP_WITH_A_WINDOW = """\
format = 1
name = "One window"

[edges.window_3]

[[pieces]]
slug = "top"
kind = "knit"
cloth = "swim_knit"
windows = ["window_3"]
backing = "sheer_mesh"
options = { garment = "top", sleeves = false, closure = true }
"""


def test_a_window_wider_than_its_panel_is_refused_and_nothing_is_replaced(marked: Path) -> None:
    """Marked in the side picture, it spreads to both sides of the side seam."""
    (marked / "costume.toml").write_text(TOP_WITH_A_WINDOW, encoding="utf-8")

    def widen(marks: dict[str, Any]) -> None:
        for picture in marks["pictures"]:
            picture["edges"] = {}
            if picture["name"] == "left":
                (front, height), (back, _) = (
                    picture["landmarks"][f"waist_{end}"] for end in ("front", "back")
                )
                across = [front + share * (back - front) for share in (0.3, 0.7)]
                corners = [[across[i], height + down] for i, down in ((0, -5), (1, -5), (1, 20), (0, 20))]
                stretch = {"points": corners, "closed": True, "corners": [0, 1, 2, 3], "regions": ["torso"]}
                picture["edges"]["window_3"] = [stretch]

    spoil_marks(marked, widen)
    refused(marked, DraftError, "piece top", "wider than its panel", "make it smaller")


def test_marks_that_are_no_json_are_named_with_their_line(marked: Path) -> None:
    (marked / "marks.json").write_text('{\n "format": 1,\n "pictures": [,]\n}\n', encoding="utf-8")
    refused(marked, FileSyntaxError, "marks.json, line 3", "cannot be read", "commas")


# The disk.


def test_a_file_in_the_way_of_the_results_is_not_replaced(costume: Path) -> None:
    (costume / "elsewhere").write_text("the maker's own", encoding="utf-8")
    words = ("elsewhere", "there is a file where the results folder should be")
    before = contents(costume / "out")
    result = run(costume, "make", "--out", str(costume / "elsewhere"))
    assert isinstance(result.exception, OutputError)
    assert all(word in str(result.exception) for word in words)
    assert (costume / "elsewhere").read_text(encoding="utf-8") == "the maker's own"
    assert contents(costume / "out") == before


def test_a_folder_of_the_makers_own_is_not_replaced(costume: Path) -> None:
    own = costume / "elsewhere"
    own.mkdir()
    (own / "letter.txt").write_text("the maker's own", encoding="utf-8")
    refused(costume, OutputError, "elsewhere", "did not write", "--out", arguments=("--out", str(own)))
    assert contents(own) == {"letter.txt": b"the maker's own"}


def test_a_read_only_place_is_named(costume: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("layfigure.files.write.tempfile.mkdtemp", failing(errno.EROFS))
    refused(costume, OutputError, str(costume / "out"), "cannot be written", "Name another folder")


@pytest.mark.parametrize("file", ["placement-card.pdf", "pieces.dxf", "report.html", "layfigure-files.txt"])
def test_a_disk_that_fills_up_midway_leaves_the_last_good_results(
    costume: Path, monkeypatch: pytest.MonkeyPatch, file: str
) -> None:
    for method in ("write_text", "write_bytes"):
        plain = getattr(Path, method)

        def write(path: Path, *content: Any, plain: Any = plain, **how: Any) -> Any:
            if path.name == file:
                plain(path, content[0][:100], **how)
                raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
            return plain(path, *content, **how)

        monkeypatch.setattr(Path, method, write)
    refused(costume, OutputError, str(costume / "out"), "the disk is full", "Free some space")


def failing(code: int) -> Callable[..., None]:
    def fail(*arguments: object, **names: object) -> None:
        raise OSError(code, os.strerror(code))

    return fail


# A run that is killed.

KILLED = """
import sys
from pathlib import Path
import layfigure.cli.make as make
make.command.main([sys.argv[1]], standalone_mode=False)
"""


@pytest.mark.skipif(os.name == "nt", reason="kills with a POSIX signal")
def test_a_run_killed_while_it_writes_leaves_one_whole_set(costume: Path) -> None:
    """Killed before the first file and among them: what is there is the old set or the new."""
    old = contents(costume / "out")
    spoil(costume / "costume.toml", 'name = "My costume"', 'name = "Another costume"')
    sets = []
    for files in (0, 6):
        process = subprocess.Popen([sys.executable, "-c", KILLED, str(costume)], stdout=subprocess.DEVNULL)
        _wait_until_written(costume, files, process)
        process.send_signal(signal.SIGKILL)
        assert process.wait() in (-signal.SIGKILL, 0)
        sets.append(whole_set(costume))
    result = run(costume, "make", "--paper", "a4", "--paper", "projector")
    assert result.exit_code == 0, result.output
    new = whole_set(costume)
    assert new != old
    assert all(found in (old, new) for found in sets)
    assert sets[0] == old, "the first was killed before it had written anything"


def _wait_until_written(costume: Path, files: int, process: "subprocess.Popen[bytes]") -> None:
    patience = time.monotonic() + 300.0
    while process.poll() is None and time.monotonic() < patience:
        staged = [len(list(path.iterdir())) for path in costume.glob(".out.new-*") if path.name not in _SEEN]
        if staged and max(staged) >= files:
            break
        time.sleep(0.002)
    _SEEN.update(path.name for path in costume.glob(".out.new-*"))


_SEEN: set[str] = set()
"""Folders that earlier killed runs left behind."""


def whole_set(costume: Path) -> dict[str, bytes]:
    """The results, held against their own list; or, between two renames, those under their other name."""
    out = costume / "out"
    found = contents(out if out.exists() else costume / ".out.previous")
    assert set(found) == set(found["layfigure-files.txt"].decode().split())
    return found
