"""From tape measures to a Form, in three steps.

A. Whole-body shapes alone, against a weak prior: the right kind of body.
B. Whole-body and local shapes together: nearly every measure.
C. Smooth fields (``body.correction``) for what is left: every measure that was taken, exactly.

All three are the same Gauss-Newton step with exact derivatives of the tape; they differ in what may move.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from functools import lru_cache, partial
from itertools import pairwise
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from layfigure.body.arm_room import arm_angle_for
from layfigure.body.chest import flat_fullness, fullness
from layfigure.body.correction import LaidFields
from layfigure.body.fit_plausibility import surprising_measures
from layfigure.body.form import Form
from layfigure.body.leg_room import keep_legs_apart
from layfigure.body.levels import LEVEL_GAP, REGIONS
from layfigure.body.measures import split_name
from layfigure.body.pose import Pose, standing_pose
from layfigure.body.shape import form_of_points
from layfigure.body.tape import Reading, StandingBody
from layfigure.body.tape_measures import READERS, Reader
from layfigure.body.template import Template, load_template
from layfigure.errors import MeasureContradiction, MeasureMissing

Points = NDArray[np.float64]
MovesAt = Callable[[NDArray[np.int64]], NDArray[np.float32]]
"""How far points (r,) move with an amount of 1 of every field: (f, r, 3) [mm] in the drafting pose."""

TOLERANCE = 1.0
"""A measure is met when the tape on the Form is within this [mm]."""
LOCAL_SPREAD, SHARP_SPREAD = 0.25, 0.08
"""Likely amount of a local shape, one standard deviation; 1 is as far as its maker drew it. Shapes that end
at the waist as a ledge are held back: step C does their work more smoothly."""
SHARP = ("torso-scale", "hip-scale", "waist-circ", "underbust-circ")
LOOSE, CLOSE = 8.0, 5.0
"""How closely steps A and B follow a taken measure [mm]."""
NEARING = (2.0, 0.3, 0.1, 0.05, 0.05, 0.05, 0.05, 0.05)
"""How closely each turn of step C does [mm]; from an earlier fit the first approach is left out."""
SHARES = (1.0, 0.7, 0.4, 0.2, 0.05)
"""How much of a step is tried, until one makes matters better."""
GUIDE = 12.0
"""Breadths, depths and the like, read with calipers on flesh, guide the fit this closely [mm]; only a tape,
a wall and bones bind it."""
APART = 45.0
"""A guide that two other measures span is pointed out when it is missed by more than this [mm]: one person in
twenty of the survey reaches it, mostly by the loop round the trunk."""
LEDGE = 1.0
"""A trunk whose mean radius changes by more than this over its height, between under the bust and the hip,
is pointed out: 1 is 45 degrees."""
FLAT_CHEST = 6.0
"""How closely a man's chest follows the neutral man's fullness (``body.chest``) [mm]."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FitState:
    """Where a fit ended, for the next one.

    coefficients : of the shapes. points : (p, 3) in the drafting pose with corrections, legs not yet kept
    apart. readings : what the tape reads there, by measure.
    """

    coefficients: Points
    points: Points
    readings: Mapping[str, Reading]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FitResult:
    """A Form and how it was reached.

    residuals : tape on the Form minus the measure [mm], for taken measures. scales : what step C still had
    to change, as a share of each taken measure. warnings : sentences for the maker, without values.
    """

    form: Form
    state: FitState
    residuals: Mapping[str, float]
    scales: Mapping[str, float]
    warnings: tuple[str, ...] = field(default_factory=tuple)


@lru_cache(maxsize=1)
def _standing() -> tuple[Template, Pose]:
    """The template and the pose in which it is measured."""
    template = load_template()
    return template, standing_pose(template)


@dataclass(slots=True, eq=False)
class _Targets:
    """What should be read: names, readers, values and how closely each is to be met [mm]."""

    names: list[str]
    readers: list[Reader]
    values: Points
    spreads: Points

    @property
    def taken(self) -> NDArray[np.bool_]:
        mask: NDArray[np.bool_] = self.spreads == 0.0
        return mask


