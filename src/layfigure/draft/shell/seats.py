"""Where caps sit that are said by name: on a knee, an elbow, a shoulder, or the bust."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from layfigure.body.form import Form
from layfigure.draft.shell.cap_frame import CapFrame, cap_frame

Points = NDArray[np.float64]

UP = np.array([0.0, 0.0, 1.0])
FRONT = np.array([0.0, -1.0, 0.0])


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Seat:
    """Where a cap sits before its rim is known.

    width, height : usual tape over it [mm]. inner : most of half the width on the
    side toward the midline [mm]. regions : full names of what lies beneath. measures : that govern it.
    """

    frame: CapFrame
    width: float
    height: float
    regions: frozenset[str]
    measures: tuple[str, ...]
    inner: float = np.inf


def _square_to(axis: Points, toward: Points) -> Points:
    """Unit part of a direction square to the axis."""
    square: Points = toward - (toward @ axis) * axis
    return square / np.linalg.norm(square)


def _unit(vector: Points) -> Points:
    result: Points = vector / np.linalg.norm(vector)
    return result


def _knee(form: Form, side: str) -> Seat:
    section = form.charts[f"shank_{side}"].section(0.0)
    girth = float(form.charts[f"shank_{side}"].girth(0.0))
    centre = section.mean(axis=0)
    axis = form.landmarks[f"kneecap_{side}"] - centre
    axis = _unit(axis * np.array([1.0, 1.0, 0.0]))
    return Seat(
        frame=cap_frame(centre, axis, UP),
        width=0.50 * girth,
        height=0.45 * girth,
        regions=frozenset({f"thigh_{side}", f"shank_{side}"}),
        measures=(f"knee_girth_{side}", "knee_height"),
    )


def _elbow(form: Form, side: str) -> Seat:
    lower, upper = form.charts[f"forearm_{side}"], form.charts[f"upper_arm_{side}"]
    section = lower.section(0.0)
    girth = float(lower.girth(0.0))
    centre = section.mean(axis=0)
    bone = _unit(upper.section(float(upper.stations[0])).mean(axis=0) - lower.section(1.0).mean(axis=0))
    axis = _square_to(bone, form.landmarks[f"elbow_{side}"] - centre)
    return Seat(
        frame=cap_frame(centre, axis, bone),
        width=0.50 * girth,
        height=0.60 * girth,
        regions=frozenset({f"upper_arm_{side}", f"forearm_{side}"}),
        measures=(f"elbow_girth_{side}",),
    )


def _shoulder(form: Form, side: str) -> Seat:
    outward = np.array([1.0 if side == "left" else -1.0, 0.0, 0.0])
    arm = form.charts[f"upper_arm_{side}"]
    girth = float(arm.girths[0])
    point, pit = form.landmarks[f"shoulder_point_{side}"], form.landmarks[f"armpit_{side}"]
    inner = arm.section(float(arm.stations[0])).mean(axis=0)
    centre = np.array([inner[0], inner[1], 0.5 * (point[2] + pit[2])])
    axis = _unit(outward + 0.9 * UP)
    return Seat(
        frame=cap_frame(centre, axis, UP),
        width=0.60 * girth,
        height=0.68 * girth,
        regions=frozenset({"torso", f"upper_arm_{side}"}),
        measures=(f"upper_arm_girth_{side}", "bust_girth"),
    )


def _bust(form: Form, side: str) -> Seat:
    outward = np.array([1.0 if side == "left" else -1.0, 0.0, 0.0])
    chest = form.charts["torso"]
    girth = float(chest.girth(1.0))
    point = form.landmarks[f"bust_point_{side}"]
    axis = _unit(FRONT + 0.35 * outward)
    return Seat(
        frame=cap_frame(point - 0.12 * girth * axis, axis, UP),
        width=0.22 * girth,
        height=0.22 * girth,
        regions=frozenset({"torso"}),
        measures=("bust_girth", "under_bust_girth"),
        inner=max(30.0, abs(float(point[0])) - 4.0),
    )


SEATS: Mapping[str, Callable[[Form, str], Seat]] = {
    "knee": _knee,
    "elbow": _elbow,
    "shoulder": _shoulder,
    "bust": _bust,
}
"""What a cap may sit on, to its seat on a wearer's side."""
