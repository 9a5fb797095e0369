"""Refusing flat panels that cannot be cut or worn, and saying where to move a seam."""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray

from layfigure.draft.flatten.panel import FlatPanel
from layfigure.draft.flatten.stitch_line import stitch_line
from layfigure.draft.flatten.worn_stretch import face_areas, greatest_stretch_p95
from layfigure.errors import DraftError
from layfigure.geometry.polyline import arc_lengths

Points = NDArray[np.float64]

ABSURD_STRETCH = 0.45
"""Beyond the ease, on the most stretched twentieth of the area, as a share. Close knits stretch 50 % or more
in the hand; worn so far everywhere they would mark the skin (common practice, no source)."""


def folded_over(slug: str) -> DraftError:
    """What is said of a panel that cannot be laid flat without a fold."""
    return DraftError(
        "the panel folds over itself when laid flat.",
        where=slug,
        advice="It covers too much of a rounded form: divide it by another seam.",
    )


def refuse_crossing(flat: FlatPanel) -> None:
    """Raises DraftError where the panel's outline crosses itself, as one that winds round the body does."""
    if not shapely.LinearRing(stitch_line(flat)).is_simple:
        raise DraftError(
            "the panel laid flat covers part of itself.",
            where=flat.panel.slug,
            advice="It winds round the body or covers too much of a rounded form: divide it by another seam.",
        )


def refuse_absurd_stretch(flat: FlatPanel, *, limit: float = ABSURD_STRETCH) -> None:
    """Raises DraftError where the panel's 95th percentile of stretch or slack passes the limit.

    The message names the edge nearest to the worst place and how far along it that is.
    """
    if greatest_stretch_p95(flat) <= limit:
        return
    stretch = np.abs(flat.stretch).max(axis=1)
    areas = face_areas(flat)
    worst = stretch >= np.quantile(stretch, 0.9)
    centres = flat.panel.vertices[flat.panel.faces].mean(axis=1)
    # The middle of the worst faces may lie between two patches, so take the face nearest to it.
    middle = np.average(centres[worst], axis=0, weights=areas[worst])
    place = centres[worst][np.argmin(np.linalg.norm(centres[worst] - middle, axis=1))]
    slug, share = nearest_edge_place(flat, place)
    tight = float(np.average(flat.stretch[worst].max(axis=1), weights=areas[worst])) > float(
        np.average(-flat.stretch[worst].min(axis=1), weights=areas[worst])
    )
    trouble = "stretch further than any cloth does" if tight else "gather in folds"
    raise DraftError(
        f"the cloth would have to {trouble} about {share:.0%} along its edge {slug!r}.",
        where=flat.panel.slug,
        advice="Move that seam toward the fullest part of the body there, or lead another seam through it.",
    )


def nearest_edge_place(flat: FlatPanel, place: Points) -> tuple[str, float]:
    """Slug of the edge, seams first, whose body line comes nearest to a place, and the share along it.

    place : (3,) on the body [mm].
    """
    seams = [edge for edge in flat.panel.outline if edge.seam is not None] or list(flat.panel.outline)
    found = []
    for edge in seams:
        line = flat.panel.vertices[edge.vertices]
        distances = np.linalg.norm(line - place, axis=1)
        nearest = int(np.argmin(distances))
        lengths = arc_lengths(line)
        found.append((float(distances[nearest]), edge.slug, float(lengths[nearest] / lengths[-1])))
    _, slug, share = min(found)
    return slug, share
