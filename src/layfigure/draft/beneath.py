"""What lies under a piece."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from layfigure.body.form import Form

Points = NDArray[np.float64]

FOLDS_FADE = 80.0
"""Folds stand off in full from so far below the waist [mm]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Beneath:
    """What lies under a piece.

    thickness : of all of it together [mm]. spans : whether close cloth is among it, which spans hollows.
    folds : how far folds of it stand off below the waist, beyond their thickness [mm]: what is drawn tight
    presses them down, what hangs stays outside them.
    """

    thickness: float = 0.0
    spans: bool = False
    folds: float = 0.0


def folds_at(form: Form, heights: Points, folds: float) -> Points:
    """How far folds stand off at heights above the floor, same shape [mm]: not above the waist."""
    waist = form.level_heights.get("waist", float(form.charts["torso"].sections[:, :, 2].max()))
    off: Points = folds * np.clip((waist - np.asarray(heights)) / FOLDS_FADE, 0.0, 1.0)
    return off
