"""What commands print: tables for people, JSON for programs, progress on standard error."""

from __future__ import annotations

import json
import math
import sys
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from shutil import get_terminal_size
from typing import Any

import click

from layfigure.recompute.job import Job, QuietJob


def print_json(value: Any) -> None:
    """Print one JSON document, keys in the order given, numbers rounded to a millionth or null."""
    click.echo(json.dumps(_rounded(value), ensure_ascii=False, indent=2, allow_nan=False))


def _rounded(value: Any) -> Any:
    if isinstance(value, float):
        return round(value, 6) if math.isfinite(value) else None
    if isinstance(value, dict):
        return {str(key): _rounded(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [_rounded(item) for item in value]
    return value


def counted(number: int, what: str) -> str:
    """``1 sheet``, ``3 sheets``: a number with its word, which takes an s in the plural."""
    return f"{number} {what}" if number == 1 else f"{number} {what}s"


def print_remark(text: str) -> None:
    """Print one point of a list, folded at the edge of a terminal and left whole in a script."""
    if not sys.stdout.isatty():
        click.echo(f"- {text}")
        return
    click.echo(click.wrap_text(text, get_terminal_size().columns, "- ", "  "))


def print_table(head: Sequence[str], rows: Iterable[Sequence[str]]) -> None:
    """Print a table as wide as the terminal allows."""
    from rich.console import Console
    from rich.table import Table

    table = Table(*head, box=None, header_style="bold", pad_edge=False)
    for row in rows:
        table.add_row(*row)
    Console().print(table)


class _TerminalJob:
    """Progress on one line of standard error."""

    def __init__(self, bar: Any, task: Any) -> None:
        self._bar = bar
        self._task = task

    def progress(self, share: float, what: str) -> None:
        self._bar.update(self._task, completed=share, description=what)

    def cancelled(self) -> bool:
        # In a terminal the maker presses Ctrl-C, which arrives as an exception.
        return False


@contextmanager
def progress_shown() -> Iterator[Job]:
    """A job that shows progress when somebody watches, and is quiet in a script."""
    if not sys.stderr.isatty():
        yield QuietJob()
        return
    from rich.console import Console
    from rich.progress import BarColumn, Progress, TextColumn

    columns = (TextColumn("{task.description:<28}"), BarColumn(), TextColumn("{task.percentage:>3.0f} %"))
    with Progress(*columns, console=Console(stderr=True), transient=True) as bar:
        yield _TerminalJob(bar, bar.add_task("", total=1.0))
