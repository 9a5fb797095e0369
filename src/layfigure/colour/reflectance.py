"""Reflectances that a colour may have: its three numbers leave most of the spectrum open."""

from __future__ import annotations

from functools import cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

from layfigure.colour.light import WAVES, weights

Array = NDArray[np.float64]

SMOOTHNESS = 60.0
"""Wavelengths this far apart still go together in dyes, paints and skin [nm]."""
LIVELINESS = 1.1
"""Spread of the log-odds of a reflectance about its own level."""
LEVEL, LEVEL_SPREAD = -1.4, 1.2
"""Log-odds of a middling reflectance (0.2), and their spread from thing to thing. All four figures were
chosen so that the 99 measured samples of CIE 224:2017 change with the light as this module expects of
them: see benchmarks/colour.py, ``other lights``."""

_LEAST = 0.002
_STEPS = 12


def smooth_reflectance(xyz: ArrayLike) -> Array:
    """(81,) the likeliest reflectance of a colour X, Y, Z in daylight (D65): smooth, and between 0 and 1."""
    return _sigmoid(_likeliest(_possible(xyz)))


def plausible_reflectances(xyz: ArrayLike, random: np.random.Generator) -> Array:
    """(n, 81) one reflectance for each of (n, 3) X, Y, Z in daylight: what real things of the colour may
    have.

    Drawn from a normal law of smooth log-odds, held to the colour. Two things of one colour differ in other
    light as two such draws differ; a photograph cannot tell which it is.
    """
    xyz = np.atleast_2d(_possible(xyz))
    centre = _likeliest(np.median(xyz, axis=0))
    jacobian = _jacobian(centre[None])[0]
    gain = _covariance() @ jacobian.T @ np.linalg.inv(jacobian @ _covariance() @ jacobian.T)
    free = random.standard_normal((len(xyz), len(WAVES))) @ _root().T
    return _sigmoid(_held(centre + free - free @ (gain @ jacobian).T, xyz))


def _likeliest(xyz: Array) -> Array:
    """(81,) log-odds, by Gauss-Newton steps from the middling reflectance."""
    x: Array = np.full(len(WAVES), LEVEL)
    for _ in range(_STEPS):
        jacobian = _jacobian(x[None])[0]
        missing = xyz - _sigmoid(x) @ weights("D65") + jacobian @ (x - LEVEL)
        inner = jacobian @ _covariance() @ jacobian.T + 1e-9 * np.eye(3)
        target = LEVEL + _covariance() @ jacobian.T @ np.linalg.solve(inner, missing)
        # Half steps far off, whole ones near: a saturated colour overshoots otherwise.
        change = target - x
        x = x + change * min(1.0, 1.5 / max(float(np.abs(change).max()), 1e-12))
    held: Array = _held(x[None], xyz[None])[0]
    return held


def _held(x: Array, xyz: Array) -> Array:
    """Log-odds moved as little as the law allows until their colours are those asked for."""
    for _ in range(_STEPS):
        jacobian = _jacobian(x)
        missing = xyz - _sigmoid(x) @ weights("D65")
        inner = jacobian @ _covariance() @ jacobian.transpose(0, 2, 1)
        # A colour that no surface can have leaves nothing to move by.
        inner += 1e-9 * np.eye(3)
        multipliers = np.linalg.solve(inner, missing[..., None])[..., 0]
        change = np.einsum("nk,nki->ni", multipliers, jacobian) @ _covariance()
        most = np.maximum(np.abs(change).max(axis=1, keepdims=True), 1e-12)
        x = x + change * np.minimum(1.0, 2.0 / most)
        if most.max() < 1e-7:
            break
    return x


def _possible(xyz: ArrayLike) -> Array:
    """Away from black, where log-odds run off."""
    white = weights("D65").sum(axis=0)
    return np.clip(np.asarray(xyz, dtype=np.float64), _LEAST * white, 0.98 * white)


def _jacobian(x: Array) -> Array:
    """(n, 3, 81) change of X, Y, Z with the log-odds."""
    slope = _sigmoid(x) * (1.0 - _sigmoid(x))
    result: Array = weights("D65").T[None] * slope[:, None, :]
    return result


def _sigmoid(x: Array) -> Array:
    result: Array = 1.0 / (1.0 + np.exp(-np.clip(x, -40.0, 40.0)))
    return result


@cache
def _covariance() -> Array:
    apart = (WAVES[:, None] - WAVES[None, :]) / SMOOTHNESS
    result: Array = LEVEL_SPREAD**2 + LIVELINESS**2 * np.exp(-0.5 * apart**2) + 1e-6 * np.eye(len(WAVES))
    return result


@cache
def _root() -> Array:
    result: Array = np.linalg.cholesky(_covariance()).astype(np.float64)
    return result
