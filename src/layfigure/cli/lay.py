"""``layfigure lay``: pieces laid on their cloths, and what to buy."""

from __future__ import annotations

import signal
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from types import FrameType

import click

from layfigure.cli.options import as_json, costume_folder, wearer_name
from layfigure.cli.show import print_json, print_remark, print_table, progress_shown
from layfigure.recompute.job import Job


@click.command("lay")
@costume_folder
@wearer_name
@click.option("--cloth", "only", multiple=True, metavar="CLOTH", help="Lay this cloth alone; repeatable.")
@click.option("--seconds", default=30.0, show_default=True, help="Search for so long, all cloths together.")
@click.option(
    "--fold/--single", "folded", default=None, help="Fold the cloth, or do not; else whichever takes less."
)
@click.option("--width", metavar="LENGTH", help="Of the roll, if another than the cloth's own: '140 cm'.")
@click.option("--compare", is_flag=True, help="Hold usual widths of roll against each other; writes nothing.")
@click.option("--again", is_flag=True, help="Search on, though a stored layout still holds.")
@click.option("--out", type=click.Path(path_type=Path), help="Where results go; DIR/out when not said.")
@as_json
def command(
    folder: Path,
    wearer: str | None,
    only: tuple[str, ...],
    seconds: float,
    folded: bool | None,
    width: str | None,
    compare: bool,
    again: bool,
    out: Path | None,
    as_json: bool,
) -> None:
    """Lay the pieces on their cloths: what to buy, and drawings to cut by.

    Layouts are kept in layouts/ beside the other results, and used again while the pieces stay the same.
    Ctrl-C ends the search and keeps the best so far. Exit status 1 when a cloth could not be laid; the
    others are laid all the same.
    """
    from layfigure.lay.settings import LaySettings
    from layfigure.pipeline.compared_widths import compare_widths
    from layfigure.pipeline.folder import open_costume
    from layfigure.pipeline.kept_layouts import layouts_folder
    from layfigure.pipeline.laid_told import laid_as_data, laid_lines
    from layfigure.pipeline.laying import lay_costume
    from layfigure.pipeline.work import disk_graph, plan
    from layfigure.units import parse_length

    costume = open_costume(folder)
    work = plan(costume, costume.wearer(wearer), disk_graph())
    settings = LaySettings(
        seconds=seconds,
        way="auto" if folded is None else "fold" if folded else "single",
        width=None if width is None else parse_length(width),
        again=again,
    )
    if compare:
        with progress_shown() as job:
            rows = compare_widths(work, settings, job, only=only)
        if as_json:
            print_json([row.as_data() for row in rows])
        else:
            print_table(
                ("cloth", "width", "laid", "takes", "area"), [row.words(work.wearer.unit) for row in rows]
            )
        return
    place = layouts_folder(out or folder / "out", costume, wearer)
    with progress_shown() as job, stopped_by_interrupt(job) as stoppable:
        laid = lay_costume(work, place, settings, stoppable, only=only)
    if as_json:
        print_json(laid_as_data(laid))
    else:
        for line in laid_lines(laid, work):
            click.echo(line)
        if laid.cloths:
            click.echo(f"drawings to cut by are in {place}")
    for slug, error in laid.refused.items():
        if not as_json:
            print_remark(f"{slug.replace('_', ' ')}: {error.what} {error.advice}")
    if laid.refused:
        click.get_current_context().exit(1)


class _Stoppable:
    """A job that Ctrl-C cancels, so that what was found is still written."""

    def __init__(self, job: Job) -> None:
        self._job = job
        self.stopped = False

    def progress(self, share: float, what: str) -> None:
        self._job.progress(share, what)

    def cancelled(self) -> bool:
        return self.stopped or self._job.cancelled()


@contextmanager
def stopped_by_interrupt(job: Job) -> Iterator[Job]:
    """A job whose search the first Ctrl-C ends with the best so far; a second one ends the command."""
    stoppable = _Stoppable(job)

    def interrupted(_: int, __: FrameType | None) -> None:
        if stoppable.stopped:
            raise KeyboardInterrupt
        stoppable.stopped = True

    before = signal.signal(signal.SIGINT, interrupted)
    try:
        yield stoppable
    finally:
        signal.signal(signal.SIGINT, before)
