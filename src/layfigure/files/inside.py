"""Paths a maker's file may name: inside the costume's own folder and nowhere else."""

from __future__ import annotations

from pathlib import PurePosixPath, PureWindowsPath

from layfigure.errors import FileError


def refuse_outside(name: str, *, where: str) -> None:
    """Raise FileError for a path that is absolute or climbs out of the folder.

    A costume may come from a stranger, and must not be able to read or show what lies beside it.
    """
    for path in (PurePosixPath(name), PureWindowsPath(name)):
        if path.is_absolute() or path.drive or ".." in path.parts:
            raise FileError(
                "a file of the costume lies outside its folder.",
                where=where,
                advice="Put it into the folder, and write its path from there, like references/front.png.",
            )
