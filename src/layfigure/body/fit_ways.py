"""In what way each measure pulls at a body: how it goes with shapes and fields.

The tape's own derivative breaks wherever a plane passes a vertex, and a body made along it would jump when a
measure changes. So the ways are read once, on neutral bodies of some fullness, and mixed in between.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from layfigure.body.correction import LaidFields
from layfigure.body.fit_targets import FIT_READERS, Targets
from layfigure.body.pose import Pose, standing_pose
from layfigure.body.tape import Reading, StandingBody
from layfigure.body.template import Template, load_template

Points = NDArray[np.float64]
Sex = Literal["woman", "man"] | None
MovesAt = Callable[[NDArray[np.int64]], NDArray[np.floating[Any]]]
"""How far points (r,) move with an amount of 1 of every field: (f, r, 3) [mm] in the drafting pose."""

LOOSE = 8.0
"""How closely shapes that make a neutral body fuller follow its girths and heights [mm]."""
BESIDE = 0.5
"""A derivative is the mean of those in planes so far to both sides of a tape's own [mm]. That one passes
through landmarks, where many edges meet; which of them make a corner would hang on how a processor rounds."""
FULLER, THINNEST, FULLEST = 0.15, 1, 3
"""Ways are read on the neutral body and on others, fuller or thinner by such a share so many times."""
_ORDER = {name: k for k, name in enumerate(FIT_READERS)}
_GIRTHS = np.array(["girth" in name and not name.startswith("head") for name in FIT_READERS])


@lru_cache(maxsize=1)
def standing_template() -> tuple[Template, Pose]:
    """The template and the pose in which it is measured."""
    template = load_template()
    return template, standing_pose(template)


@dataclass(frozen=True, slots=True, eq=False)
class _Read:
    """A body and how all that a fit may read there goes with its shapes and fields.

    coefficients : of the shapes. values : (n,) in the order of ``FIT_READERS``. by_shape (n, k), by_field
    (n, f) : change of every reading with an amount of 1 of every shape and field.
    """

    coefficients: Points
    values: Points
    by_shape: Points
    by_field: Points


@lru_cache(maxsize=3 * (THINNEST + FULLEST + 1))
def _read_at(sex: Sex, fuller: int) -> _Read:
    """The neutral body, or one ``fuller`` times ``FULLER`` in all its girths."""
    template, pose = standing_template()
    if fuller == 0:
        coefficients = np.zeros(len(template.directions)) if sex is None else template.presets[sex]
    else:
        coefficients = _read_at(sex, 0).coefficients + fuller * _fuller(sex)
    points = template.linear_points(coefficients)
    standing = pose.apply(points)
    body = StandingBody(template, standing)
    beside = [StandingBody(template, standing, beside=off) for off in (-BESIDE, BESIDE)]
    readings = [(reader(beside[0]) + reader(beside[1])).scaled(0.5) for reader in FIT_READERS.values()]
    return _Read(
        coefficients,
        np.array([reader(body).value for reader in FIT_READERS.values()]),
        _slopes(readings, lambda rows: template.directions[:, rows]),
        _slopes(readings, LaidFields(template, points).at),
    )


@lru_cache(maxsize=3)
def _fuller(sex: Sex) -> Points:
    """Shapes that make the neutral body fuller and leave its heights, (k,)."""
    neutral = _read_at(sex, 0)
    wanted = np.where(_GIRTHS, FULLER * neutral.values, 0.0)
    whole = neutral.by_shape * (np.arange(neutral.by_shape.shape[1]) < standing_template()[0].mode_count)
    result: Points = whole.T @ np.linalg.solve(whole @ whole.T + LOOSE**2 * np.eye(len(wanted)), wanted)
    return result


@dataclass(frozen=True, slots=True, eq=False)
class Ways:
    """How shapes and fields change measures (m,) on a body as full as these measures make one, roughly.

    coefficients : of the neutral body. values : (m,) it reads. by_shape (m, k), by_field (m, f).
    """

    coefficients: Points
    values: Points
    by_shape: Points
    by_field: Points


def ways_for(targets: Targets, sex: Sex) -> Ways:
    """The ways in which measures pull: between those of the two bodies nearest in fullness."""
    rows = np.array([_ORDER[name] for name in targets.names])
    neutral = _read_at(sex, 0)
    girths = _GIRTHS[rows]
    beyond = targets.values[girths] / neutral.values[rows[girths]] - 1.0
    full = float(np.clip(beyond.mean() / FULLER, -THINNEST, FULLEST)) if girths.any() else 0.0
    low = min(int(np.floor(full)), FULLEST - 1)
    share = full - low
    one, other = _read_at(sex, low), _read_at(sex, low + 1)
    return Ways(
        neutral.coefficients,
        neutral.values[rows],
        (1.0 - share) * one.by_shape[rows] + share * other.by_shape[rows],
        (1.0 - share) * one.by_field[rows] + share * other.by_field[rows],
    )


def _slopes(readings: list[Reading], moves_at: MovesAt) -> Points:
    """Change of every reading with the amount of every field, (m, f)."""
    _, pose = standing_template()
    found = [reading.slopes() for reading in readings]
    count, lengths = len(readings), np.array([len(rows) for rows, _ in found])
    rows = np.concatenate([rows for rows, _ in found])
    starts = np.cumsum(lengths) - lengths
    slopes = pose.pull_back(rows, np.concatenate([own for _, own in found]), starts)
    joints = pose.joint_rows
    rows = np.concatenate([rows, np.tile(joints, count)])
    owner = np.concatenate([np.repeat(np.arange(count), lengths), np.repeat(np.arange(count), len(joints))])
    used, column = np.unique(rows, return_inverse=True)
    pull = np.zeros((3, count, len(used)))
    for d in range(3):
        np.add.at(pull[d], (owner, column), slopes[:, d])
    moves = moves_at(used)
    result: Points = np.sum([pull[d] @ moves[:, :, d].T for d in range(3)], axis=0)
    return result