def fit_form(
    measures: Mapping[str, float],
    *,
    wearer: str,
    estimated: Mapping[str, tuple[float, float]] | None = None,
    previous: FitState | None = None,
    sex: Literal["woman", "man"] | None = None,
) -> FitResult:
    """The Form that the tape reads as given.

    measures : taken, by stored name [mm]; those the tape cannot read
        on a Form (``body_mass``) are passed over.
    estimated : guessed measures as (value, one standard deviation) [mm]; they guide and do not bind.
    previous : an earlier fit of the same wearer; a fit after one changed measure starts there.
    sex : whose neutral body is the likeliest; None stands between the two.
    Raises MeasureMissing without a stature, MeasureContradiction when no body can be found.
    """
    guesses = dict(estimated or {})
    if "stature" not in measures and "stature" not in guesses:
        raise MeasureMissing("a body needs a stature.", where=wearer, advice="Add stature with a unit.")
    for name in [*measures, *guesses]:
        split_name(name)
    names = [n for n in measures if n in READERS] + [n for n in guesses if n in READERS and n not in measures]
    targets = _Targets(
        names=names,
        readers=[READERS[n] for n in names],
        values=np.array([measures[n] if n in measures else guesses[n][0] for n in names]),
        spreads=np.array(
            [_looseness(n, measures) if n in measures else max(guesses[n][1], 1.0) for n in names]
        ),
    )
    if sex == "man":
        targets = _with_flat_chest(targets)
    template, _ = _standing()
    likely = np.zeros(len(template.directions)) if sex is None else template.presets[sex]
    if previous is None:
        coefficients = _shapes(targets, likely)
        end = _correct(targets, _linear_points(template, coefficients))
    else:
        coefficients = previous.coefficients
        end = _correct(targets, previous.points, previous.readings)
    points = keep_legs_apart(end.points)
    readings = dict(zip(targets.names, end.seen.readings, strict=True))
    readings |= {n: reader(end.seen.body) for n, reader in READERS.items() if n not in readings}
    read = {name: readings[name].value for name in READERS}
    residuals = {n: read[n] - measures[n] for n, t in zip(targets.names, targets.taken, strict=True) if t}
    if not np.isfinite(list(read.values())).all():
        raise MeasureContradiction(
            "no body has these measures.", where=wearer, advice="Take the unusual ones again."
        )
    points = points - (0.0, 0.0, points[: template.vertex_count, 2].min())
    form = form_of_points(
        template,
        points,
        wearer,
        # The tape is read with arms at their usual angle; the Form lets them hang clear of the body.
        arm_angle=arm_angle_for(template, points),
        measures=read,
        estimated=frozenset(n for n in guesses if n not in measures),
        spreads={n: guesses[n][1] for n in guesses if n not in measures},
    )
    apart = [
        n for n in names if n in measures and _is_spanned(n, measures) and abs(read[n] - measures[n]) > APART
    ]
    warnings = _warnings(form, residuals, end.scales if previous is None else {}, apart)
    state = FitState(coefficients=coefficients, points=end.points, readings=readings)
    return FitResult(form=form, state=state, residuals=residuals, scales=end.scales, warnings=warnings)


SPANNED: Mapping[str, tuple[tuple[str, str], ...]] = {
    "arm_length": (("upper_arm_length", "forearm_length"),),
    "nape_to_wrist": (("upper_arm_length", "forearm_length"),),
    "nape_to_waist": (("nape_height", "waist_height"),),
    "nape_to_waist_navel": (("nape_height", "waist_navel_height"),),
    "trunk_loop": (("shoulder_height", "crotch_height"),),
    "crotch_height": (("waist_height", "crotch_length"), ("waist_navel_height", "crotch_length_navel")),
}
"""A measure that two others nearly determine, within how people stand, bend and pull a tape.

In the 2012 survey of US Army personnel a back length is less than 3 mm above the height it spans for 12 %
of men and 26 % of women, and a whole arm differs from its two parts by -32 to +9 mm. A book is pressed up
into the crotch by an unknown amount: fitted to all else, 20 people's crotch lengths differ from the tape by
22 mm (one standard deviation), and a body made to have both is squashed from front to back. Beside both
others such a measure guides, alone it binds.
"""


def _with_flat_chest(targets: _Targets) -> _Targets:
    """A man's girth is no reason for breasts: his chest stands forward as a neutral man's does, if it can."""
    sides = ("left", "right")
    return _Targets(
        names=[*targets.names, *(f"fullness_{side}" for side in sides)],
        readers=[*targets.readers, *(partial(fullness, side=side) for side in sides)],
        values=np.append(targets.values, [flat_fullness()] * len(sides)),
        spreads=np.append(targets.spreads, [FLAT_CHEST] * len(sides)),
    )


