"""The whole job on one costume and one wearer, written as files."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path

from layfigure.design.design import Design
from layfigure.draft.registry import DraftResult
from layfigure.errors import DraftError
from layfigure.files.write import replaced_folder
from layfigure.geometry.mesh import TriangleMesh
from layfigure.piece.toile import toile
from layfigure.pipeline.buying import bought
from layfigure.pipeline.colours import costume_colours
from layfigure.pipeline.kept_layouts import LAYOUTS, drawn_layouts
from layfigure.pipeline.outputs import Outputs, worn_surfaces, written
from layfigure.pipeline.slips import refuse_slips
from layfigure.pipeline.stages import neutral_body
from layfigure.pipeline.together import as_shown, draft_together
from layfigure.pipeline.work import Work
from layfigure.recompute.job import Job, QuietJob, stop_if_cancelled
from layfigure.recompute.pool import WorkerPool
from layfigure.report.buying_words import buying_words
from layfigure.report.report import ReportContents
from layfigure.shop.as_data import buying_as_data
from layfigure.study.figure_surface import figure_surface
from layfigure.study.reading import StudyResult


def make(
    work: Work,
    out: Path,
    *,
    papers: Sequence[str] = (),
    as_toile: bool = False,
    job: Job | None = None,
    pool: WorkerPool | None = None,
) -> ReportContents:
    """Run everything and write ``out`` whole, or leave the last good one as it was.

    papers : names of papers to print on; by default A4 (Letter for a maker in inches) and a projected page.
    as_toile : draw every piece as its toile, with wide allowances and windows left uncut.
    pool : workers to share pieces and drawings with.
    Raises the first error of study, body or place, and a slip in any piece's statement, before anything is
    replaced. A piece that this body makes impossible is reported with the others; DraftError when all are.
    """
    job = job or QuietJob()
    costume = work.folder.costume
    for statement in work.chosen:
        refuse_slips(statement, costume.where.get(statement.slug, ""))
    job.progress(0.0, "reading the marks")
    study = work.study.value()
    stop_if_cancelled(job)
    job.progress(0.15, "making the body")
    form = work.body.value().form
    stop_if_cancelled(job)
    job.progress(0.3, "placing edges")
    placement = work.placed.value()
    drafts = draft_together(work, job, pool)
    _refuse_nothing(drafts)
    shown = as_shown(work, drafts)
    drafts = {slug: replace(result, wearing=None, working=None) for slug, result in drafts.items()}
    buying = bought(work, drafts, out / LAYOUTS)
    if as_toile:
        drafts = {
            slug: replace(result, pieces=tuple(toile(piece) for piece in result.pieces))
            for slug, result in drafts.items()
        }
    edges = {slug: placed.edge for slug, placed in placement.edges.items()}
    contents = ReportContents(
        design=Design(name=costume.name, edition=costume.edition, edges=edges, pieces=costume.pieces),
        form=form,
        placement=placement,
        drafts=drafts,
        figure=None if study is None else study.charts,
        surface=work.graph.node(_skin, work.study).value(),
        messages=work.messages(),
        worn=worn_surfaces(shown, work.folder.cloths),
        unit=work.wearer.unit,
    )
    labels = {statement.slug: statement.label for statement in costume.pieces if statement.label}
    contents = replace(
        contents,
        buying=buying_words(buying, work.wearer.unit, labels),
        layouts=drawn_layouts(buying.laid, work),
        colours=costume_colours(work.folder.root),
    )
    names = tuple(papers) or ("letter" if work.wearer.unit == "in" else "a4", "projector")
    outputs = Outputs(
        contents=contents, papers=names, cloths=work.folder.cloths, shopping=buying_as_data(buying)
    )
    with replaced_folder(out) as staging:
        sheets = written(outputs, staging, work.graph, job, pool)
    return replace(contents, papers=sheets)


def _skin(study: StudyResult | None) -> TriangleMesh | None:
    """The character's skin, for pictures."""
    return None if study is None else figure_surface(study.charts, neutral_body())


def _refuse_nothing(drafts: Mapping[str, DraftResult]) -> None:
    """Raise DraftError when every piece was refused: results without a piece would replace good ones."""
    if not drafts or any(result.pieces or result.items or result.notes for result in drafts.values()):
        return
    slug, result = next(iter(drafts.items()))
    first = result.checks[0]
    raise DraftError(f"{first.what}.", where=f"piece {slug}", advice=first.advice)
