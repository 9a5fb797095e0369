"""Both steps of a fit, each the one root of a system of equations that moves steadily with the measures.

Every measure pulls at the body in a way of its own, which is worked out once on neutral bodies of some fullness:
how shapes and fields change that measure there, each as far as is likely. A step asks how hard each must pull so
that the tape reads as it should:

    tape(start + ways @ pulls) + looseness**2 * pulls = measures

On those bodies that is the likeliest body with these measures (Gauss-Newton, dual form). Elsewhere the ways
are those between, although the tape's derivative is not: it breaks wherever a plane passes a vertex, and a body
made along it would jump. So a root depends on the measures alone, whichever body the search began with.

Step A goes toward its root in two steps, always, which is near enough: step B makes exact what is left, to its
end. The root is found by Broyden's first method (C. G. Broyden, "A class of methods for solving nonlinear
simultaneous equations", Mathematics of Computation 19, 1965), which needs no derivative on the way.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from layfigure.body.correction import LaidFields
from layfigure.body.fit_targets import FIT_READERS, Targets
from layfigure.body.leg_room import keep_legs_apart
from layfigure.body.pose import Pose, standing_pose
from layfigure.body.tape import Reading, StandingBody
from layfigure.body.template import Template, load_template

Points = NDArray[np.float64]
Sex = Literal["woman", "man"] | None
MovesAt = Callable[[NDArray[np.int64]], NDArray[np.float32]]
"""How far points (r,) move with an amount of 1 of every field: (f, r, 3) [mm] in the drafting pose."""

LOCAL_SPREAD, SHARP_SPREAD = 0.25, 0.08
"""Likely amount of a local shape, one standard deviation; 1 is as far as its maker drew it. Shapes that end
at the waist as a ledge are held back: step B does their work more smoothly."""
SHARP = ("torso-scale", "hip-scale", "waist-circ", "underbust-circ")
LOOSE = 8.0
"""How closely shapes that make a neutral body fuller follow its girths and heights [mm]."""
FULLER, THINNEST, FULLEST = 0.15, 1, 3
"""Ways are read on the neutral body and on others by so much of its girths thinner or fuller, so many times."""
_ORDER = {name: k for k, name in enumerate(FIT_READERS)}
_GIRTHS = np.array(["girth" in name and not name.startswith("head") for name in FIT_READERS])
CLOSE, EXACT = 5.0, 0.05
"""How closely steps A and B follow a taken measure [mm], when it pulls as hard as is likely."""
LEAST_SPREAD = 2.0
"""A guess or a guide of step B is never closer than this [mm]."""
SETTLED = 0.01
"""Step B ends when no point would move further than this [mm]."""
SAMPLE = 40
"""One point in so many shows how far a step would move all."""
LONGEST = 150.0
"""No turn goes further than this [mm]."""
MOST_TURNS = 30
"""Readings of step B, after which measures are taken to contradict each other."""


@dataclass(slots=True, eq=False)
class SeenBody:
    """A standing body and what was read on it, by name."""

    standing: StandingBody

    def value(self, name: str) -> float:
        """What the tape reads there [mm]."""
        return self.reading(name).value

    def reading(self, name: str) -> Reading:
        """What the tape reads there; read once."""
        known = self.standing.readings
        if name not in known:
            known[name] = FIT_READERS[name](self.standing)
        return known[name]

    def values(self, names: tuple[str, ...]) -> Points:
        """Of several measures, (m,)."""
        return np.array([self.value(name) for name in names])


@dataclass(frozen=True, slots=True, eq=False)
class Pulls:
    """How hard every measure pulls in step B. names : (m,) of them. amounts : (m,).

    inverse : (m, m) how pulls follow what the tape reads, as the search learned it. added : (m,) what they added
    to what step A foresaw [mm].
    """

    names: tuple[str, ...]
    amounts: Points
    inverse: Points
    added: Points


@dataclass(frozen=True, slots=True, eq=False)
class Corrected:
    """Where step B ended: points before legs are kept apart, the body read after, pulls and scales."""

    points: Points
    body: SeenBody
    pulls: Pulls
    scales: dict[str, float]


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


@lru_cache(maxsize=1)
def _standing() -> tuple[Template, Pose]:
    """The template and the pose in which it is measured."""
    template = load_template()
    return template, standing_pose(template)


@lru_cache(maxsize=1)
def _shape_spreads() -> Points:
    template, _ = _standing()
    local = [SHARP_SPREAD if name.startswith(SHARP) else LOCAL_SPREAD for name in template.local_names]
    return np.concatenate([np.ones(template.mode_count), local])


@lru_cache(maxsize=3 * (THINNEST + FULLEST + 1))
def _read_at(sex: Sex, fuller: int) -> _Read:
    """The neutral body, or one ``fuller`` times ``FULLER`` in all its girths."""
    template, pose = _standing()
    if fuller == 0:
        coefficients = np.zeros(len(template.directions)) if sex is None else template.presets[sex]
    else:
        coefficients = _read_at(sex, 0).coefficients + fuller * _fuller(sex)
    points = _linear_points(template, coefficients)
    body = StandingBody(template, pose.apply(points))
    readings = [reader(body) for reader in FIT_READERS.values()]
    return _Read(
        coefficients,
        np.array([reading.value for reading in readings]),
        _slopes(readings, lambda rows: template.directions[:, rows]),
        _slopes(readings, LaidFields(template, points).at),
    )


@lru_cache(maxsize=3)
def _fuller(sex: Sex) -> Points:
    """Shapes that make the neutral body fuller and leave its heights, (k,)."""
    neutral = _read_at(sex, 0)
    wanted = np.where(_GIRTHS, FULLER * neutral.values, 0.0)
    whole = neutral.by_shape * (np.arange(neutral.by_shape.shape[1]) < _standing()[0].mode_count)
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


def _linear_points(template: Template, coefficients: Points) -> Points:
    moved = np.tensordot(coefficients.astype(np.float32), template.directions, axes=1)
    result: Points = moved.astype(np.float64) + template.mean
    return result


def _slopes(readings: list[Reading], moves_at: MovesAt) -> Points:
    """Change of every reading with the amount of every field, (m, f)."""
    _, pose = _standing()
    found = [reading.slopes() for reading in readings]
    count, lengths = len(readings), np.array([len(rows) for rows, _ in found])
    rows = np.concatenate([rows for rows, _ in found])
    starts = np.cumsum(lengths) - lengths
    slopes = pose.pull_back(rows, np.concatenate([own for _, own in found]), starts)
    joints = pose.joint_rows
    rows = np.concatenate([rows, np.tile(joints, count)])
    owner = np.concatenate([np.repeat(np.arange(count), lengths), np.repeat(np.arange(count), len(joints))])
    used, column = np.unique(rows, return_inverse=True)
    pull = np.zeros((3, count, len(used)), dtype=np.float32)
    for d in range(3):
        np.add.at(pull[d], (owner, column), slopes[:, d])
    moves = moves_at(used)
    result = sum(pull[d] @ moves[:, :, d].T for d in range(3))
    return np.asarray(result, dtype=np.float64)


@dataclass(frozen=True, slots=True, eq=False)
class Shaped:
    """Where step A ended. coefficients : (k,). foreseen : (m,) about what the tape reads there."""

    coefficients: Points
    foreseen: Points


def shapes(targets: Targets, known: Ways) -> Shaped:
    """Step A: shapes from the neutral ones and held toward them."""
    template, pose = _standing()
    ways = np.square(_shape_spreads())[:, None] * known.by_shape.T
    looseness = np.square(np.hypot(CLOSE, targets.spreads))
    inverse = np.linalg.inv(known.by_shape @ ways + np.diag(looseness))
    step = inverse @ (targets.values - known.values)
    points = _linear_points(template, known.coefficients + ways @ step)
    read = SeenBody(StandingBody(template, pose.apply(points))).values(targets.names)
    left = targets.values - read - looseness * step
    inverse = _learned(inverse, step, targets.values - known.values - left)
    more = inverse @ left
    coefficients: Points = known.coefficients + ways @ (step + more)
    return Shaped(coefficients, read + known.by_shape @ (ways @ more))


def correct(
    targets: Targets, shaped: Shaped, known: Ways, earlier: Pulls | None, *, scaled: bool = True
) -> Corrected:
    """Step B: exact taken measures by smooth fields.

    earlier : pulls of another fit of the same wearer. scaled : whether scales are asked for.
    """
    template, pose = _standing()
    start = _linear_points(template, shaped.coefficients)
    fields = LaidFields(template, start)
    ways = np.square(fields.spreads)[:, None] * known.by_field.T
    looseness = np.square(np.where(targets.taken, EXACT, np.hypot(targets.spreads, LEAST_SPREAD)))
    sampled = np.arange(0, len(start), SAMPLE)
    shown = np.tensordot(ways.astype(np.float32), fields.at(sampled), axes=(0, 0)).reshape(len(looseness), -1)

    def seen(points: Points) -> SeenBody:
        return SeenBody(StandingBody(template, pose.apply(keep_legs_apart(points))))

    def farthest(step: Points) -> float:
        moves = (step.astype(np.float32) @ shown).reshape(-1, 3)
        return float(np.sqrt(np.square(moves).sum(axis=1).max()))

    fresh = earlier is None or earlier.names != targets.names
    before = seen(start) if fresh or scaled else None
    if earlier is None or earlier.names != targets.names:
        amounts = np.zeros(len(looseness))
        inverse = np.linalg.inv(known.by_field @ ways + np.diag(looseness))
        read = before.values(targets.names) if before else shaped.foreseen
    else:
        amounts, inverse, read = earlier.amounts, earlier.inverse, shaped.foreseen + earlier.added
    left = targets.values - read - looseness * amounts
    best: tuple[float, Points, Points, SeenBody] | None = None
    for _ in range(MOST_TURNS):
        step = inverse @ left
        step = step * min(1.0, LONGEST / max(farthest(step), 1e-9))
        amounts = amounts + step
        points = start + fields.moves(ways @ amounts)
        body = seen(points)
        now = targets.values - body.values(targets.names) - looseness * amounts
        inverse = _learned(inverse, step, left - now)
        left = now
        far = farthest(inverse @ left)
        if best is None or not far >= best[0]:
            best = (far, amounts, points, body)
        if far < SETTLED:
            break
    assert best is not None
    _, amounts, points, body = best
    added = body.values(targets.names) - shaped.foreseen
    scales = {
        name: float(value / before.value(name) - 1.0)
        for name, value, binds in zip(targets.names, targets.values, targets.taken, strict=True)
        if binds and before is not None
    }
    return Corrected(points, body, Pulls(targets.names, amounts, inverse, added), scales)


def _learned(inverse: Points, step: Points, change: Points) -> Points:
    """The inverse that also explains what a step of pulls really changed (Sherman and Morrison's form)."""
    foreseen = inverse @ change
    length = float(step @ foreseen)
    if abs(length) < 1e-3 * float(step @ step):
        return inverse
    result: Points = inverse + np.outer(step - foreseen, step @ inverse) / length
    return result
