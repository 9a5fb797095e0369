"""``layfigure make``: the whole job."""

from __future__ import annotations

from pathlib import Path

import click

from layfigure.cli.options import costume_folder, wearer_name
from layfigure.cli.show import counted, print_remark, progress_shown

SHOWN = 5
"""What needs the maker is shown this far; the report holds the whole list."""


@click.command("make")
@costume_folder
@wearer_name
@click.option("--out", type=click.Path(path_type=Path), help="Where results go; DIR/out when not said.")
@click.option(
    "--paper",
    "papers",
    multiple=True,
    type=click.Choice(["a4", "letter", "a0", "projector"]),
    help="Paper to print on; repeatable.",
)
@click.option("--toile", is_flag=True, help="Wide allowances, windows left uncut: to fit before cutting.")
@click.option("--piece", "only", multiple=True, metavar="PIECE", help="Make this piece alone; repeatable.")
def command(
    folder: Path,
    wearer: str | None,
    out: Path | None,
    papers: tuple[str, ...],
    toile: bool,
    only: tuple[str, ...],
) -> None:
    """Do it all: pattern on paper, exchange files, placement card and report.

    Without --wearer every wearer of the costume is made, each in a folder of her own. Exit status 1 when a
    piece could not be drafted; the others are written all the same.
    """
    from layfigure.pipeline.folder import open_costume
    from layfigure.pipeline.make import make
    from layfigure.pipeline.work import disk_graph, helpers, plan
    from layfigure.report.report import attention_list

    costume = open_costume(folder)
    target = out or folder / "out"
    names = [wearer] if wearer or len(costume.wearers) < 2 else list(costume.wearers)
    graph = disk_graph()
    works = [plan(costume, costume.wearer(name), graph, only=only) for name in names]
    pool = click.get_current_context().with_resource(helpers(works))
    refused: list[str] = []
    for name, work in zip(names, works, strict=True):
        person = work.wearer
        place = target / name if len(names) > 1 and name else target
        with progress_shown() as job:
            contents = make(work, place, papers=papers, as_toile=toile, job=job, pool=pool)
        count = sum(piece.count for result in contents.drafts.values() for piece in result.pieces)
        click.echo(f"{person.name}: {counted(count, 'piece')} to cut, in {place}")
        for paper, sheets in contents.papers.items():
            click.echo(f"  {counted(sheets, 'sheet')} of {paper}")
        click.echo(f"  begin with {place / 'report.html'}")
        needs = attention_list(contents)
        for line in needs[:SHOWN]:
            print_remark(line)
        if len(needs) > SHOWN:
            click.echo(f"  {len(needs) - SHOWN} more in the report")
        refused += [
            f"{slug.replace('_', ' ')} for {person.name}"
            for slug, result in contents.drafts.items()
            if not (result.pieces or result.items or result.notes)
        ]
    if refused:
        click.echo(f"Not drafted: {', '.join(refused)}. The report says what would help.", err=True)
        click.get_current_context().exit(1)
