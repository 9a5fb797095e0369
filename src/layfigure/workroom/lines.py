"""Character and wearer side by side, carrying the same lines, as data for a page to draw."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from layfigure.recompute.job import stop_if_cancelled

if TYPE_CHECKING:
    from layfigure.pipeline.work import Work
    from layfigure.recompute.job import Job
    from layfigure.report.body_picture import View
    from layfigure.workroom.character import Character


def lines_as_data(
    work: Work, view: View, job: Job, character: Character, *, pictures: bool = True
) -> dict[str, Any]:
    """What every edge of the costume is on the wearer, and both bodies in pictures with all of them.

    Raises as study, body and place do. pictures : without them only what drawing in space needs is worked
    out. whom : the bodies there are. panels : one where the costume is said in words alone. edges : slug to
    what a tape reads and how sure it is, in words, and whether it can be held on the body.
    """
    from layfigure.place.check_words import check_lines, sureness
    from layfigure.report.report import bodies_with_lines

    unit = work.wearer.unit
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
    surface = character.surface(work)
    panels = bodies_with_lines(placement, form, view, figure=figure, surface=surface) if pictures else []
    return {
        "view": view,
        "whom": ["wearer"] if figure is None else ["character", "wearer"],
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
                "movable": slug in work.folder.costume.edges,
            }
            for number, (slug, placed) in enumerate(placement.edges.items(), start=1)
        },
    }
