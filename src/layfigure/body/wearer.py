"""The wearer: whose body it is, what was measured, and whether the tapes can all be right.

Sizes are private. They are kept out of every message and out of ``repr``, so that neither a log nor a
traceback carries them; name the measure and the file instead.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Literal

from layfigure.body.measures import CATALOGUE, Measure, split_name, spoken_name
from layfigure.errors import MeasureContradiction, MeasureError, MeasureMissing

Posture = Literal["standing", "seated"]
Survey = Literal["woman", "man"]
LengthUnit = Literal["cm", "in"]

SECOND_READING = 10.0
"""Two readings of one measure further apart than this [mm] call for a third: common practice, no source."""

SIDES_APART = 0.06
"""Left and right further apart than this share are kept and pointed out: common practice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Wearer:
    """One person as measured.

    measures : stored name, such as ``wrist_girth_left``, to mm (kg for ``body_mass``): the mean of two
        readings, the middle of three. readings : every reading as taken.
    worn_under : what was worn while measuring and will be worn under the costume, as written.
    sex : which survey a missing measure is guessed from; None guesses from both.
    unit : the maker's own, for papers. warnings : what looks unusual, in words, without sizes.
    """

    name: str
    posture: Posture = "standing"
    unit: LengthUnit = "cm"
    sex: Survey | None = None
    worn_under: tuple[str, ...] = ()
    measures: Mapping[str, float] = field(default_factory=dict, repr=False)
    readings: Mapping[str, tuple[float, ...]] = field(default_factory=dict, repr=False)
    warnings: tuple[str, ...] = ()

    @property
    def standing_measures(self) -> dict[str, float]:
        """Measures that a tape reads the same way on a standing Form."""
        return {name: size for name, size in self.measures.items() if split_name(name)[0].standing}

    @property
    def seated_measures(self) -> dict[str, float]:
        """Measures taken sitting."""
        return {name: size for name, size in self.measures.items() if not split_name(name)[0].standing}

    def measure(self, name: str, *, needed_by: str = "") -> float:
        """One measure [mm or kg]. Raises MeasureMissing saying where to run the tape."""
        if name in self.measures:
            return self.measures[name]
        measure, _ = split_name(name)
        need = f"{needed_by} needs {name}; {self.name} has none." if needed_by else f"{name} is missing."
        raise MeasureMissing(need, advice=f"Measure {measure.place}.")


# (larger, smaller, allowance): on every body the first is at least the second less the allowance [mm].
# None of the 4,247 people of the ANSUR II sample contradicts one where the survey has both measures;
# the allowances leave room for a tape at home. Pairs that real bodies do reverse (the fullest seat
# may lie below the crotch, a calf may exceed the lower thigh) are not here.
_NOT_LESS: tuple[tuple[str, str, float], ...] = (
    ("stature", "nape_height", 0.0),
    ("nape_height", "shoulder_height", 0.0),
    ("nape_height", "front_neck_height", 0.0),
    ("shoulder_height", "armpit_height", 0.0),
    ("nape_height", "bust_height", 0.0),
    ("armpit_height", "waist_height", 0.0),
    ("bust_height", "waist_height", 0.0),
    ("under_bust_height", "waist_height", 0.0),
    ("waist_height", "waist_navel_height", 50.0),
    ("waist_height", "hip_height", 0.0),
    ("waist_navel_height", "hip_height", 0.0),
    ("hip_bone_height", "hip_height", 0.0),
    ("waist_height", "crotch_height", 0.0),
    ("crotch_height", "knee_height", 0.0),
    ("sitting_height", "seat_to_nape", 0.0),
    ("seat_to_nape", "seat_to_waist", 0.0),
    ("seat_to_shoulder", "seat_to_waist", 0.0),
    ("stature", "sitting_height", 0.0),
    ("knee_height_sitting", "popliteal_height", 0.0),
    ("hip_height", "knee_height", 0.0),
    ("knee_height", "ankle_height", 0.0),
    ("neck_base_girth", "neck_girth", 20.0),
    ("bust_girth", "under_bust_girth", 30.0),
    ("waist_girth", "waist_narrowest_girth", 20.0),
    ("waist_navel_girth", "waist_narrowest_girth", 20.0),
    ("hip_girth", "thigh_girth", 0.0),
    ("thigh_girth", "mid_thigh_girth", 20.0),
    ("thigh_girth", "lower_thigh_girth", 0.0),
    ("thigh_girth", "knee_girth", 0.0),
    ("calf_girth", "ankle_girth", 0.0),
    ("heel_girth", "ankle_girth", 0.0),
    ("heel_girth", "foot_girth", 0.0),
    ("forearm_girth", "wrist_girth", 0.0),
    ("upper_arm_girth", "wrist_girth", 0.0),
    ("hand_girth", "wrist_girth", 15.0),
    ("hand_with_thumb_girth", "hand_girth", 0.0),
    ("arm_length", "upper_arm_length", 0.0),
    ("arm_length", "forearm_length", 0.0),
    ("nape_to_wrist", "arm_length", 0.0),
    ("shoulder_breadth_over_arms", "shoulder_breadth", 0.0),
)

