"""Both steps of a fit, each toward the one root of equations that move steadily with the measures.

Every measure pulls at the body in a way of its own (``body.fit_ways``), shapes and fields each as far as is
likely. A step asks how hard each must pull so that the tape reads as it should:

    tape(start + ways @ pulls) + looseness**2 * pulls = measures

Where the ways are the tape's derivative, that is the likeliest body with these measures (Gauss-Newton, dual
form); they are near it everywhere. A root depends on the measures alone, whichever body the search began
with.

Step A goes toward its root in two steps, always: step B makes exact what is left, to its end. Roots are
found by Broyden's first method, which needs no derivative on the way (C. G. Broyden, "A class of methods
for solving nonlinear simultaneous equations", Mathematics of Computation 19, 1965).
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from layfigure.body.correction import LaidFields
from layfigure.body.fit_targets import FIT_READERS, Targets
from layfigure.body.fit_ways import Ways, standing_template
from layfigure.body.leg_room import keep_legs_apart
from layfigure.body.tape import Reading, StandingBody

Points = NDArray[np.float64]
LOCAL_SPREAD, SHARP_SPREAD = 0.25, 0.08
"""Likely amount of a local shape, one standard deviation; 1 is as far as its maker drew it. Shapes that end
at the waist as a ledge are held back: step B does their work more smoothly."""
SHARP = ("torso-scale", "hip-scale", "waist-circ", "underbust-circ")
CLOSE, EXACT = 5.0, 0.05
"""How closely steps A and B follow a taken measure [mm], when it pulls as hard as is likely."""
LEAST_SPREAD = 2.0
"""A guess or a guide of step B is never closer than this [mm]."""
SETTLED = 0.01
"""Step B ends when no point would move further than this [mm]."""
SEEN = 0.2
"""And when only a picture is made of the body: a pixel shows ten times as much [mm]."""
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

    inverse : (m, m) how pulls follow what the tape reads, as the search learned it. added : (m,) what they
    added to what step A foresaw [mm].
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


@lru_cache(maxsize=1)
def _shape_spreads() -> Points:
    template, _ = standing_template()
    local = [SHARP_SPREAD if name.startswith(SHARP) else LOCAL_SPREAD for name in template.local_names]
    return np.concatenate([np.ones(template.mode_count), local])


@dataclass(frozen=True, slots=True, eq=False)
class Shaped:
    """Where step A ended. coefficients : (k,). foreseen : (m,) about what the tape reads there.

    first (k,), read (m,) : coefficients after the first turn and what was read.
    """

    coefficients: Points
    foreseen: Points
    first: Points
    read: Points


def shapes(targets: Targets, known: Ways, near: Shaped | None = None) -> Shaped:
    """Step A: shapes from the neutral ones and held toward them.

    near : of a fit to the same measures, a little different; what the tape reads is then foreseen from there.
    """
    template, pose = standing_template()
    ways = np.square(_shape_spreads())[:, None] * known.by_shape.T
    looseness = np.square(np.hypot(CLOSE, targets.spreads))
    inverse = np.linalg.inv(known.by_shape @ ways + np.diag(looseness))
    step = inverse @ (targets.values - known.values)
    first: Points = known.coefficients + ways @ step
    if near is None:
        points = template.linear_points(first)
        read = SeenBody(StandingBody(template, pose.apply(points))).values(targets.names)
    else:
        read = near.read + known.by_shape @ (first - near.first)
    left = targets.values - read - looseness * step
    inverse = _learned(inverse, step, targets.values - known.values - left)
    more = ways @ (inverse @ left)
    return Shaped(first + more, read + known.by_shape @ more, first, read)


def foreseen_points(targets: Targets, shaped: Shaped, known: Ways, earlier: Pulls) -> Points:
    """About where step B would end, (p, 3): its first turn from a fit to the same measures, not read."""
    template, _ = standing_template()
    start = template.linear_points(shaped.coefficients)
    fields = LaidFields(template, start)
    left = targets.values - shaped.foreseen - earlier.added - _binding(targets) * earlier.amounts
    amounts = earlier.amounts + earlier.inverse @ left
    return start + fields.moves(np.square(fields.spreads) * (known.by_field.T @ amounts))


def _binding(targets: Targets) -> Points:
    """How far step B may give way to each measure for a pull of 1, (m,)."""
    loose: Points = np.square(np.where(targets.taken, EXACT, np.hypot(targets.spreads, LEAST_SPREAD)))
    return loose


def correct(
    targets: Targets, shaped: Shaped, known: Ways, earlier: Pulls | None, *, bare: bool = False
) -> Corrected:
    """Step B: exact taken measures by smooth fields.

    earlier : pulls of another fit of the same wearer. bare : for a picture: without scales, and ended a
    little sooner.
    """
    template, pose = standing_template()
    start = template.linear_points(shaped.coefficients)
    fields = LaidFields(template, start)
    ways = np.square(fields.spreads)[:, None] * known.by_field.T
    looseness = _binding(targets)
    sampled = np.arange(0, len(start), SAMPLE)
    shown = ways.T @ fields.at(sampled).reshape(len(ways), -1)

    def seen(points: Points) -> SeenBody:
        return SeenBody(StandingBody(template, pose.apply(keep_legs_apart(points))))

    def farthest(step: Points) -> float:
        moves = (step @ shown).reshape(-1, 3)
        return float(np.sqrt(np.square(moves).sum(axis=1).max()))

    fresh = earlier is None or earlier.names != targets.names
    before = seen(start) if fresh or not bare else None
    if earlier is None or earlier.names != targets.names:
        amounts: Points = np.zeros(len(looseness))
        inverse: Points = np.asarray(np.linalg.inv(known.by_field @ ways + np.diag(looseness)), np.float64)
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
        if far < (SEEN if bare else SETTLED):
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
