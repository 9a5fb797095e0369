"""Seams of the design that cannot be sewn, and what to do instead."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

import numpy as np
from numpy.typing import NDArray

from layfigure.draft.panels.topology import GarmentPlan, PanelPlan
from layfigure.errors import DraftError
from layfigure.geometry.mesh import TriangleMesh

Points = NDArray[np.float64]
Indices = NDArray[np.int64]
Mask = NDArray[np.bool_]

NARROWEST = 25.0
"""A part narrower than this is not sewn: its two seam allowances would lie one on the other; common practice
[mm]."""


def refuse_taken(plan: GarmentPlan, seams: Iterable[str]) -> None:
    """A seam of the design may not have the name of an edge or seam that the garment has anyway."""
    taken = {name for panel in plan.panels for e in panel.edges for name in (e.slug, e.line, e.seam)}
    for slug in seams:
        if slug in taken:
            raise DraftError(
                f"the garment has an edge called {slug!r} already.",
                where=f"seam {slug}",
                advice="Call the edge of the costume something else, such as "
                f"{slug}_seam, or leave it out of seams.",
            )


def refuse_crossing(plan: PanelPlan, own: Mapping[str, Mask], faces: Indices) -> None:
    """Refuse two seams of which each goes on beyond the other. own : face sides on each, (m, 3)."""
    count = int(faces.max()) + 1
    through: dict[str, set[int]] = {}
    for slug, on in own.items():
        keys = np.unique(side_keys(faces, on)[0])
        ends = np.bincount(np.concatenate(np.divmod(keys, count)), minlength=count)
        through[slug] = set(np.flatnonzero(ends >= 2).tolist())
    slugs = list(through)
    for k, first in enumerate(slugs):
        for second in slugs[k + 1 :]:
            if through[first] & through[second]:
                raise DraftError(
                    f"the seams {first} and {second} cross in the {in_words(plan.slug)}.",
                    where=f"seam {second}",
                    advice=f"End {second} at {first}; go on beyond it with another edge if it should.",
                )


def refuse_ring_inside(
    plan: PanelPlan, own: Mapping[str, Mask], faces: Indices, edge_of: Mapping[tuple[int, int], int]
) -> None:
    """A seam that divides a panel and meets neither its outline nor another seam is a window."""
    count = int(faces.max()) + 1
    outline = {vertex for step in edge_of for vertex in step}
    met = {
        slug: {v for key in np.unique(side_keys(faces, on)[0]) for v in divmod(int(key), count)}
        for slug, on in own.items()
    }
    for slug, vertices in met.items():
        others = outline.union(*(v for other, v in met.items() if other != slug))
        if vertices and not vertices & others:
            raise DraftError(
                f"the seam closes on itself inside the {in_words(plan.slug)}.",
                where=f"seam {slug}",
                advice='Make it a window instead: windows = [...], with a backing and backing_as = "inset".',
            )


def refuse_narrow(faces: Indices, places: Points, words: str) -> None:
    """Refuse a sliver, by twice its area over its outline: no mesh comes of it on any body."""
    area = float(TriangleMesh(places, faces).face_areas().sum())
    keys, _ = side_keys(faces, np.ones(faces.shape, dtype=bool))
    once, uses = np.unique(keys, return_counts=True)
    a, b = np.divmod(once[uses == 1], int(faces.max()) + 1)
    outline = float(np.linalg.norm(places[a] - places[b], axis=1).sum())
    if 2.0 * area / outline < 0.6 * NARROWEST:
        refuse_too_narrow(words)


def refuse_too_narrow(words: str) -> None:
    """Raise DraftError for a part that cannot be sewn."""
    raise DraftError(
        f"a part is narrower than {NARROWEST:.0f} mm and cannot be sewn.",
        where=words,
        advice="Move that seam away from the edge or seam beside it, or sew a ribbon on instead.",
    )


def side_keys(faces: Indices, sides: Mask) -> tuple[Indices, Indices]:
    """Chosen sides of faces as unordered pairs of vertices, one number each, and the row of each."""
    row, corner = np.nonzero(sides)
    a, b = faces[row, (corner + 1) % 3], faces[row, (corner + 2) % 3]
    keys: Indices = np.minimum(a, b) * (int(faces.max()) + 1) + np.maximum(a, b)
    return keys, row


def in_words(slug: str) -> str:
    """A name as a maker would say it."""
    return slug.replace("_", " ")
