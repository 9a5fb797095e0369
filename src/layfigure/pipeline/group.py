"""Many wearers of one design, made by many processes: on this machine, or on a cluster that is named.

Needs the library distributed (the extra ``group``). Another scheduler's address is all that changes.
"""

from __future__ import annotations

import tempfile
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from importlib import import_module
from pathlib import Path
from typing import Any

from layfigure.body.wearer import Wearer
from layfigure.errors import LayfigureError, OutputError
from layfigure.files.write import MANIFEST, replaced_folder
from layfigure.pipeline.folder import CostumeFolder
from layfigure.pipeline.make import make
from layfigure.pipeline.work import plan
from layfigure.recompute.graph import own_graph
from layfigure.recompute.job import Job, stop_if_cancelled
from layfigure.recompute.pool import spare_workers


@dataclass(frozen=True, slots=True, kw_only=True)
class MadeForOne:
    """What one wearer of a group gets.

    files : name to content; empty when nothing could be made, and ``trouble`` says why. sheets : of every
    paper. refused : slugs of pieces that were not drafted.
    """

    name: str
    files: Mapping[str, bytes]
    sheets: Mapping[str, int]
    refused: tuple[str, ...]
    trouble: str = ""


def make_group(
    costume: CostumeFolder,
    names: Sequence[str],
    out: Path,
    *,
    papers: Sequence[str] = (),
    as_toile: bool = False,
    scheduler: str | None = None,
    job: Job,
) -> Iterator[MadeForOne]:
    """Make a costume for several wearers at once and write each one's folder, as they are done.

    scheduler : address of a cluster's; a cluster of this machine's own processes where none is given.
    Measures travel to the machines of the cluster. A wearer nothing can be made for stops no other.
    Raises OutputError when the library is missing, the cluster cannot be reached, or a folder not written.
    """
    wearers = [costume.wearer(name) for name in names]
    with _client(scheduler, len(wearers)) as (client, as_completed):
        futures = {
            client.submit(make_for_one, costume, wearer, tuple(papers), as_toile, pure=False): name
            for name, wearer in zip(names, wearers, strict=True)
        }
        try:
            for done, future in enumerate(as_completed(list(futures)), start=1):
                stop_if_cancelled(job)
                made: MadeForOne = future.result()
                if made.files:
                    with replaced_folder(out / futures[future]) as staging:
                        for file, content in made.files.items():
                            (staging / file).write_bytes(content)
                job.progress(done / len(futures), f"made for {made.name}")
                yield made
        finally:
            client.cancel(list(futures))


def make_for_one(costume: CostumeFolder, wearer: Wearer, papers: Sequence[str], as_toile: bool) -> MadeForOne:
    """One wearer's files. The process keeps what wearers share: the study and the panels' meshes."""
    work = plan(costume, wearer, own_graph())
    try:
        with tempfile.TemporaryDirectory() as folder:
            contents = make(work, Path(folder) / "out", papers=papers, as_toile=as_toile)
            written = [path for path in sorted((Path(folder) / "out").iterdir()) if path.name != MANIFEST]
            files = {path.name: path.read_bytes() for path in written}
    except LayfigureError as error:
        return MadeForOne(name=wearer.name, files={}, sheets={}, refused=(), trouble=str(error))
    refused = [
        slug
        for slug, result in contents.drafts.items()
        if not (result.pieces or result.items or result.notes)
    ]
    return MadeForOne(name=wearer.name, files=files, sheets=dict(contents.papers), refused=tuple(refused))


@contextmanager
def _client(scheduler: str | None, tasks: int) -> Iterator[tuple[Any, Any]]:
    """A client of a cluster, and what yields its futures as they are done."""
    try:
        distributed = import_module("distributed")
    except ImportError as error:
        raise OutputError(
            "a group is made with the library distributed, which is not installed.",
            advice='Install it with: pip install "layfigure[group]"',
        ) from error
    try:
        if scheduler is None:
            workers = min(tasks, spare_workers() + 1)
            with (
                distributed.LocalCluster(
                    n_workers=workers, threads_per_worker=1, dashboard_address=None
                ) as cluster,
                distributed.Client(cluster) as client,
            ):
                yield client, distributed.as_completed
        else:
            with distributed.Client(scheduler) as client:
                yield client, distributed.as_completed
    except OSError as error:
        raise OutputError(
            f"the scheduler at {scheduler or 'this machine'} cannot be reached.",
            advice="Give its address as tcp://NAME:PORT, and see that it runs layfigure of the same version.",
        ) from error
