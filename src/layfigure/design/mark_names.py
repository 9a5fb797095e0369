"""The names a landmark on a picture may have, and where each is.

``left`` and ``right`` are the character's own, whatever the view.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

_LEVELS = ("bust", "under_bust", "waist", "hip")
_JOINTS = ("elbow", "wrist", "knuckles", "knee", "ankle")


def _names() -> dict[str, str]:
    names = {
        "crown": "top of the skull, under the hair",
        "chin": "lowest point of the chin",
        "nape": "bone at the base of the back of the neck",
        "crotch": "where the legs part",
    }
    for level in _LEVELS:
        spoken = level.replace("_", " ")
        names[f"{level}_front"] = f"front centre line at the {spoken} level"
        names[f"{level}_back"] = f"spine at the {spoken} level"
        for side in ("left", "right"):
            names[f"{level}_{side}"] = f"where the {spoken} level meets the visible outline, {side}"
    for side in ("left", "right"):
        names[f"shoulder_point_{side}"] = f"outer end of the {side} shoulder bone"
        names[f"fingertip_{side}"] = f"tip of the longest finger, {side} hand"
        names[f"toe_tip_{side}"] = f"tip of the longest toe, {side} foot"
        for joint in _JOINTS:
            names[f"{joint}_{side}"] = f"middle of the limb at the {side} {joint}, as seen in the picture"
            for end in ("inner", "outer"):
                names[f"{joint}_{side}_{end}"] = f"{end} end of the {side} {joint} on the visible outline"
    return names


LANDMARK_NAMES: Mapping[str, str] = MappingProxyType(_names())
"""Every landmark a picture can carry, and where to click."""
