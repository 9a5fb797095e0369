"""The whole job on one costume and one wearer, written as files."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from layfigure.files.write import replaced_folder
from layfigure.pipeline.outputs import Outputs, sheet_counts, write_outputs
from layfigure.pipeline.stages import neutral_body
from layfigure.pipeline.work import Work, draft_all
from layfigure.recompute.job import Job, QuietJob, stop_if_cancelled
from layfigure.report.report import ReportContents
from layfigure.study.figure_surface import figure_surface


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
