"""Points of a body that a hand can find, and which vertex of the template each is.

The vertex numbers are those of the template's surface (``tools/build_template.py`` keeps the order of its
source). They were chosen by looking at the template against the definitions below; the definitions are
common practice in anthropometry and follow ``TRADE`` 1.2 where a standard was seen.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Landmark:
    """A body point: where a hand finds it, and its vertex on the template (the left one of a pair)."""

    words: str
    vertex: int
    paired: bool = False


LANDMARKS: dict[str, Landmark] = {
    "crown": Landmark("highest point of the head, looking straight ahead", 881),
    "brow": Landmark("between the eyebrows, above the root of the nose", 227),
    "nose_root": Landmark("deepest hollow at the root of the nose", 136),
    "head_back": Landmark("rearmost point of the head", 5389),
    "chin": Landmark("lowest point of the chin bone, in the middle", 732),
    "under_chin": Landmark("where the underside of the chin turns into the throat", 783),
    "skull_base": Landmark("hollow below the back of the skull", 853),
    "nape": Landmark("bone at the base of the back of the neck (7th neck vertebra)", 857),
    "front_neck": Landmark("notch between the collar bones", 1524),
    "neck_side": Landmark("side of the neck where it meets the shoulder", 7539, True),
    "shoulder_point": Landmark("outer end of the shoulder bone", 8236, True),
    "armpit": Landmark("highest point of the armpit", 8325, True),
    "back_fold": Landmark("line behind the arm where arm and back meet, halfway up the armhole", 8287, True),
    "bust_point": Landmark("nipple", 8458, True),
    "under_bust": Landmark("crease below the breast, below the bust point", 10748, True),
    "waist_front": Landmark("front of the waist, midway between lowest rib and hip bone", 4069),
    "navel": Landmark("middle of the navel", 4116),
    "seat": Landmark("rearmost point of the seat", 10854, True),
    "crotch": Landmark("lowest point of the trunk between the legs", 4372),
    "elbow": Landmark("point of the elbow", 10042, True),
    "wrist": Landmark("outer wrist bone, on the side of the little finger", 10550, True),
    "wrist_crease": Landmark("middle of the crease of the wrist, on the palm side", 10581, True),
    "knuckles": Landmark("knuckle of the middle finger, on the back of the hand", 9809, True),
    "index_knuckle": Landmark("knuckle of the index finger", 9800, True),
    "little_knuckle": Landmark("knuckle of the little finger", 9880, True),
    "fingertip": Landmark("tip of the middle finger", 8787, True),
    "thumb_tip": Landmark("tip of the thumb", 9348, True),
    "kneecap": Landmark("middle of the kneecap", 11242, True),
    "ankle": Landmark("just above the outer ankle bone, clear of the top of the foot", 13036, True),
    "ankle_bone": Landmark("point of the outer ankle bone", 12970, True),
    "inner_ankle": Landmark("point of the inner ankle bone", 12940, True),
    "heel": Landmark("rearmost point of the heel", 12925, True),
    "instep": Landmark("top of the foot in front of the ankle", 12832, True),
    "ball_inner": Landmark("bone of the ball of the foot, on the side of the big toe", 12394, True),
    "ball_outer": Landmark("bone of the ball of the foot, on the side of the little toe", 12748, True),
    "ball_top": Landmark("top of the foot over the ball", 12786, True),
    "toe_tip": Landmark("tip of the big toe", 12756, True),
}
"""Landmarks by name without side; a paired one appears on the Form as ``elbow_left`` and ``elbow_right``."""


def landmark_names() -> tuple[str, ...]:
    """Every landmark as it is named on a Form, left before right."""
    names: list[str] = []
    for name, landmark in LANDMARKS.items():
        names.extend((f"{name}_left", f"{name}_right") if landmark.paired else (name,))
    return tuple(names)
