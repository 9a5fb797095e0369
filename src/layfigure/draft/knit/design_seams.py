"""Seams that the design puts across a close garment, on the body it is meshed on and on a wearer."""

from __future__ import annotations

from collections.abc import Mapping

from layfigure.body.form import Form
from layfigure.draft.knit.garment import chart_points, worn_curve
from layfigure.draft.panels.edge_fields import edge_curve
from layfigure.draft.panels.seam_line import DesignSeam, SeamLine, seam_line
from layfigure.draft.panels.surface import Surface
from layfigure.draft.registry import DraftRequest
from layfigure.errors import DraftError


def design_seams(request: DraftRequest) -> tuple[DesignSeam, ...]:
    """The edges that a statement names as seams. Raises DraftError for one that is not placed."""
    found = []
    for slug in request.statement.seams:
        if slug not in request.placement.edges:
            raise DraftError(
                f"seam {slug!r} is not placed.",
                where=f"piece {request.statement.slug}",
                advice="Mark it in a picture, or say where it runs in words.",
            )
        placed = request.placement.edges[slug]
        found.append(DesignSeam(slug=slug, places=chart_points(placed), closed=placed.edge.closed))
    return tuple(found)


def seams_on(form: Form, surface: Surface, seams: tuple[DesignSeam, ...]) -> Mapping[str, SeamLine]:
    """Seams on the body that panels are meshed on, by slug."""
    return {
        seam.slug: seam_line(surface, edge_curve(form, seam.places, closed=seam.closed), seam)
        for seam in seams
    }


def worn_seams(
    request: DraftRequest, surface: Surface, seams: tuple[DesignSeam, ...]
) -> Mapping[str, SeamLine]:
    """Seams on the wearer, outside the layers below, by slug."""
    form, stack = request.form, request.stack
    return {
        seam.slug: seam_line(
            surface, worn_curve(form, surface, seam.places, stack=stack, closed=seam.closed), seam
        )
        for seam in seams
    }


def rounded_points(request: DraftRequest) -> tuple[str, ...]:
    """Sentences on seams drawn with a sharp point: within a panel a trued seam is one smooth line."""
    return tuple(
        f"The seam {slug.replace('_', ' ')} comes to a sharp point, which is rounded where it lies within a "
        "panel. Two seams that end at one another keep it sharp."
        for slug in request.statement.seams
        if any(point.corner for point in request.placement.edges[slug].edge.points)
    )
