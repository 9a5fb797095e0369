"""``layfigure colour``: which colours match, how sure that is, and under which lights."""

from __future__ import annotations

from pathlib import Path

import click

from layfigure.cli.options import as_json, costume_folder
from layfigure.cli.show import print_json, print_remark


@click.command("colour")
@costume_folder
@as_json
def command(folder: Path, as_json: bool) -> None:
    """Judge the colours of DIR/colours.toml: cloth, paint, skin and sheers, from photographs or typed.

    A photograph that cannot be used is told, and the rest is judged. Exit status 1 when colours.toml itself
    cannot be used.
    """
    from layfigure.colour.as_data import colours_as_data
    from layfigure.colour.judge import judge_folder
    from layfigure.colour.words import UNITS, colour_section

    judged = judge_folder(folder)
    if as_json:
        print_json(colours_as_data(judged))
        return
    section = colour_section(judged)
    _part("What needs you", section.attention)
    _part("Verdicts", [line for line in section.lines if line not in section.attention])
    _part("Colours", [f"{item.name} {item.colour}: {item.line}" for item in section.swatches])
    _part("Take care", section.cautions)
    _part("What the numbers mean", [UNITS, *section.sources])


def _part(heading: str, lines: tuple[str, ...] | list[str]) -> None:
    if not lines:
        return
    click.echo(f"{heading}:")
    for line in lines:
        print_remark(line)
