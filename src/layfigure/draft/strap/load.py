"""Where the weight goes: shares of a load over the places it hangs from, by statics alone.

Straps are strings: they pull, never push, and the load hangs still. Friction and stiffness would only spread
the load more evenly than this says, or less; try it on.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.optimize import nnls

from layfigure.units import format_share

Points = NDArray[np.float64]

GRAVITY = 9.80665

MOVING = {"walking": 3.0, "dancing": 5.0}
"""Design load over the weight at rest (common practice, no source): walking 3, dancing or crowds 5."""

RUBBING = 0.4
"""Friction of leather or webbing on cloth (from memory: 0.3 to 0.5)."""


def support_shares(places: ArrayLike, centre: ArrayLike) -> tuple[Points, float]:
    """Shares of a weight over the places it hangs from, (n,), and how far it hangs askew [mm].

    places : (n, 3) of the supports, centre : (3,) of mass, z up [mm]. Level moments decide; where they leave
    a choice, the most even one. A centre outside the supports makes the load swing until it hangs below them.
    """
    p = np.atleast_2d(np.asarray(places, dtype=np.float64))[:, :2]
    c = np.asarray(centre, dtype=np.float64)[:2]
    far = max(1.0, float(np.abs(p - c).max()))
    heavy = 1e4
    # Balance weighs so much more than evenness that it is met wherever it can be.
    rows = np.vstack([heavy * np.ones(len(p)), heavy * (p - c).T / far, np.eye(len(p))])
    wanted = np.concatenate([[heavy, 0.0, 0.0], np.zeros(len(p))])
    shares, _ = nnls(rows, wanted)
    shares = shares / shares.sum()
    return shares, float(np.linalg.norm(shares @ p - c))


def branch_pulls(directions: ArrayLike, outward: ArrayLike) -> Points:
    """Pulls in the two ends of a strap that meet at a hanging weight, in multiples of the weight, (2,).

    directions : (2, 3) unit, from the weight along both ends. outward : (3,) the body's push. z up.
    """
    d = np.asarray(directions, dtype=np.float64)
    n = np.asarray(outward, dtype=np.float64)
    pulls, _ = nnls(np.column_stack([d[0], d[1], n]), np.array([0.0, 0.0, 1.0]))
    result: Points = pulls[:2]
    return result


def sideways(turn: float) -> float:
    """Sideways pull of a strap that turns on the body [rad], in multiples of the pull in it."""
    return 2.0 * math.sin(0.5 * abs(turn))


def slips(turn: float, wrap: float, friction: float = RUBBING, *, kept: float = 0.0) -> float:
    """Sideways pull of a strap that turns on the body, over what holds it: above 1 it slides.

    turn : sideways [rad]; wrap : how far it bends over the body there [rad]. kept : what something set there
    holds beside friction, in multiples of the pull. A string under a pull T that
    bends by a small angle presses with T times that angle; over the whole wrap the pressure adds up to T wrap
    (the capstan's law without its growth).
    """
    return sideways(turn) / max(friction * abs(wrap) + kept, 1e-9)


_SAID = (
    (0.97, "all of"),
    (0.85, "nearly all of"),
    (0.65, "most of"),
    (0.55, "more than half of"),
    (0.45, "about half of"),
    (0.38, "less than half of"),
    (0.28, "about a third of"),
    (0.2, "about a quarter of"),
    (0.07, "a little of"),
)


def share_words(share: float) -> str:
    """A share as a maker would say it, with its number."""
    words = next((said for least, said in _SAID if share >= least), "hardly any of")
    return f"{words} the weight ({format_share(round(share, 2))})"
