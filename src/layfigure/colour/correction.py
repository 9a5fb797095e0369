"""A photograph's correction, fitted to what is known in it, and how far it can be trusted.

All that is known speaks at once: grey cards, a chart's patches, a plain sheet seen in several places. What
nothing in the picture tells stays at what cameras usually do, with the spread they usually have, so one
grey card, a home-made chart and a full one are the same fit with more or less to go by. The spread of the
answer follows from the fit.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import least_squares

from layfigure.colour.camera import COUNT, GAINS, USUAL, Seen, corrected
from layfigure.colour.light import LightName

Array = NDArray[np.float64]

GREY_SPREAD = 0.5
"""Spread of a grey's colour about what its reflectance says, as CIEDE2000 counts, in each direction."""
CAMERA_SPREAD = 1.5
"""Spread of a colour after the best correction, before the chart's own misfits say better: a camera does not
see as the eye does. In each direction, as CIEDE2000 counts."""
CAMERA_WEIGHT = 6.0
"""How many patches' misfits that figure counts for."""
WITHOUT_CHART = 1.2
"""Times as much where no coloured patch was in the picture to fit by."""
BY_LIGHT: Mapping[LightName, float] = MappingProxyType(
    {"daylight": 1.0, "incandescent": 1.7, "fluorescent": 1.1, "three_band": 1.3, "led": 1.3}
)
"""Times as much under a light that is not the one the colour is told for."""
SKIN = 1.3
"""Times as much for skin, whose spectrum is like no paint's. All of these are held against simulated
photographs by benchmarks/colour.py."""
BY_AXIS = np.array([0.5, 1.0, 1.0])
"""What a camera gets wrong in lightness, chroma and hue, as a share of that spread: lightness least."""
TOO_PURE = 2.5
"""Times as much for a colour purer than the picture can hold."""
FAR_BALANCE, PER_BALANCE = 0.15, 4.0
"""A white balance further off than this (red or blue beside green, log) is mended after the camera's own
mixing and not before it, where it arose: so many times more misfit for each unit beyond."""
SHARED_MISFIT, SHARED_WITHIN = 0.1, 20.0
"""Share of that spread (variance) which colours within about so much CIELAB of each other have in common."""
SHEET_SPREAD = 30.0
"""A plain sheet of unknown colour may have any, within this of a light grey [CIELAB]."""
_SHEET_START = np.array([80.0, 0.0, 0.0])
_RANDOM_SEED = 20_07


@dataclass(frozen=True, slots=True, kw_only=True)
class Known:
    """Something in the picture of which something is known.

    rgb (3,) linear light and place (2,) of it. lab : (3,) its colour; None for a piece of plain sheet
    number ``sheet``, whose pieces are alike. spread : of that knowledge, CIEDE2000. grey : it has no colour
    of its own.
    """

    name: str
    rgb: Array
    place: Array
    lab: Array | None = None
    sheet: int = 0
    spread: float = GREY_SPREAD
    grey: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Correction:
    """The fit. figures : (k,) best, of which the first are ``camera``'s; root : (k, k), root @ root.T their
    covariance. misfit : spread of one colour about its corrected one. left : (n, 3) what is left of each
    known, CIEDE2000 units. centre, scale : of places [px].
    """

    figures: Array
    root: Array
    misfit: float
    knowns: tuple[Known, ...]
    left: Array
    to_xyz: Array
    centre: Array
    scale: float

    @property
    def off_balance(self) -> float:
        """How far the camera's white balance was off: red or blue beside green, log."""
        return float(np.abs(self.figures[GAINS][1:]).max())

    def lab(self, rgb: Array, places: Array) -> Array:
        """(n, 3) best L*, a*, b* of linear light (n, 3) at places (n, 2) [px]."""
        return corrected(self.figures[:COUNT], self._seen(rgb, places), self.to_xyz)

    def clouds(self, rgb: Array, places: Array, shaken: Array, wider: Array, count: int) -> Array:
        """(count, n, 3) colours the things seen may have: together, so that shared faults stay shared.

        shaken : (n, 3) own spread of each measured light, as a share of it. wider : (n,) times the usual
        misfit of the camera that each may have: ``SKIN`` for skin, ``TOO_PURE``.
        """
        random = np.random.default_rng(_RANDOM_SEED)
        best = self.lab(rgb, places)
        apart = np.linalg.norm(best[:, None] - best[None], axis=-1) / SHARED_WITHIN
        together = SHARED_MISFIT * np.exp(-0.5 * apart**2) + (1.0 - SHARED_MISFIT) * np.eye(len(best))
        together_root = np.linalg.cholesky(together + 1e-9 * np.eye(len(best)))
        wide = self.misfit * wider
        widths = wide[:, None, None] * np.stack([unit_steps(lab) for lab in best])
        draws = []
        for _ in range(count):
            figures = self.figures + self.root @ random.standard_normal(len(self.figures))
            light = rgb * np.exp(shaken * random.standard_normal(rgb.shape))
            lab = corrected(figures[:COUNT], self._seen(light, places), self.to_xyz)
            noise = BY_AXIS * (together_root @ random.standard_normal((len(best), 3)))
            draws.append(lab + np.einsum("nij,nj->ni", widths, noise))
        return np.array(draws)

    def _seen(self, rgb: Array, places: Array) -> Seen:
        return Seen(rgb, (places - self.centre) / self.scale)


