"""Letting the most stretched places count for more, so that stretch is shared out over the panel.

Least squares alone stretches a bust or an elbow further than need be, while the cloth about it is hardly
stretched at all. Faces are weighted once, by how far plain flattening stretches them and the cloth about
them: as far about, in millimetres, on a coarse mesh as on a fine one, or outlines would depend on the mesh.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csr_matrix
from scipy.sparse.linalg import cg

from layfigure.draft.flatten.arap import PanelStiffness
from layfigure.draft.flatten.rest_shape import face_stretches

Complex = NDArray[np.complex128]
Reals = NDArray[np.float64]

HARMLESS = 0.03
"""Stretch that adds no weight, a share."""
DOUBLING = 0.06
"""Stretch beyond that which doubles the weight."""
GREATEST_WEIGHT = 9.0
SMOOTHING = 9.0
"""Length over which stretch is averaged [mm]: weights that jump from face to face would make the outline
rough. Half of it comes from within 1.26 times as far."""
TOLERANCE = 1e-8
"""Of the averaging, a share of all panels' stretch together: no panel's is then off by a millionth."""


def stretch_weights(stiffness: PanelStiffness, flat: Complex) -> Reals:
    """Weight of every face, (m,), 1 where a plain flat placing hardly stretches it."""
    stretch, _ = face_stretches(stiffness.rest, flat, stiffness.faces)
    far = _smoothed(stiffness, np.minimum(np.abs(stretch).max(axis=1), 1.0))
    beyond = np.maximum(far - HARMLESS, 0.0) / DOUBLING
    return np.asarray(np.minimum(1.0 + beyond**2, GREATEST_WEIGHT), dtype=np.float64)


def _smoothed(stiffness: PanelStiffness, values: Reals) -> Reals:
    """Values of faces spread like heat in one implicit step, (m,).

    (A + SMOOTHING² K) u = A v with the areas A at the vertices and the panel's own stiffness K, as plain
    stiffness conducts heat too.
    """
    faces, n = stiffness.faces, stiffness.mesh.count
    u, v = stiffness.rest[:, 1] - stiffness.rest[:, 0], stiffness.rest[:, 2] - stiffness.rest[:, 0]
    thirds = (u.conj() * v).imag / 6.0
    areas = np.bincount(faces.ravel(), weights=np.repeat(thirds, 3), minlength=n)
    gathered = np.bincount(faces.ravel(), weights=np.repeat(thirds * values, 3), minlength=n)
    sides = stiffness.mesh.ends
    conducted = SMOOTHING**2 * stiffness.values
    diagonal = areas + conducted[len(sides) :]
    at = np.arange(n)
    rows, columns = np.r_[sides[:, 0], sides[:, 1], at], np.r_[sides[:, 1], sides[:, 0], at]
    between = conducted[: len(sides)]
    # Scaled to ones on the diagonal, it is so near the unit matrix that a dozen steps all but solve it.
    scale = 1.0 / np.sqrt(diagonal)
    system = csr_matrix((np.r_[between, between, diagonal] * scale[rows] * scale[columns], (rows, columns)))
    solved, _ = cg(system, scale * gathered, x0=gathered / areas / scale, rtol=TOLERANCE)
    return np.asarray((scale * solved)[faces].mean(axis=1), dtype=np.float64)
