"""How much softer a panel's outline is because its faces turn along.

Held at their present turns, faces resist bending of the whole panel far more than they do, and a long panel
would creep to its best shape over a hundred steps. The energy's part that fixed turns leave out is minus the
sum of |r| over faces, r the pull of the flat face on its turn; its second derivative is minus the square of
what of r's change lies across r, over |r|. Only slow waves of the outline matter, so it is worked out for
them alone.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csr_matrix

from layfigure.draft.flatten.outline import OutlineEdge, SeamSpeed
from layfigure.draft.flatten.settling import SettledPanels
from layfigure.draft.flatten.splines import coefficient_places

Complex = NDArray[np.complex128]
Reals = NDArray[np.float64]

HEADING_WAVES = 6
"""Slow waves of heading round the outline."""
SPEED_WAVES = 2
"""Slow waves of speed along a seam."""
SHORTEST_WAVE = 100.0
"""Half a wave of the shapes that the outline's slow moves are taken for [mm]."""
TRUST = 0.98
"""Share of the softness that is believed; the rest keeps the stiffness positive."""


def coarse_changes(edges: tuple[OutlineEdge, ...], speeds: tuple[SeamSpeed, ...]) -> Reals:
    """Slow waves of heading and of every seam's speed, as coefficients, (h + s, waves)."""
    starts = np.cumsum([0.0, *(edge.length for edge in edges)])
    places = [
        start + edge.length * coefficient_places(edge.spans)
        for start, edge in zip(starts[:-1], edges, strict=True)
    ]
    around = np.concatenate(places) / starts[-1]
    waves = np.arange(1, HEADING_WAVES + 1)
    headings = np.concatenate(
        [
            np.ones((around.size, 1)),
            np.cos(2.0 * np.pi * around[:, None] * waves),
            np.sin(2.0 * np.pi * around[:, None] * waves),
        ],
        axis=1,
    )
    seams = list(dict.fromkeys(edge.seam for edge in edges))
    blocks = [
        np.cos(np.pi * coefficient_places(speeds[seam].spans)[:, None] * np.arange(SPEED_WAVES + 1))
        for seam in seams
    ]
    rows = around.size + sum(block.shape[0] for block in blocks)
    coarse = np.zeros((rows, headings.shape[1] + sum(block.shape[1] for block in blocks)))
    row, column = 0, 0
    for block in (headings, *blocks):
        coarse[row : row + block.shape[0], column : column + block.shape[1]] = block
        row, column = row + block.shape[0], column + block.shape[1]
    return coarse


@dataclass(frozen=True, slots=True, eq=False)
class SlowShapes:
    """Slow shapes of a panel's outline, and where the inside settles for each.

    whole : (n, q) every vertex. shares : (q, b) takes moves of the outline to the shapes that come nearest to
    them. pulls : (m, 3) complex, what the corners of every face add to the pull on its turn, and faces :
    (m, 3) which these are. Values are in single precision.
    """

    whole: NDArray[np.float32]
    shares: NDArray[np.float32]
    pulls: NDArray[np.complex64]
    faces: NDArray[np.int32]


def slow_shapes(panels: SettledPanels, outlines: Sequence[tuple[OutlineEdge, ...]]) -> list[SlowShapes]:
    """Of each panel: straight between corners, and waves along every edge, none shorter than
    ``SHORTEST_WAVE`` by half.
    """
    stiffness, parts = panels.stiffness, panels.stiffness.mesh.parts
    shapes = [_outline_shapes(edges) for edges in outlines]
    # Side by side in the same columns: panels do not feel each other.
    moves = np.zeros((stiffness.loop.size, max(own.shape[1] for own in shapes)))
    for own, part in zip(shapes, parts, strict=True):
        moves[part.outline, : own.shape[1]] = own
    whole = np.empty((stiffness.mesh.count, moves.shape[1]), np.float32)
    whole[stiffness.loop] = moves
    whole[stiffness.inner] = panels.followed(moves)
    return [
        SlowShapes(
            np.ascontiguousarray(whole[part.vertices, : own.shape[1]]),
            np.linalg.pinv(own).astype(np.float32),
            stiffness.pulls[part.faces].conj().astype(np.complex64),
            (stiffness.faces[part.faces] - part.vertices.start).astype(np.int32),
        )
        for own, part in zip(shapes, parts, strict=True)
    ]


def _outline_shapes(edges: tuple[OutlineEdge, ...]) -> Reals:
    """Slow shapes of an outline as moves of its vertices, (b, q)."""
    columns = [edge.sigma[:-1] for edge in edges]
    starts = np.cumsum([0, *(column.size for column in columns)])
    waves = [np.pi * np.arange(1, 1 + max(1, round(edge.length / SHORTEST_WAVE))) for edge in edges]
    outline = np.zeros((int(starts[-1]), len(edges) + sum(wave.size for wave in waves)))
    first = len(edges)
    for k, (sigma, wave) in enumerate(zip(columns, waves, strict=True)):
        own = slice(int(starts[k]), int(starts[k + 1]))
        outline[own, k] += 1.0 - sigma
        outline[own, (k + 1) % len(edges)] += sigma
        outline[own, first : first + wave.size] = np.sin(sigma[:, None] * wave)
        first += wave.size
    return outline


def softened(
    shapes: SlowShapes, flat: Complex, rows: NDArray[np.float32], held: Reals, coarse: Reals
) -> Reals:
    """Stiffness against heading and speed with faces free to turn in slow waves, (k, k).

    rows : (2, b, k) derivatives of the outline. held : (k, k) stiffness for fixed turns. coarse : (k, c)
    waves.
    Returns ``held`` where softening would leave some wave no stiffness.
    """
    both = shapes.whole @ (shapes.shares @ (rows @ coarse.astype(np.float32)))
    pull = (shapes.pulls * flat.astype(np.complex64)[shapes.faces]).sum(axis=1, keepdims=True)
    share = shapes.pulls * (pull.conj() / np.maximum(np.abs(pull), 1e-12) ** 1.5)
    # The imaginary part of a face's share of moves x + iy, over its three corners' x and then their y.
    faces, n = shapes.faces, flat.size
    turned = csr_matrix(
        (
            np.concatenate([share.imag, share.real], axis=1).ravel(),
            np.concatenate([faces, faces + n], axis=1).ravel(),
            np.arange(0, 6 * len(faces) + 1, 6, dtype=np.int32),
        ),
        shape=(len(faces), 2 * n),
    )
    across = turned @ both.reshape(2 * n, -1)
    stiff = held @ coarse
    gram = coarse.T @ stiff
    ridge = 1e-9 * np.trace(gram) / gram.shape[0] * np.eye(gram.shape[0])
    soft = TRUST * (across.T @ across).astype(np.float64)
    try:
        np.linalg.cholesky(gram - soft + ridge)
    except np.linalg.LinAlgError:
        return held
    # Seen in the stiffness itself, every change is a slow wave and a rest square to all of them; only the
    # waves' part is softened, so what is left stays positive.
    shares = np.linalg.solve(gram + ridge, stiff.T)
    return np.asarray(held - shares.T @ soft @ shares, dtype=np.float64)
