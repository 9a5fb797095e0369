"""A panel's outline as its mesh has it: loop, corner angles, positions along edges."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from layfigure.draft.flatten.panel import Panel
from layfigure.draft.flatten.refusals import folded_over
from layfigure.errors import DraftError

Complex = NDArray[np.complex128]
Reals = NDArray[np.float64]
Indices = NDArray[np.int64]


def outline_loop(panel: Panel) -> Indices:
    """The panel's outline vertices in loop order, (b,).

    Raises DraftError unless its edges are the whole border.
    """
    for edge, following in zip(panel.outline, panel.outline[1:] + panel.outline[:1], strict=True):
        if edge.vertices.size < 2 or edge.vertices[-1] != following.vertices[0]:
            raise DraftError(
                f"edge {edge.slug!r} does not end where {following.slug!r} starts.", where=panel.slug
            )
    loop = _loop(panel)
    n = panel.vertices.shape[0]
    tails, heads = panel.faces.ravel(), panel.faces[:, [1, 2, 0]].ravel()
    next_to = np.full(n, -1)
    next_to[loop] = np.roll(loop, -1)
    sides = np.sort(np.minimum(tails, heads) * n + np.maximum(tails, heads))
    twice = np.count_nonzero(sides[1:] == sides[:-1])
    # Every side that one face alone has must be a step of the loop, and every step such a side.
    if np.count_nonzero(next_to[tails] == heads) != loop.size or sides.size - 2 * twice != loop.size:
        raise DraftError("the edges are not the border of the panel's mesh.", where=panel.slug)
    return loop


def _loop(panel: Panel) -> Indices:
    return np.concatenate([edge.vertices[:-1] for edge in panel.outline])


def inner_angles(panel: Panel, corners: Complex) -> Reals:
    """Sum of the faces' angles at every vertex, (n,) [rad], from the faces' corners, (m, 3) complex."""
    angles = np.empty(corners.shape)
    for k in range(3):
        u, v = (corners[:, (k + s) % 3] - corners[:, k] for s in (1, 2))
        angles[:, k] = np.angle(u.conj() * v)
    sums = np.bincount(panel.faces.ravel(), weights=angles.ravel(), minlength=panel.vertices.shape[0])
    return np.asarray(sums, dtype=np.float64)


def corner_angles(panel: Panel, corners: Complex) -> Reals:
    """Inner angle at the start of every edge, (k,) [rad], from the faces' corners, (m, 3) complex."""
    return inner_angles(panel, corners)[[edge.vertices[0] for edge in panel.outline]]


def headings_round(panel: Panel, flat: Complex) -> Reals:
    """Heading of every step of the loop, (b,) [rad], running on without jumps. flat : (n,) complex.

    Turns are those of the faces' angles: where these add up to more than a full turn, a tight notch covers
    itself, and the places alone would tell a turn the other way.
    Raises DraftError where they do not add up to one turn: nothing flat without folds has such an outline.
    """
    loop = _loop(panel)
    turns = np.pi - inner_angles(panel, flat[panel.faces])[loop]
    if abs(turns.sum() - 2.0 * np.pi) > 1.0:
        raise folded_over(panel.slug)
    first = float(np.angle(flat[loop[1]] - flat[loop[0]]))
    return np.asarray(first + np.cumsum(turns) - turns[0], dtype=np.float64)


def positions_along(panel: Panel, vertices: Indices) -> tuple[Reals, float]:
    """Share of the length at each vertex of an edge, and the length on the body [mm]."""
    lengths = np.linalg.norm(np.diff(panel.vertices[vertices], axis=0), axis=1)
    total = float(lengths.sum())
    return np.concatenate([[0.0], np.cumsum(lengths)]) / total, total
