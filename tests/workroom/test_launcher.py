"""A file to double-click."""

from __future__ import annotations

import configparser
import subprocess
import sys
from pathlib import Path

import pytest

from layfigure.workroom.launcher import make_launcher

FOLDERS = ["plain", "with space", 'with "quote" and $sign', "back\\slash", "100 % wool", "tick `x`"]


def parsed_exec(value: str) -> list[str]:
    """A desktop entry's Exec as the specification says it is read: string escapes first, then quotes."""
    text = value.replace("\\\\", "\0").replace("\\s", " ").replace("\0", "\\")
    # Its quotes are those of a shell, which here only prints what it understood.
    shown = subprocess.run(["sh", "-c", f"printf '%s\\n' {text}"], capture_output=True, text=True)
    return [part.replace("%%", "%") for part in shown.stdout.splitlines()]


@pytest.mark.parametrize("folder", FOLDERS)
def test_a_desktop_entry_starts_this_costume(tmp_path: Path, folder: str) -> None:
    costume = tmp_path / folder
    path = make_launcher(costume, "Brindle, of The Painted Round", home=tmp_path, platform="linux")
    assert path == tmp_path / ".local/share/applications/layfigure-brindle-of-the-painted-round.desktop"
    entry = configparser.RawConfigParser(delimiters="=", comment_prefixes="#", strict=True)
    entry.optionxform = str  # type: ignore[assignment,method-assign]
    entry.read(path, encoding="utf-8")
    found = entry["Desktop Entry"]
    assert found["Name"] == "Brindle, of The Painted Round"
    assert parsed_exec(found["Exec"]) == [
        sys.executable,
        "-m",
        "layfigure.cli.main",
        "workroom",
        str(costume),
    ]
    assert Path(found["Icon"]).is_file()


def test_a_command_file_is_a_script_that_can_run(tmp_path: Path) -> None:
    path = make_launcher(tmp_path / "it's here", "Mine", home=tmp_path, platform="darwin")
    text = path.read_text(encoding="utf-8")
    assert path.stat().st_mode & 0o100
    shown = subprocess.run(
        ["sh", "-c", text.split("\n")[1].replace("exec ", "printf '%s\\n' ", 1)],
        capture_output=True,
        text=True,
    ).stdout.splitlines()
    assert shown[-1] == str(tmp_path / "it's here")


def test_windows_gets_a_file_for_its_own_shell(tmp_path: Path) -> None:
    path = make_launcher(tmp_path / "mine", "///", home=tmp_path, platform="win32")
    assert path.name == "costume.cmd"
    assert f'"{tmp_path / "mine"}"' in path.read_bytes().decode()
