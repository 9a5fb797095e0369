"""A file to double-click that opens one costume's workroom, as each system has it.

Linux: a desktop entry (freedesktop.org, Desktop Entry Specification 1.5) in the user's applications. macOS: a
``.command`` file on the desktop, which its terminal runs. Windows: a ``.cmd`` file on the desktop. Each keeps
a window open, which stops the workroom when it is closed.
"""

from __future__ import annotations

import shlex
import stat
import sys
from pathlib import Path

from layfigure.errors import OutputError
from layfigure.files.write import write_text

PROGRAM = "layfigure.cli.main"
RESERVED = set(" \t\n\"'\\><~|&;$*?#()`")
"""Characters for which an argument of a desktop entry's Exec key must be quoted (the specification)."""


def make_launcher(costume: Path, name: str, *, home: Path, platform: str = sys.platform) -> Path:
    """Write the file and return its path. name : of the costume. Raises OutputError where it cannot be."""
    costume = costume.resolve()
    if platform == "win32":
        place, text = home / "Desktop", _windows(costume)
        path = place / f"{_plain(name)}.cmd"
    elif platform == "darwin":
        place, text = home / "Desktop", _shell(costume)
        path = place / f"{_plain(name)}.command"
    else:
        place, text = home / ".local" / "share" / "applications", _desktop_entry(costume, name)
        path = place / f"layfigure-{_plain(name)}.desktop"
    try:
        place.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise OutputError("the folder cannot be made.", where=str(place)) from error
    write_text(path, text)
    path.chmod(path.stat().st_mode | stat.S_IXUSR)
    return path


def _desktop_entry(costume: Path, name: str) -> str:
    icon = Path(__file__).parent / "static" / "mark.svg"
    command = [sys.executable, "-m", PROGRAM, "workroom", str(costume)]
    title = name.replace("\\", "\\\\").replace("\n", " ")
    return (
        "[Desktop Entry]\n"
        "Version=1.5\n"
        "Type=Application\n"
        f"Name={title}\n"
        "Comment=Open this costume's workroom in the browser\n"
        f"Exec={' '.join(_exec_argument(part) for part in command)}\n"
        f"Icon={icon}\n"
        "Terminal=true\n"
        "Categories=Graphics;\n"
    )


def _exec_argument(argument: str) -> str:
    """Quoted as the specification asks: reserved characters within double quotes, four of them escaped."""
    argument = argument.replace("%", "%%")
    if not RESERVED & set(argument):
        return argument
    for char in ("\\", '"', "`", "$"):
        argument = argument.replace(char, f"\\{char}")
    # The general escape rule for strings comes after the one for quoting.
    return '"' + argument.replace("\\", "\\\\") + '"'


def _shell(costume: Path) -> str:
    command = shlex.join([sys.executable, "-m", PROGRAM, "workroom", str(costume)])
    return f"#!/bin/sh\nexec {command}\n"


def _windows(costume: Path) -> str:
    parts = [f'"{part}"' for part in (sys.executable, str(costume).replace("%", "%%"))]
    return f"@echo off\r\n{parts[0]} -m {PROGRAM} workroom {parts[1]}\r\nif errorlevel 1 pause\r\n"


def _plain(name: str) -> str:
    """A name that is a file's on every system."""
    words = "".join(char if char.isalnum() else " " for char in name).split()
    return "-".join(words).lower()[:60] or "costume"
