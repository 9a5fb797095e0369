"""``layfigure group``: the whole job for many wearers of one costume."""

from __future__ import annotations

from pathlib import Path

import click

from layfigure.cli.options import costume_folder
from layfigure.cli.show import counted, print_remark, progress_shown


@click.command("group")
@costume_folder
@click.option("--wearer", "only", multiple=True, metavar="NAME", help="One of the group; repeatable.")
@click.option("--out", type=click.Path(path_type=Path), help="Where results go; DIR/out when not said.")
@click.option(
    "--paper",
    "papers",
    multiple=True,
    type=click.Choice(["a4", "letter", "a0", "projector"]),
    help="Paper to print on; repeatable.",
)
@click.option("--toile", is_flag=True, help="Wide allowances, windows left uncut: to fit before cutting.")
@click.option("--scheduler", metavar="ADDRESS", help="A cluster's scheduler; this machine when not said.")
def command(
    folder: Path,
    only: tuple[str, ...],
    out: Path | None,
    papers: tuple[str, ...],
    toile: bool,
    scheduler: str | None,
) -> None:
    """Make the costume for all its wearers at once, each in a folder of their own.

    With --scheduler the wearers' measures are sent to the machines of that cluster.
    """
    from layfigure.pipeline.folder import open_costume
    from layfigure.pipeline.group import make_group

    costume = open_costume(folder)
    names = only or tuple(costume.wearers)
    target = out or folder / "out"
    troubled = False
    with progress_shown() as job:
        made = list(
            make_group(costume, names, target, papers=papers, as_toile=toile, scheduler=scheduler, job=job)
        )
    for one in made:
        if one.trouble:
            print_remark(f"{one.name}: {one.trouble}")
        else:
            sheets = ", ".join(f"{counted(count, 'sheet')} of {paper}" for paper, count in one.sheets.items())
            click.echo(f"{one.name}: {sheets}")
        for slug in one.refused:
            print_remark(
                f"{one.name}: {slug.replace('_', ' ')} was not drafted; the report says what would help."
            )
        troubled = troubled or bool(one.trouble or one.refused)
    if troubled:
        click.get_current_context().exit(1)
