"""``layfigure new``: a folder to fill in."""

from __future__ import annotations

from pathlib import Path

import click


@click.command("new")
@click.argument("folder", metavar="DIR", type=click.Path(path_type=Path))
def command(folder: Path) -> None:
    """Start a costume: a folder of plain files to fill in, which make a first piece as they stand."""
    from layfigure.pipeline.new_costume import start_costume

    for path in start_costume(folder):
        click.echo(f"wrote {path}")
    click.echo(f"Edit them, then: layfigure check {folder}")