def _looseness(name: str, measures: Mapping[str, float]) -> float:
    """How far a taken measure may be missed: calipers and spanned lengths guide, everything else binds."""
    caliper = split_name(name)[0].kind in ("breadth", "depth")
    return GUIDE if caliper or _is_spanned(name, measures) else 0.0


def _is_spanned(name: str, measures: Mapping[str, float]) -> bool:
    """Whether both measures that nearly determine this one were taken, on its side."""
    measure, side = split_name(name)
    if measure.name not in SPANNED:
        return False
    same_side = (side, "middle") if side != "middle" else ("left", "right", "middle")
    known = {split_name(name)[0].name for name in measures if split_name(name)[1] in same_side}
    return any(known.issuperset(parts) for parts in SPANNED[measure.name])


def _linear_points(template: Template, coefficients: Points) -> Points:
    used = template.directions[: len(coefficients)]
    moved = np.tensordot(coefficients.astype(np.float32), used, axes=1)
    result: Points = moved.astype(np.float64) + template.mean
    return result


@dataclass(slots=True, eq=False)
class _Seen:
    """What the tape reads of the targets on a body."""

    body: StandingBody
    readings: list[Reading]
    values: Points


def _see(targets: _Targets, body: StandingBody, known: Mapping[str, Reading] | None = None) -> _Seen:
    """Read a body; ``known`` are readings made on it before. What is read the body keeps."""
    body.readings.update(known or {})
    for name, reader in zip(targets.names, targets.readers, strict=True):
        if name not in body.readings:
            body.readings[name] = reader(body)
    readings = [body.readings[name] for name in targets.names]
    return _Seen(body, readings, np.array([reading.value for reading in readings]))


def _jacobian(readings: list[Reading], moves_at: MovesAt) -> Points:
    """Change of every reading with the amount of every field, (m, f)."""
    _, pose = _standing()
    count, lengths = len(readings), np.array([len(r.rows) for r in readings])
    rows = np.concatenate([r.rows for r in readings])
    starts = np.cumsum(lengths) - lengths
    slopes = pose.pull_back(rows, np.concatenate([r.slopes for r in readings]), starts)
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


def _weighted_solve(jacobian: Points, misses: Points, closeness: Points, prior: Points) -> Points:
    """Most likely amounts: prior spreads on them, ``closeness`` on what the tape should read."""
    scaled = jacobian * prior
    inner = scaled @ scaled.T + np.diag(closeness**2)
    result: Points = prior * (scaled.T @ np.linalg.solve(inner, misses))
    return result


def _descend(
    targets: _Targets,
    start: Points,
    body_of: Callable[[Points], StandingBody],
    moves_at: MovesAt,
    prior: Points,
    closeness: Points,
    seen: _Seen | None = None,
) -> tuple[Points, _Seen]:
    """One Gauss-Newton step of amounts from ``start``; one that makes matters worse corrects the derivative.

    Planes turn with the body and tapes jump from fold to fold, which the derivative does not know; what a
    step really did is put into it (Broyden's update, in units of likely amounts) before a shorter one.
    """
    seen = seen or _see(targets, body_of(start))
    jacobian = _jacobian(seen.readings, moves_at)

    def cost(amounts: Points, read: Points) -> float:
        misses = (targets.values - read) / closeness
        return float(misses @ misses + np.sum((amounts / prior) ** 2))

    before = cost(start, seen.values)
    for share in SHARES:
        wanted = targets.values - seen.values + jacobian @ start
        step = share * (_weighted_solve(jacobian, wanted, closeness, prior) - start)
        found = _see(targets, body_of(start + step))
        if cost(start + step, found.values) < before:
            return start + step, found
        scaled = step / prior**2
        surprise = found.values - seen.values - jacobian @ step
        jacobian = jacobian + np.outer(surprise, scaled) / max(float(scaled @ step), 1e-12)
    return start, seen


@lru_cache(maxsize=3)
def _likely_body(coefficients: bytes) -> StandingBody:
    """A neutral body, which every fit begins with: read once, it needs no tape again."""
    template, pose = _standing()
    return StandingBody(template, pose.apply(_linear_points(template, np.frombuffer(coefficients))))


