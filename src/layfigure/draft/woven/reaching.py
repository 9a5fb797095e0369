"""Room for arms that reach forward, as those of somebody who pushes a wheel do all day."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from layfigure.body.bent_skin import REACH, bending
from layfigure.body.form import Form
from layfigure.draft.panels.surface import vertex_normals

Points = NDArray[np.float64]

BACK_ROOM = (20.0, 40.0)
"""Least and most that a back is widened between the armholes [mm] (common practice, no source)."""
ELBOW_EASE = (10.0, 20.0)
"""Least and most that the back of a sleeve is longer at the elbow: more cannot be eased in [mm] (common
practice, no source)."""
ACROSS = (0.42, 0.5, 0.6)
"""Heights at which the back is read, as shares from armpit to shoulder."""
PLACES = 60
NEAREST = 4


@dataclass(frozen=True, slots=True, kw_only=True)
class Reaching:
    """back : wider between the armholes, both sides together. elbow : longer over it, by side [mm]."""

    back: float
    elbow: dict[str, float]


NO_REACHING = Reaching(back=0.0, elbow={"left": 0.0, "right": 0.0})


def reaching(form: Form) -> Reaching:
    """How much the skin grows over back and elbow when the arms reach forward, kept within what drafters do;
    nothing for a wearer who stands.
    """
    if form.posture != "seated":
        return NO_REACHING
    bent = bending(form, REACH)
    back = float(np.mean([_grown(bent, _across_the_back(form, share)) for share in ACROSS]))
    elbow = {
        side: float(np.clip(_grown(bent, _over_the_elbow(form, side)), *ELBOW_EASE))
        for side in ("left", "right")
    }
    return Reaching(back=float(np.clip(back, *BACK_ROOM)), elbow=elbow)


def _grown(bent: Callable[[Points], Points], line: Points) -> float:
    return _length(bent(line)) - _length(line)


def _length(line: Points) -> float:
    return float(np.linalg.norm(np.diff(line, axis=0), axis=1).sum())


def _across_the_back(form: Form, share: float) -> Points:
    """On the skin from one armhole to the other, level, (n, 3)."""
    mesh = form.standing
    right, left = (
        (1.0 - share) * form.landmarks[f"armpit_{side}"] + share * form.landmarks[f"shoulder_point_{side}"]
        for side in ("right", "left")
    )
    height = 0.5 * float(left[2] + right[2])
    behind = np.flatnonzero(
        (vertex_normals(mesh.vertices, mesh.faces)[:, 1] > 0.2) & (abs(mesh.vertices[:, 2] - height) < 60.0)
    )
    across = np.linspace(float(right[0]), float(left[0]), PLACES)
    off = np.hypot(mesh.vertices[behind, 0] - across[:, None], mesh.vertices[behind, 2] - height)
    nearest = off.argsort(axis=1)[:, :NEAREST]
    near = 1.0 / (1.0 + np.take_along_axis(off, nearest, axis=1))
    depth = (near * mesh.vertices[behind][nearest, 1]).sum(axis=1) / near.sum(axis=1)
    return np.column_stack([across, depth, np.full(PLACES, height)])


def _over_the_elbow(form: Form, side: str) -> Points:
    """Down the back of the arm from the armpit to the wrist, (n, 3)."""
    upper, lower = form.charts[f"upper_arm_{side}"], form.charts[f"forearm_{side}"]
    behind = np.full(PLACES, 0.5)
    first = upper.points(np.linspace(float(upper.stations[0]) + 0.02, 1.0, PLACES), behind)
    return np.vstack([first, lower.points(np.linspace(0.0, 1.0, PLACES), behind)])
