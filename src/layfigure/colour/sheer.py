"""Sheer cloth over something else: how much it covers, also stretched, and what comes through."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from layfigure.colour.light import weights

Array = NDArray[np.float64]

PLAIN, SPREAD_LIGHT = 1.0, 2.0
"""How far light runs sideways inside the threads before it comes out: not at all, and fully. A photograph
does not tell which, so both are carried as the answer's spread."""


def net_coverage(thread: float, pitch: float) -> float:
    """Covered share of a square net of threads so thick and so far apart [mm]: geometry."""
    return 1.0 - (1.0 - thread / pitch) ** 2


def stretched_coverage(coverage: ArrayLike, across: float, along: float) -> Array:
    """Covered share once stretched by shares each way, threads as thick as before.

    The net is taken as square at rest, whatever its true holes; geometry, TRADE.md section 10.
    """
    share = 1.0 - np.sqrt(1.0 - np.asarray(coverage, dtype=np.float64))
    result: Array = 1.0 - (1.0 - share / (1.0 + across)) * (1.0 - share / (1.0 + along))
    return result


def over(threads: ArrayLike, beneath: ArrayLike, coverage: ArrayLike, n: ArrayLike = PLAIN) -> Array:
    """Reflectance of a sheer over something, by the covered share; shapes broadcast.

    n = 1 : Murray and Davies, light goes straight through or back. n = 2 : Yule and Nielsen, it runs
    sideways in full and the whole darkens. Reflectances, or X, Y, Z for n = 1; never picture codes.
    TRADE.md section 10.
    """
    a, power = np.asarray(coverage), 1.0 / np.asarray(n, dtype=np.float64)
    mixed = a * np.asarray(threads) ** power + (1.0 - a) * np.asarray(beneath) ** power
    result: Array = mixed ** (1.0 / power)
    return result


def coverage_on_two_grounds(
    over_light: Array, light: Array, over_dark: Array, dark: Array
) -> tuple[Array, Array]:
    """Covered share, and reflectance of the threads, from the sheer over a light and a dark ground.

    All (…, 81) reflectances. The difference of the grounds' lightness is seen through what is open: open =
    (over light - over dark) / (light - dark), in Y of daylight, as if light went straight through.
    """
    lightness = weights("D65")[:, 1]
    seen = (over_light - over_dark) @ lightness
    bare = (light - dark) @ lightness
    opening = np.clip(seen / np.where(np.abs(bare) < 1e-6, 1e-6, bare), 0.02, 0.98)
    coverage = 1.0 - opening
    threads = (over_dark - opening[..., None] * dark) / coverage[..., None]
    return coverage, np.clip(threads, 0.0, 1.0)