def _shapes(targets: _Targets, likely: Points) -> Points:
    """Steps A and B: shape coefficients, from the ``likely`` ones and held toward them."""
    template, pose = _standing()
    count, modes = len(template.directions), template.mode_count
    local = [SHARP_SPREAD if name.startswith(SHARP) else LOCAL_SPREAD for name in template.local_names]
    prior = np.concatenate([np.ones(modes), local])
    away = np.zeros(count)

    def body_of(amounts: Points) -> StandingBody:
        if not amounts.any():
            return _likely_body(likely.tobytes())
        coefficients = likely.copy()
        coefficients[: len(amounts)] += amounts
        return StandingBody(template, pose.apply(_linear_points(template, coefficients)))

    def moves_at(active: int, rows: NDArray[np.int64]) -> NDArray[np.float32]:
        return template.directions[:active, rows]

    for close, active, turns in ((LOOSE, modes, 2), (CLOSE, count, 2)):
        seen = None
        for _ in range(turns):
            closeness = np.hypot(close, targets.spreads)
            away[:active], seen = _descend(
                targets,
                away[:active],
                body_of,
                partial(moves_at, active),
                prior[:active],
                closeness,
                seen,
            )
    return likely + away


@dataclass(slots=True, eq=False)
class _End:
    """Where step C ended: points before legs are kept apart, what the tape reads after, and the scales."""

    points: Points
    seen: _Seen
    scales: dict[str, float]


def _correct(targets: _Targets, points: Points, known: Mapping[str, Reading] | None = None) -> _End:
    """Step C: exact taken measures by smooth fields. known : readings on ``points``, when there are any."""
    template, pose = _standing()

    def body_of(chosen: Points) -> StandingBody:
        return StandingBody(template, pose.apply(keep_legs_apart(chosen)))

    seen = _see(targets, body_of(points), known)
    scales = {
        name: float(v / r - 1.0)
        for name, v, r, t in zip(targets.names, targets.values, seen.values, targets.taken, strict=True)
        if t
    }
    # A body that is still off after one round gets fields laid afresh on where it has come to.
    for _ in range(2):
        if not _met(targets, seen):
            turns = NEARING if known is None else NEARING[1:]
            points, seen = _correction_round(targets, points, body_of, seen, turns)
    return _End(points, seen, scales)


def _met(targets: _Targets, seen: _Seen) -> bool:
    miss = np.abs((targets.values - seen.values)[targets.taken])
    return bool(miss.max(initial=0.0) < 0.2 * TOLERANCE)


def _correction_round(
    targets: _Targets,
    points: Points,
    body_of: Callable[[Points], StandingBody],
    seen: _Seen,
    turns: tuple[float, ...],
) -> tuple[Points, _Seen]:
    """Fields laid on a body and solved for, each turn closer than the one before."""
    fields = LaidFields(_standing()[0], points)
    amounts = np.zeros(len(fields.spreads))
    for exact in turns:
        if _met(targets, seen):
            break
        closeness = np.where(targets.taken, exact, np.hypot(targets.spreads, 2.0))
        amounts, seen = _descend(
            targets,
            amounts,
            lambda chosen: body_of(points + fields.moves(chosen)),
            fields.at,
            fields.spreads,
            closeness,
            seen,
        )
    return points + fields.moves(amounts), seen


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
        f"{_words(name)} cannot be met together with the other measures: take it again." for name in unmet
    )
    said.extend(
        f"{_words(name)} does not sit well with the other measures: take it again."
        for name in surprising_measures(scales)
        if name not in unmet
    )
    said.extend(
        f"{_words(name)} disagrees with the two measures that span it, which are kept: take all three again."
        for name in apart
    )
    return tuple(said)


def steepest_wall(form: Form) -> float:
    """Largest change of the trunk's mean radius over its height from under the bust to the hip."""
    chart = form.charts["torso"]
    inside = (chart.stations >= 2.25) & (chart.stations <= 4.0)
    radius, height = chart.girths[inside] / (2.0 * np.pi), chart.sections[inside, :, 2].mean(axis=1)
    return float(np.abs(np.diff(radius) / np.diff(height)).max())


def _words(name: str) -> str:
    measure, side = split_name(name)
    return measure.words if side == "middle" else f"{side} {measure.words}"
