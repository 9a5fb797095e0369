"""Options that several commands share."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any, TypeVar

import click

F = TypeVar("F", bound=Callable[..., Any])

FOLDER = click.Path(exists=True, file_okay=False, path_type=Path)


def costume_folder(function: F) -> F:
    """The costume's folder, as the first argument ``folder``."""
    return click.argument("folder", metavar="DIR", type=FOLDER)(function)


def wearer_name(function: F) -> F:
    """``--wearer NAME``; with one wearer's file there is nothing to say."""
    return click.option("--wearer", metavar="NAME", help="Whose body, if there are several.")(function)


def as_json(function: F) -> F:
    """``--json`` for programs."""
    return click.option("--json", "as_json", is_flag=True, help="Print JSON for a program to read.")(function)
