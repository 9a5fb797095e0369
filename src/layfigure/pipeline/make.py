"""The whole job on one costume and one wearer, as a recompute graph."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from layfigure.body.fit import FitResult
from layfigure.body.wearer import Wearer
from layfigure.design.design import PieceStatement
from layfigure.draft.registry import Check, DraftResult
from layfigure.errors import DraftError
from layfigure.files.write import replaced_folder
from layfigure.pipeline.folder import CostumeFolder
from layfigure.pipeline.outputs import Outputs, sheet_counts, write_outputs
from layfigure.pipeline.stages import (
    DesignOnWearer,
    body_messages,
    neutral_body,
    run_body,
    run_draft,
    run_place,
    run_study,
)
from layfigure.recompute.cache import Cache, user_cache_folder
from layfigure.recompute.graph import Graph, Node
from layfigure.recompute.job import Job, QuietJob, in_turn, stop_if_cancelled
from layfigure.report.report import ReportContents
from layfigure.study.figure_surface import figure_surface
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
    results: dict[str, DraftResult] = {}
    slugs = list(work.drafts)
    for slug in in_turn(slugs, job or QuietJob(), lambda name: f"drafting {name.replace('_', ' ')}"):
        try:
            results[slug] = work.drafts[slug].value()
        except DraftError as error:
            refusal = Check(
                what=f"not drafted: {error.what}", value=1.0, limit=0.0, passed=False, advice=error.advice
            )
            results[slug] = DraftResult(pieces=(), checks=(refusal,))
    return results


def make(work: Work, out: Path, *, papers: Sequence[str] = (), job: Job | None = None) -> ReportContents:
    """Run everything and write ``out`` whole, or leave the last good one as it was.

    papers : names of papers to print on; by default A4 (Letter for a maker in inches) and a projected page.
    Raises the first error of study, body or place; a refused piece is reported with the others.
    """
    job = job or QuietJob()
    job.progress(0.0, "reading the marks")
    study = work.study.value()
    stop_if_cancelled(job)
    job.progress(0.15, "making the body")
    form = work.body.value().form
    stop_if_cancelled(job)
    job.progress(0.3, "placing edges")
    placed = work.placed.value()
    drafts = draft_all(work, job)
    contents = ReportContents(
        design=placed.design,
        form=form,
        placement=placed.placement,
        drafts=drafts,
        figure=None if study is None else study.charts,
        surface=None if study is None else figure_surface(study.charts, neutral_body()),
        messages=work.messages(),
        unit=work.wearer.unit,
    )
    names = tuple(papers) or ("letter" if work.wearer.unit == "in" else "a4", "projector")
    cloths = {slug: cloth.name for slug, cloth in work.folder.cloths.items()}
    outputs = Outputs(contents=contents, papers=names, cloths=cloths)
    outputs = replace(outputs, contents=replace(contents, papers=sheet_counts(outputs)))
    with replaced_folder(out) as staging:
        for what in write_outputs(outputs, staging):
            stop_if_cancelled(job)
            job.progress(0.9, what)
    return outputs.contents


def _chosen(pieces: Sequence[PieceStatement], only: Sequence[str]) -> list[PieceStatement]:
    known = {piece.slug for piece in pieces}
    for slug in only:
        if slug not in known:
            raise DraftError(
                f"the costume has no piece {slug!r}.", advice=f"Pieces: {', '.join(sorted(known))}."
            )
    return [piece for piece in pieces if not only or piece.slug in only]
