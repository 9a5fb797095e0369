"""A line right round a limb, drawn smooth through marks that are not quite sure."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Points = NDArray[np.float64]

HARMONICS = 12
"""Waves round the body that a band may follow; a finer scallop is a motif, not an edge."""

STIFFNESS: Points = 10.0 ** np.arange(-9.0, 3.1, 0.5)
"""Weights of the bending penalty that are tried."""

NEARLY_BEST = 1.1
"""The stiffest curve within this factor of the best cross-validation score is taken: pictures disagree by a
step where one ends and the next begins, which plain cross-validation would follow."""


@dataclass(frozen=True, slots=True, eq=False)
class Band:
    """Station as a function of the way round: waves, and a kink at every corner."""

    coefficients: Points
    corners: Points

    def station(self, around: Points) -> Points:
        """Stations at ways round the body, (m,)."""
        result: Points = _terms(around, self.corners) @ self.coefficients
        return result


def smooth_band(around: Points, station: Points, spread: Points, corners: Points) -> Band:
    """The periodic smoothing spline through marks of unequal spread, with slopes free to break at corners.

    around, station, spread : (m,), spread positive, its scale of no account. corners : (c,) ways round.
    The bending penalty is weighed by generalised cross-validation (Craven and Wahba, Numerische Mathematik
    31, 1979). A plane cut (first wave) is nearly free, so marks on one side lead the other on the same plane.
    """
    terms = _terms(around, corners)
    weight = np.minimum(spread.mean() / spread, 4.0)
    rows, target = terms * weight[:, None], station * weight
    bend = np.zeros(terms.shape[1])
    order = np.repeat(np.arange(1, HARMONICS + 1), 2)
    bend[1 : 1 + len(order)] = (order**2 - 0.9) ** 2
    scale = float(np.trace(rows.T @ rows)) / terms.shape[1]
    normal = rows.T @ rows
    scores: list[float] = []
    fits: list[Points] = []
    for stiffness in STIFFNESS:
        system = normal + np.diag(stiffness * scale * bend + 1e-10 * scale)
        hat = np.linalg.solve(system, rows.T)
        fit = hat @ target
        # The trace of rows @ hat.
        freedom = float((rows.T * hat).sum())
        # Counting freedom 1.4 times guards against following noise (Kim and Gu, Journal of the Royal
        # Statistical Society B 66, 2004); what joins every mark has no say at all.
        left = len(target) - 1.4 * freedom
        missed = float(((rows @ fit - target) ** 2).sum())
        scores.append(missed * len(target) / left**2 if left > 0.0 else np.inf)
        fits.append(fit)
    # Ratios of scores mean nothing below what a tape can tell: a thousandth of a station.
    floor = (1e-3) ** 2
    good = np.flatnonzero(np.array(scores) + floor <= NEARLY_BEST * (min(scores) + floor))
    return Band(fits[int(good[-1])], corners)


def _terms(around: Points, corners: Points) -> Points:
    """Constant, waves, and for each corner the periodic curve of constant bend with one break of slope."""
    turn = 2.0 * np.pi * np.outer(around, np.arange(1, HARMONICS + 1))
    waves = np.stack([np.cos(turn), np.sin(turn)], axis=2).reshape(len(around), -1)
    off = np.mod(around[:, None] - corners[None, :], 1.0)
    return np.hstack([np.ones((len(around), 1)), waves, off * (1.0 - off)])
