"""``layfigure pull-strip``: a page to measure the stretch of a cloth along."""

from __future__ import annotations

from pathlib import Path

import click


@click.command("pull-strip")
@click.argument("file", type=click.Path(dir_okay=False, path_type=Path), default=Path("pull_strip.pdf"))
@click.option("--paper", type=click.Choice(["a4", "letter"]), default="a4", show_default=True)
def command(file: Path, paper: str) -> None:
    """Print a page to pull a strip of cloth along and read its stretch."""
    from layfigure.drawing.paper.pull_strip_page import pull_strip_page
    from layfigure.drawing.paper.sizes import PAPERS
    from layfigure.files.write import write_bytes

    write_bytes(file, pull_strip_page(PAPERS[paper]))
    click.echo(f"{file}: print at 100 %, and check the test square before you pull.")
