"""The stages of one costume on one wearer, stated as a recompute graph before anything runs."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from typing import TYPE_CHECKING

from layfigure.body.wearer import Wearer
from layfigure.design.design import PieceStatement
from layfigure.errors import DraftError
from layfigure.pipeline.folder import CostumeFolder
from layfigure.pipeline.layers import cloth_below
from layfigure.pipeline.stages import (
    body_messages,
    own_cloths,
    own_placement,
    run_body,
    run_draft,
    run_place,
    run_study,
    what_placing_reads,
)
from layfigure.place.placement import Placement
from layfigure.recompute.cache import Cache, user_cache_folder
from layfigure.recompute.garbage import unsearched
from layfigure.recompute.graph import Graph, Keyed, Node
from layfigure.recompute.job import Job, QuietJob
from layfigure.recompute.pool import WorkerPool, spare_workers
from layfigure.recompute.sharing import shared_out

if TYPE_CHECKING:
    from layfigure.body.fit import FitResult
    from layfigure.draft.registry import DraftResult
    from layfigure.study.reading import StudyResult

SLOW_KINDS = ("knit", "shell", "strap", "wrap", "strand", "circular", "woven", "belt", "glove", "hanging")
"""Kinds by the time they take, slowest first: of what several processes draft, the last begun must be quick,
or one process waits for the other.
"""

DRAFTING_MODULES = ("layfigure.body.fit", "layfigure.draft.knit.kind", "layfigure.draft.wrap.kind")
"""What a worker loads before it is asked for anything."""


@dataclass(frozen=True, slots=True, eq=False)
class Work:
    """The stages of one costume on one wearer. Nothing runs before its value is asked for."""

    folder: CostumeFolder
    wearer: Wearer
    chosen: tuple[PieceStatement, ...]
    study: Node[StudyResult | None]
    body: Node[FitResult]
    placed: Node[Placement]
    graph: Graph

    @property
    def drafts(self) -> dict[str, Node[DraftResult]]:
        """The drafting stages by statement.

        Asking for them places the edges: a piece is keyed by its own edges as they lie, its own cloths and
        what lies beneath it, so that moving another piece's edge leaves it as it is.
        """
        placement, costume, cloths = self.placed.value(), self.folder.costume, self.folder.cloths
        stock = self.folder.stock
        thick = {slug: stock.finished_thickness(slug) for slug in cloths}
        beneath = cloth_below(costume.pieces, placement, thick)
        return {
            statement.slug: self.graph.node(
                run_draft,
                statement,
                self.body,
                own_placement(statement, placement),
                own_cloths(statement, cloths),
                beneath[statement.slug],
                costume.edition,
                Keyed(costume.where.get(statement.slug, "")),
            )
            for statement in self.chosen
        }

    def messages(self) -> tuple[str, ...]:
        """What study and body want to say."""
        study = self.study.value()
        read = () if study is None else tuple(study.messages)
        return (*read, *body_messages(self.wearer, self.body.value()))


def disk_graph() -> Graph:
    """A graph over the user's own cache folder, which is kept within its limit."""
    cache = Cache(user_cache_folder())
    cache.trim()
    return Graph(cache)


def plan(folder: CostumeFolder, wearer: Wearer, graph: Graph, *, only: Sequence[str] = ()) -> Work:
    """State the stages. only : piece slugs to draft, all when empty. Raises DraftError for an unknown one."""
    costume = folder.costume
    study = graph.node(run_study, folder.marks)
    body = graph.node(run_body, Keyed(wearer, by=(wearer.name, wearer.sex, wearer.posture, wearer.measures)))
    placed = graph.node(run_place, Keyed(costume, by=what_placing_reads(costume)), study, body)
    return Work(folder, wearer, tuple(_chosen(costume.pieces, only)), study, body, placed, graph)


def draft_all(work: Work, job: Job | None = None, pool: WorkerPool | None = None) -> dict[str, DraftResult]:
    """Every piece. One that is refused becomes a failed check with its advice, and the others go on.

    pool : workers to share the pieces with.
    """
    if pool is not None:
        pool.prepare(work.body)
    nodes = work.drafts
    slow = [piece.slug for kind in SLOW_KINDS for piece in work.chosen if piece.kind == kind]
    results: dict[str, DraftResult] = {}
    with unsearched():
        for slug, drafted in shared_out(nodes, job or QuietJob(), _drafting, pool=pool, slow=slow):
            try:
                results[slug] = drafted()
            except DraftError as error:
                results[slug] = _refused(error)
    return {slug: results[slug] for slug in nodes}


def keyed_drafts(work: Work, drafts: Mapping[str, DraftResult]) -> Keyed[Mapping[str, DraftResult]]:
    """Drafts known by the stages that made them."""
    return Keyed(drafts, by={slug: node.key for slug, node in work.drafts.items()})


def drafting_pool(graph: Graph, workers: int | None = None) -> WorkerPool | None:
    """Workers for drafting, not yet started; None where the machine has no room for any.

    workers : beside this process; by default what the machine has room for.
    """
    count = spare_workers() if workers is None else workers
    if not count:
        return None
    try:
        return WorkerPool(count, folder=graph.folder, modules=DRAFTING_MODULES)
    except (OSError, NotImplementedError):
        # A system without the locks that processes share, or with none left to give.
        return None


@contextmanager
def helpers(works: Sequence[Work]) -> Iterator[WorkerPool | None]:
    """Workers for one command, already starting; None where there is too little to do to be worth it."""
    pool = None if all(work.body.known() for work in works) else drafting_pool(works[0].graph)
    if pool is None:
        yield None
        return
    with pool:
        pool.start()
        yield pool


def _refused(error: DraftError) -> DraftResult:
    from layfigure.draft.registry import Check, DraftResult

    refusal = Check(
        what=f"not drafted: {error.what.rstrip('.')}",
        value=1.0,
        limit=0.0,
        passed=False,
        advice=error.advice,
    )
    return DraftResult(pieces=(), checks=(refusal,))


def _drafting(slug: str) -> str:
    return f"drafting {slug.replace('_', ' ')}"


def _chosen(pieces: Sequence[PieceStatement], only: Sequence[str]) -> list[PieceStatement]:
    known = {piece.slug for piece in pieces}
    for slug in only:
        if slug not in known:
            raise DraftError(
                f"the costume has no piece {slug!r}.", advice=f"Pieces: {', '.join(sorted(known))}."
            )
    return [piece for piece in pieces if not only or piece.slug in only]
