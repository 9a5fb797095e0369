"""``layfigure draft``: the pieces, their checks, and how far each can be trusted."""

from __future__ import annotations

from pathlib import Path

import click

from layfigure.cli.options import as_json, costume_folder, wearer_name
from layfigure.cli.show import print_json, print_remark, print_table, progress_shown

VERDICTS = {
    "paper": "mock it up in paper",
    "scrap": "cut cheap stuff first",
    "good material": "cut good material",
}


@click.command("draft")
@costume_folder
@wearer_name
@click.option("--piece", "only", multiple=True, metavar="PIECE", help="Draft this piece alone; repeatable.")
@as_json
def command(folder: Path, wearer: str | None, only: tuple[str, ...], as_json: bool) -> None:
    """Draft the pieces and say how far each can be trusted. Writes nothing."""
    from layfigure.draft.failed_check import failure_line
    from layfigure.pipeline.as_data import draft_as_data
    from layfigure.pipeline.folder import open_costume
    from layfigure.pipeline.together import draft_together
    from layfigure.pipeline.work import disk_graph, helpers, plan

    costume = open_costume(folder)
    work = plan(costume, costume.wearer(wearer), disk_graph(), only=only)
    with progress_shown() as job, helpers([work]) as pool:
        drafts = draft_together(work, job, pool)
    if as_json:
        print_json(draft_as_data(drafts))
        return
    rows = [
        (piece.label, f"{piece.count}", piece.cloth.replace("_", " "), VERDICTS[piece.verdict.level])
        for result in drafts.values()
        for piece in result.pieces
    ]
    print_table(("piece", "cut", "cloth", "how far to trust it"), rows)
    for slug, result in drafts.items():
        for check in result.checks:
            if not check.passed:
                print_remark(failure_line(slug, check))
