"""Edges that are true when cloth is folded: pleats, tucks and darts.

Folded cloth lies in layers that are mirror images of each other about the folds between them. An edge is
true when all layers end on one line, so the part hidden in a fold is found by mirroring what covers it.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from layfigure.geometry.polyline import arc_lengths

Points = NDArray[np.float64]


def mirrored(points: ArrayLike, line: ArrayLike) -> Points:
    """Mirror image of points (n, 2) in the line through two places (2, 2)."""
    p, (a, b) = np.asarray(points, dtype=np.float64), np.asarray(line, dtype=np.float64)
    along = (b - a) / np.linalg.norm(b - a)
    off = p - a
    image: Points = a + 2.0 * (off @ along)[:, None] * along - off
    return image


def hidden_edge(cover: ArrayLike, crease: ArrayLike, inner: ArrayLike) -> Points:
    """Edge of the cloth hidden in a knife pleat, true when it is folded.

    cover : (n, 2) edge of the cloth that lies on the pleat, from the crease away from the pleat; it is
    run on straight where the pleat is deeper than it is long. crease, inner : (2, 2) lines at which the
    cloth turns
    under and turns back. Returns (m, 2) from the crease to where the crease comes to lie. Raises ValueError
    for an inner fold that the hidden edge never meets.
    """
    edge = np.asarray(cover, dtype=np.float64)
    fold = np.asarray(inner, dtype=np.float64)
    ahead = edge[-1] - edge[-2]
    ahead /= np.linalg.norm(ahead)
    reach = 2.0 * float(np.abs(np.asarray(crease) - fold[:1]).max()) + float(arc_lengths(edge)[-1])
    under = mirrored(np.vstack([edge, edge[-1] + reach * ahead]), crease)
    along = fold[1] - fold[0]
    side = along[0] * (under - fold[0])[:, 1] - along[1] * (under - fold[0])[:, 0]
    past = np.flatnonzero(np.sign(side) != np.sign(side[0]))
    if len(past) == 0:
        raise ValueError("the hidden edge does not meet the inner fold")
    last = int(past[0])
    share = side[last - 1] / (side[last - 1] - side[last])
    turn = under[last - 1] + share * (under[last] - under[last - 1])
    first = np.vstack([under[:last], turn]) if share > 1e-9 else under[:last]
    return np.vstack([first, mirrored(first[-2::-1], fold)])