def fit_correction(
    knowns: Sequence[Known],
    *,
    to_xyz: Array,
    size: tuple[int, int],
    light: LightName = "daylight",
) -> Correction:
    """The likeliest correction. size : of the picture [px]. light : it was taken in.

    With nothing known the answer is what cameras usually do, and as wide. Never raises on numbers.
    """
    camera_spread = CAMERA_SPREAD * BY_LIGHT[light]
    places = np.array([known.place for known in knowns]).reshape(-1, 2)
    centre = np.array(size) / 2.0
    scale = float(np.hypot(*size)) / 2.0
    seen = Seen(np.array([known.rgb for known in knowns]).reshape(-1, 3), (places - centre) / scale)
    sheets = sorted({known.sheet for known in knowns if known.lab is None})
    wanted = np.array([known.lab if known.lab is not None else _SHEET_START for known in knowns]).reshape(
        -1, 3
    )
    slot = np.array([sheets.index(known.sheet) if known.lab is None else -1 for known in knowns], dtype=int)
    inverse = (
        np.stack([np.linalg.inv(unit_steps(lab)) for lab in wanted]) if len(wanted) else np.zeros((0, 3, 3))
    )
    coloured = np.array([not known.grey and known.lab is not None for known in knowns], dtype=bool)
    spreads = np.array([known.spread for known in knowns])

    def left(figures: Array) -> Array:
        """What is left of each known, in CIEDE2000 units."""
        found = corrected(figures[:COUNT], seen, to_xyz)
        target = wanted.copy()
        for number in range(len(sheets)):
            target[slot == number] += figures[COUNT + 3 * number : COUNT + 3 * number + 3]
        result: Array = np.einsum("nij,nj->ni", inverse, found - target)
        return result

    usual = np.concatenate([USUAL, np.full(3 * len(sheets), SHEET_SPREAD)])

    def solved(misfit: float) -> tuple[Array, Array]:
        apart = np.where(coloured, misfit, 0.0)[:, None] * BY_AXIS
        widths = np.hypot(spreads[:, None], apart)

        def residuals(figures: Array) -> Array:
            # A patch far off (glare, a rectangle beside it) pulls no harder than one at three spreads.
            each = left(figures) / widths
            size_of = np.linalg.norm(each, axis=1, keepdims=True)
            tamed = each * np.where(
                size_of > 3.0, np.sqrt(np.maximum(6.0 * size_of - 9.0, 0.0)) / np.maximum(size_of, 1e-9), 1.0
            )
            return np.concatenate([tamed.ravel(), figures / usual])

        answer = least_squares(residuals, np.zeros(len(usual)), x_scale=usual, max_nfev=200)
        return answer.x, answer.jac

    figures, jacobian = solved(camera_spread)
    misfit = camera_spread * WITHOUT_CHART
    if coloured.any():
        for _ in range(2):
            squares = np.sort(np.mean((left(figures)[coloured] / BY_AXIS) ** 2, axis=1))
            # The worst tenth may be glare and is not the camera's; what it hides is given back by the factor.
            kept = squares[: max(1, int(np.ceil(0.9 * len(squares))))]
            free = max(1.0, len(squares) - 4.0)
            total = CAMERA_WEIGHT * camera_spread**2 + 1.25 * kept.sum() * len(squares) / free
            misfit = float(np.sqrt(total / (CAMERA_WEIGHT + len(kept))))
            figures, jacobian = solved(misfit)
        # Things unlike the chart fit worse than its own patches in a light it was not measured for.
        misfit *= BY_LIGHT[light]
    off_balance = float(np.abs(figures[GAINS][1:]).max())
    misfit *= 1.0 + PER_BALANCE * max(0.0, off_balance - FAR_BALANCE)
    covariance = np.linalg.inv(jacobian.T @ jacobian) + 1e-12 * np.eye(len(usual))
    root: Array = np.linalg.cholesky(covariance).astype(np.float64)
    return Correction(
        figures=figures,
        root=root,
        misfit=misfit,
        knowns=tuple(knowns),
        left=left(figures),
        to_xyz=to_xyz,
        centre=centre,
        scale=scale,
    )


def unit_steps(lab: Array) -> Array:
    """(3, 3) columns: steps of L*, a*, b* in lightness, chroma and hue that CIEDE2000 counts as one.

    The weights of ISO/CIE 11664-6 at the colour itself; its turn in the blues is left out.
    """
    L, a, b = lab
    C = float(np.hypot(a, b))
    h = float(np.arctan2(b, a))
    T = (
        1.0
        - 0.17 * np.cos(h - np.radians(30.0))
        + 0.24 * np.cos(2.0 * h)
        + 0.32 * np.cos(3.0 * h + np.radians(6.0))
        - 0.20 * np.cos(4.0 * h - np.radians(63.0))
    )
    SL = 1.0 + 0.015 * (L - 50.0) ** 2 / np.sqrt(20.0 + (L - 50.0) ** 2)
    SC, SH = 1.0 + 0.045 * C, 1.0 + 0.015 * C * T
    # a* of near-greys counts for more: half as much again at no chroma.
    stretch = 1.0 + 0.5 * (1.0 - np.sqrt(C**7 / (C**7 + 25.0**7)))
    along = np.array([np.cos(h), np.sin(h)])
    across = np.array([-np.sin(h), np.cos(h)])
    steps = np.zeros((3, 3))
    steps[0, 0] = SL
    steps[1:, 1], steps[1:, 2] = SC * along, SH * across
    steps[1] /= stretch
    return steps