# A loop is nowhere shorter than there and back: the girth is at least twice the breadth or depth.
_TWICE: tuple[tuple[str, str], ...] = (
    ("bust_girth", "bust_breadth"),
    ("bust_girth", "bust_depth"),
    ("waist_navel_girth", "waist_navel_breadth"),
    ("waist_navel_girth", "waist_navel_depth"),
    ("hip_girth", "hip_breadth"),
    ("hip_girth", "hip_depth"),
    ("hand_girth", "hand_breadth"),
    ("foot_girth", "foot_breadth"),
    ("head_girth", "head_breadth"),
    ("head_girth", "head_length"),
)


def wearer_from_readings(
    name: str,
    readings: Mapping[str, Sequence[float]],
    *,
    where: str = "",
    posture: Posture = "standing",
    unit: LengthUnit = "cm",
    sex: Survey | None = None,
    worn_under: tuple[str, ...] = (),
) -> Wearer:
    """A wearer from one to three readings [mm or kg] by stored name, checked.

    Raises MeasureError for an unknown name or an absurd size, and MeasureContradiction for two measures
    that cannot both be right; both name the measure and ``where``, never the size.
    """
    taken = {key: tuple(float(value) for value in values) for key, values in readings.items()}
    for key, values in taken.items():
        measure, _ = split_name(key)
        if not 1 <= len(values) <= 3:
            raise MeasureError(f"{key} needs one reading, or two or three.", where=where)
        for value in values:
            _refuse_absurd(key, measure, value, where)
    measures = {key: _settled(values) for key, values in taken.items()}
    refuse_contradictions(measures, where=where)
    return Wearer(
        name=name,
        posture=posture,
        unit=unit,
        sex=sex,
        worn_under=worn_under,
        measures=measures,
        readings=taken,
        warnings=(*_doubtful_readings(taken), *_unusual_sizes(measures), *_unlike_sides(measures)),
    )


def refuse_contradictions(measures: Mapping[str, float], *, where: str = "") -> None:
    """Raise MeasureContradiction for the first two measures that no body has together."""
    for larger, smaller, allowance in _NOT_LESS:
        for one, other in _same_side(larger, smaller):
            if one in measures and other in measures and measures[one] < measures[other] - allowance:
                raise MeasureContradiction(
                    f"{one} is too small for {other}: they cannot both be right.",
                    where=where,
                    advice=f"Take both again: {CATALOGUE[larger].words} is {CATALOGUE[larger].place}; "
                    f"{CATALOGUE[smaller].words} is {CATALOGUE[smaller].place}.",
                )
    for girth, across in _TWICE:
        for one, other in _same_side(girth, across):
            if one in measures and other in measures and measures[one] < 2.0 * measures[other]:
                raise MeasureContradiction(
                    f"{one} is less than twice {other}: a tape cannot pass round.",
                    where=where,
                    advice="Take both again.",
                )


def _same_side(first: str, second: str) -> tuple[tuple[str, str], ...]:
    """Stored names of two measures to hold against each other, on each side where either has one."""
    ones, others = CATALOGUE[first].sided(), CATALOGUE[second].sided()
    if len(ones) == len(others):
        return tuple(zip(ones, others, strict=True))
    return tuple((one, other) for one in ones for other in others)


def _settled(values: tuple[float, ...]) -> float:
    """Mean of two readings, the middle one of three: the odd one out does not count."""
    return sorted(values)[1] if len(values) == 3 else sum(values) / len(values)


def _refuse_absurd(name: str, measure: Measure, value: float, where: str) -> None:
    if math.isfinite(value) and measure.absurd_below <= value <= measure.absurd_above:
        return
    slips = {
        "a digit or a decimal mark": (10.0, 0.1),
        "the unit, inches for centimetres or the other way": (2.54, 1 / 2.54),
    }
    likely = [
        slip
        for slip, factors in slips.items()
        if any(measure.low <= value * factor <= measure.high for factor in factors)
    ]
    raise MeasureError(
        f"{name} is not the size of a person.",
        where=where,
        advice=f"Check {likely[0] if likely else 'its number and its unit'}.",
    )


def _doubtful_readings(taken: Mapping[str, tuple[float, ...]]) -> tuple[str, ...]:
    return tuple(
        f"The two readings of {spoken_name(name)} differ by more than 1 cm; take it a third time."
        for name, values in taken.items()
        if len(values) == 2 and name != "body_mass" and abs(values[0] - values[1]) > SECOND_READING
    )


def _unusual_sizes(measures: Mapping[str, float]) -> tuple[str, ...]:
    found: list[str] = []
    for name, value in measures.items():
        measure, _ = split_name(name)
        if not measure.low <= value <= measure.high:
            found.append(f"{spoken_name(name)} is an unusual size; take it again: {measure.place}.")
    return tuple(found)


def _unlike_sides(measures: Mapping[str, float]) -> tuple[str, ...]:
    found: list[str] = []
    for measure in CATALOGUE.values():
        if measure.paired:
            left, right = (measures.get(name) for name in measure.sided())
            if left and right and abs(left - right) > SIDES_APART * max(left, right):
                found.append(
                    f"{measure.words} differs much from left to right; both are kept. Unless you know why, "
                    "take them again."
                )
    return tuple(found)
