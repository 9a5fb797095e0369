"""Character and wearer side by side, carrying the same lines, as data for a page to draw."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from layfigure.recompute.job import stop_if_cancelled
from layfigure.workroom.drafted import COMPUTING

if TYPE_CHECKING:
    from layfigure.pipeline.work import Work
    from layfigure.recompute.job import Job
    from layfigure.report.body_picture import View


def lines_as_data(work: Work, view: View, job: Job) -> dict[str, Any]:
    """Pictures of both bodies from one side, with every edge of the costume on them.

    Raises as study, body and place do. panels : one where the costume is said in words alone. edges : slug
    to what a tape reads and how sure it is, in words.
    """
    from layfigure.pipeline.stages import neutral_body
    from layfigure.place.check_words import check_lines, sureness
    from layfigure.report.report import bodies_with_lines
    from layfigure.study.figure_surface import figure_surface

    unit = work.wearer.unit
    with COMPUTING:
        job.progress(0.0, "reading the marks")
        study = work.study.value()
        stop_if_cancelled(job)
        job.progress(0.3, "making the body")
        form = work.body.value().form
        stop_if_cancelled(job)
        job.progress(0.6, "placing the edges")
        placement = work.placed.value()
        stop_if_cancelled(job)
        job.progress(0.8, "drawing")
        figure = None if study is None else study.charts
        surface = None if figure is None else figure_surface(figure, neutral_body())
        panels = bodies_with_lines(placement, form, view, figure=figure, surface=surface)
    return {
        "view": view,
        "panels": [
            {
                "title": panel.title,
                "picture": panel.address,
                "width": panel.width,
                "height": panel.height,
                "lines": [{"edge": line.edge, "seen": line.seen, "path": line.path} for line in panel.lines],
                "labels": [{"number": label.number, "x": label.x, "y": label.y} for label in panel.labels],
            }
            for panel in panels
        ],
        "edges": {
            slug: {
                "number": number,
                "checks": check_lines(placed.checks, unit),
                "sure": sureness(placed.checks, unit),
                "source": placed.edge.source,
            }
            for number, (slug, placed) in enumerate(placement.edges.items(), start=1)
        },
    }
