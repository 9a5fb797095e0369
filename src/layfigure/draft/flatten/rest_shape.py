"""The shape every face of a panel would have lying free on the table, with the ease already in it.

Ease put in here is trued with everything else. Shrinking a finished flat piece instead would change
its seams unequally, and mates would no longer match.

Points of the plane are complex numbers throughout this folder: turning is then a multiplication.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from layfigure.draft.flatten.panel import Ease, Panel
from layfigure.errors import DraftError

Complex = NDArray[np.complex128]
Reals = NDArray[np.float64]

THIN = 0.05
"""Least height of a face over its longest side."""
KEPT_PANELS = 32
"""Panels of a few garments: checks, windows and notches ask again for what truing has asked for."""


@lru_cache(maxsize=KEPT_PANELS)
def rest_triangles(panel: Panel, ease: Ease) -> Complex:
    """Corners of every face as it lies free, (m, 3) complex [mm], counter-clockwise.

    The face's true side lengths are laid out with the first corner at 0 and the second on the real axis,
    then scaled by 1 + ease in the ``around`` direction and square to it.
    Raises DraftError where faces have no area or the ease leaves none.
    """
    if min(ease.around, ease.along) <= -0.9:
        raise DraftError(
            f"an ease of {min(ease.around, ease.along):.0%} leaves no cloth.",
            where=panel.slug,
            advice="Negative ease of close knits is -5 % to -20 %.",
        )
    triangles = laid_out_panel(panel)
    if ease.around == 0.0 and ease.along == 0.0:
        return triangles
    turn = around_in_plane(panel, triangles)
    along_axes = triangles * turn.conj()[:, None]
    stretched = (1.0 + ease.around) * along_axes.real + 1j * (1.0 + ease.along) * along_axes.imag
    return _kept(stretched * turn[:, None])


@lru_cache(maxsize=KEPT_PANELS)
def laid_out_panel(panel: Panel) -> Complex:
    """Corners of every face in its own plane, without ease, (m, 3) complex [mm].

    Faces thinner than ``THIN`` are thickened. Raises DraftError where more than 2 % of all are.
    """
    if panel.side_lengths is None:
        a, b, c = (panel.vertices[panel.faces[:, k]] for k in range(3))
        sides = np.stack([np.linalg.norm(side, axis=1) for side in (c - b, a - c, b - a)])
    else:
        sides = np.asarray(panel.side_lengths, dtype=np.float64).T
    triangles = _laid_out(sides)
    thin = triangles[:, 2].imag < THIN * sides.max(axis=0)
    if thin.mean() > 0.02:
        raise DraftError(
            "the panel's mesh has many faces without area.",
            where=panel.slug,
            advice="The body is creased there: move the panel's edges out of the crease.",
        )
    # A face pressed flat in a crease of the body gets a little height back, or it would outweigh all others.
    triangles[thin, 2] = triangles[thin, 2].real + 1j * THIN * sides.max(axis=0)[thin]
    return _kept(triangles)


def _kept(triangles: Complex) -> Complex:
    """What several ask for, so that none changes it."""
    triangles.setflags(write=False)
    return triangles


def _laid_out(sides: Reals) -> Complex:
    """Triangles from side lengths opposite each corner, (3, m) to (m, 3)."""
    opposite_first, opposite_second, base = sides
    foot = (base**2 + opposite_second**2 - opposite_first**2) / (2.0 * base)
    height = np.sqrt(np.maximum(opposite_second**2 - foot**2, 0.0))
    return np.stack([np.zeros_like(base) + 0j, base + 0j, foot + 1j * height], axis=1)


def around_in_plane(panel: Panel, triangles: Complex) -> Complex:
    """Unit direction round the body in each face laid out in the plane, (m,) complex.

    triangles : (m, 3) complex corners, each first corner at 0.
    """
    a, b, c = (panel.vertices[panel.faces[:, k]] for k in range(3))
    u, v = b - a, c - a
    # The direction is written in the face's own two sides, which carries it from space to the table.
    uu, uv, vv = (np.einsum("ij,ij->i", p, q) for p, q in ((u, u), (u, v), (v, v)))
    tu, tv = (np.einsum("ij,ij->i", p, panel.around) for p in (u, v))
    determinant = uu * vv - uv**2
    share_u, share_v = (vv * tu - uv * tv) / determinant, (uu * tv - uv * tu) / determinant
    direction = share_u * triangles[:, 1] + share_v * triangles[:, 2]
    size = np.abs(direction)
    if np.any(size < 1e-9):
        face = int(np.argmin(size))
        raise DraftError(f"face {face} has no direction round the body.", where=panel.slug)
    return np.asarray(direction / size, dtype=np.complex128)


def face_stretches(rest: Complex, flat: Complex, faces: NDArray[np.int64]) -> tuple[Reals, Reals]:
    """How far each face must stretch from flat to its rest shape, and whether it lies the right way up.

    rest : (m, 3) complex. flat : (n,) complex. Returns (m, 2) smallest and greatest stretch (0 is none), and
    (m,) area of the flat face over its rest area, negative where the face is turned over.
    """
    u, v = (flat[faces[:, k]] - flat[faces[:, 0]] for k in (1, 2))
    p, q = (rest[:, k] - rest[:, 0] for k in (1, 2))
    area = (p.conj() * q).imag
    # Any linear map of the plane is z -> alpha z + beta conj(z); its singular values are |alpha| ± |beta|.
    alpha = (u * q.conj() - v * p.conj()) / (p * q.conj() - q * p.conj())
    beta = (u * q - v * p) / (p.conj() * q - q.conj() * p)
    greatest, smallest = np.abs(alpha) + np.abs(beta), np.abs(np.abs(alpha) - np.abs(beta))
    safe = np.maximum(smallest, 1e-9)
    stretch = np.stack([1.0 / np.maximum(greatest, 1e-9) - 1.0, 1.0 / safe - 1.0], axis=1)
    return stretch, (u.conj() * v).imag / area
