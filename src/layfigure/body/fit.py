"""From tape measures to a Form, in two steps.

A. Whole-body and local shapes: the right kind of body, which reads nearly every measure.
B. Smooth fields (``body.correction``) for what is left: every measure that was taken, exactly.

How both are found, so that one body belongs to one set of measures, is said in ``body.fit_steps``.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from layfigure.body.arm_room import arm_angle_for
from layfigure.body.fit_plausibility import surprising_measures
from layfigure.body.fit_steps import Pulls, Shaped, correct, shapes
from layfigure.body.fit_targets import is_spanned, targets_of
from layfigure.body.fit_ways import ways_for
from layfigure.body.form import Form
from layfigure.body.leg_room import keep_legs_apart
from layfigure.body.levels import LEVEL_GAP, REGIONS
from layfigure.body.measures import split_name, spoken_name
from layfigure.body.pose import standing_pose
from layfigure.body.shape import form_of_points
from layfigure.body.tape_measures import READERS
from layfigure.body.template import load_template
from layfigure.errors import MeasureContradiction, MeasureMissing

Points = NDArray[np.float64]

TOLERANCE = 1.0
"""A measure is met when the tape on the Form is within this [mm]."""
APART = 45.0
"""A guide that two other measures span is pointed out when it is missed by more than this [mm]: one person in
twenty of the survey reaches it, mostly by the loop round the trunk."""
LEDGE = 1.0
"""A trunk whose mean radius changes by more than this over its height, between under the bust and the hip,
is pointed out: 1 is 45 degrees."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FitState:
    """Where a fit ended, for the next one, which is quicker from here and ends where it would anyway.

    shaped : where step A ended. points : (p, 3) in the drafting pose with corrections, legs not yet kept
    apart. pulls : how hard every measure pulled in step B. joints : (j, 3) of the template's, as the Form
    stands.
    """

    shaped: Shaped
    points: Points
    pulls: Pulls
    joints: Points


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FitResult:
    """A Form and how it was reached.

    residuals : tape on the Form minus the measure [mm], for taken measures. scales : what step B still had
    to change, as a share of each taken measure. warnings : sentences for the maker, without values.
    """

    form: Form
    state: FitState
    residuals: Mapping[str, float]
    scales: Mapping[str, float]
    warnings: tuple[str, ...] = field(default_factory=tuple)

    @property
    def met(self) -> bool:
        """Whether the tape reads every taken measure as given, within ``TOLERANCE``."""
        return all(abs(miss) <= TOLERANCE for miss in self.residuals.values())


def fit_form(
    measures: Mapping[str, float],
    *,
    wearer: str,
    estimated: Mapping[str, tuple[float, float]] | None = None,
    previous: FitState | None = None,
    sex: Literal["woman", "man"] | None = None,
    bare: bool = False,
) -> FitResult:
    """The Form that the tape reads as given.

    measures : taken, by stored name [mm]; those the tape cannot read
        on a Form (``body_mass``) are passed over.
    estimated : guessed measures as (value, one standard deviation) [mm]; they guide and do not bind.
    previous : an earlier fit of the same wearer; after one changed measure the fit is quicker from there, and
        ends at the same Form.
    sex : whose neutral body is the likeliest; None stands between the two.
    bare : the body alone is asked for, to be looked at: without scales and warnings, ended a little sooner.
    Raises MeasureMissing without a stature, MeasureContradiction when no body can be found.
    """
    guesses = dict(estimated or {})
    if "stature" not in measures and "stature" not in guesses:
        raise MeasureMissing("a body needs a stature.", where=wearer, advice="Add stature with a unit.")
    for name in [*measures, *guesses]:
        split_name(name)
    targets = targets_of(measures, guesses, sex)
    ways = ways_for(targets, sex)
    shaped = shapes(targets, ways)
    earlier = None if previous is None else previous.pulls
    end = correct(targets, shaped, ways, earlier, bare=bare)
    read = {name: end.body.value(name) for name in READERS}
    if not np.isfinite(list(read.values())).all():
        raise MeasureContradiction(
            "no body has these measures.", where=wearer, advice="Take the unusual ones again."
        )
    residuals = {
        n: read[n] - measures[n] for n, binds in zip(targets.names, targets.taken, strict=True) if binds
    }
    form, joints = stood(
        end.points,
        wearer,
        measures=read,
        estimated=frozenset(n for n in guesses if n not in measures),
        spreads={n: guesses[n][1] for n in guesses if n not in measures},
    )
    apart = [
        n
        for n in targets.names
        if n in measures and is_spanned(n, measures) and abs(read[n] - measures[n]) > APART
    ]
    warnings = () if bare else _warnings(form, residuals, end.scales, apart)
    state = FitState(shaped=shaped, points=end.points, pulls=end.pulls, joints=joints)
    return FitResult(form=form, state=state, residuals=residuals, scales=end.scales, warnings=warnings)


def stood(points: Points, wearer: str, **about: Any) -> tuple[Form, Points]:
    """The Form of points (p, 3) in the drafting pose, and the template's joints as it stands, (j, 3).

    Legs are kept apart, feet put on the floor, arms let hang clear. about : as ``form_of_points`` takes it.
    """
    template = load_template()
    points = keep_legs_apart(points)
    points -= (0.0, 0.0, points[: template.vertex_count, 2].min())
    # The tape is read with arms at their usual angle; the Form lets them hang clear of the body.
    angle = arm_angle_for(template, points)
    standing = standing_pose(template, arm_angle=angle).apply(points)
    form = form_of_points(template, points, wearer, standing=standing, **about)
    return form, standing[template.vertex_count :].copy()


def _warnings(
    form: Form, residuals: Mapping[str, float], scales: Mapping[str, float], apart: list[str]
) -> tuple[str, ...]:
    said: list[str] = []
    levels = REGIONS["torso"].levels
    for upper, lower in pairwise(levels):
        if form.level_heights[upper] - form.level_heights[lower] < LEVEL_GAP + 1e-6:
            said.append(
                f"{upper.replace('_', ' ')} and {lower.replace('_', ' ')} come out at the same height: "
                "their girths are kept as taken; take both heights again."
            )
    if steepest_wall(form) > LEDGE:
        said.append(
            "The trunk steps in or out between under bust and hip: take its girths and heights there again."
        )
    unmet = [name for name, miss in residuals.items() if abs(miss) > TOLERANCE]
    said.extend(
        f"{spoken_name(name)} cannot be met together with the other measures: take it again."
        for name in unmet
    )
    said.extend(
        f"{spoken_name(name)} does not sit well with the other measures: take it again."
        for name in surprising_measures(scales)
        if name not in unmet
    )
    said.extend(
        f"{spoken_name(name)} disagrees with the two measures that span it, which are kept: "
        "take all three again."
        for name in apart
    )
    return tuple(said)


def steepest_wall(form: Form) -> float:
    """Largest change of the trunk's mean radius over its height from under the bust to the hip."""
    chart = form.charts["torso"]
    inside = (chart.stations >= 2.25) & (chart.stations <= 4.0)
    radius, height = chart.girths[inside] / (2.0 * np.pi), chart.sections[inside, :, 2].mean(axis=1)
    return float(np.abs(np.diff(radius) / np.diff(height)).max())
