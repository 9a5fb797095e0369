"""The stages of one costume on one wearer, stated as a recompute graph before anything runs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from layfigure.body.wearer import Wearer
from layfigure.design.design import PieceStatement
from layfigure.errors import DraftError
from layfigure.pipeline.folder import CostumeFolder
from layfigure.pipeline.stages import DesignOnWearer, body_messages, run_body, run_draft, run_place, run_study
from layfigure.recompute.cache import Cache, user_cache_folder
from layfigure.recompute.graph import Graph, Node
from layfigure.recompute.job import Job, QuietJob, in_turn

if TYPE_CHECKING:
    from layfigure.body.fit import FitResult
    from layfigure.draft.registry import DraftResult
    from layfigure.study.reading import StudyResult


@dataclass(frozen=True, slots=True, eq=False)
class Work:
    """The stages of one costume on one wearer. Nothing runs before its value is asked for."""

    folder: CostumeFolder
    wearer: Wearer
    study: Node[StudyResult | None]
    body: Node[FitResult]
    placed: Node[DesignOnWearer]
    drafts: dict[str, Node[DraftResult]]

    def messages(self) -> tuple[str, ...]:
        """What study and body want to say."""
        study = self.study.value()
        read = () if study is None else tuple(study.messages)
        return (*read, *body_messages(self.wearer, self.body.value()))


def disk_graph() -> Graph:
    """A graph over the user's own cache folder."""
    return Graph(Cache(user_cache_folder()))


def plan(folder: CostumeFolder, wearer: Wearer, graph: Graph, *, only: Sequence[str] = ()) -> Work:
    """State the stages. only : piece slugs to draft, all when empty. Raises DraftError for an unknown one."""
    study = graph.node(run_study, folder.marks)
    body = graph.node(run_body, wearer)
    placed = graph.node(run_place, folder.costume, study, body)
    chosen = _chosen(folder.costume.pieces, only)
    drafts = {
        statement.slug: graph.node(
            run_draft,
            statement,
            body,
            placed,
            dict(folder.cloths),
            folder.costume.where.get(statement.slug, ""),
        )
        for statement in chosen
    }
    return Work(folder, wearer, study, body, placed, drafts)


def draft_all(work: Work, job: Job | None = None) -> dict[str, DraftResult]:
    """Every piece. One that is refused becomes a failed check with its advice, and the others go on."""
    from layfigure.draft.registry import Check, DraftResult

    results: dict[str, DraftResult] = {}
    slugs = list(work.drafts)
    for slug in in_turn(slugs, job or QuietJob(), lambda name: f"drafting {name.replace('_', ' ')}"):
        try:
            results[slug] = work.drafts[slug].value()
        except DraftError as error:
            refusal = Check(
                what=f"not drafted: {error.what.rstrip('.')}",
                value=1.0,
                limit=0.0,
                passed=False,
                advice=error.advice,
            )
            results[slug] = DraftResult(pieces=(), checks=(refusal,))
    return results


def _chosen(pieces: Sequence[PieceStatement], only: Sequence[str]) -> list[PieceStatement]:
    known = {piece.slug for piece in pieces}
    for slug in only:
        if slug not in known:
            raise DraftError(
                f"the costume has no piece {slug!r}.", advice=f"Pieces: {', '.join(sorted(known))}."
            )
    return [piece for piece in pieces if not only or piece.slug in only]
