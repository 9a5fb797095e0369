"""``layfigure check``: read everything and say what is missing or cannot be right."""

from __future__ import annotations

from pathlib import Path

import click

from layfigure.cli.options import as_json, costume_folder, wearer_name
from layfigure.cli.show import counted, print_json, print_remark


@click.command("check")
@costume_folder
@wearer_name
@as_json
def command(folder: Path, wearer: str | None, as_json: bool) -> None:
    """Read every file of a costume and say what is missing or cannot be right.

    Nothing is computed. Exit status 1 and the first thing to mend when a file cannot be used.
    """
    from layfigure.pipeline.folder import open_costume
    from layfigure.pipeline.review import review

    costume = open_costume(folder)
    names = [wearer] if wearer else list(costume.wearers)
    found = review(costume, [costume.wearer(name) for name in names])
    if as_json:
        print_json(found.as_data())
        return
    contents = f"{counted(found.edges, 'edge')}, {counted(found.pieces, 'piece')}"
    click.echo(f"{found.name}, edition {found.edition}: {contents}.")
    for line in found.remarks:
        print_remark(line)
    if not found.remarks:
        click.echo("Nothing stands in the way.")
