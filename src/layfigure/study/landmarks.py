"""The body points a maker may click, and where each lies on the figure.

A click on a joint means the middle of the limb as seen in that picture, whatever the view; a click
named by a level and a side means the place where that level meets the body's visible outline.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from layfigure.body.levels import REGIONS

Kind = Literal["surface", "middle", "outline", "tip"]
Toward = Literal["left", "right", "inner", "outer", ""]


@dataclass(frozen=True, slots=True)
class Landmark:
    """Where a named mark lies.

    kind : ``surface`` a point of the skin at (station, around); ``middle`` the middle of the section;
    ``outline`` the end of the section toward ``toward``, as the picture shows it; ``tip`` the outermost
    point of the region beyond ``station``.
    spread : how surely a maker hits it, one standard deviation [share of stature] along and across.
    """

    region: str
    station: float
    around: float
    kind: Kind
    toward: Toward
    spread: tuple[float, float]


def _build() -> dict[str, Landmark]:
    marks = {
        "crown": Landmark("head", 0.0, 0.0, "tip", "", (0.0015, 0.006)),
        "chin": Landmark("head", 2.0, 0.0, "surface", "", (0.002, 0.003)),
        "nape": Landmark("torso", 0.0, 0.5, "surface", "", (0.003, 0.003)),
        "crotch": Landmark("torso", 5.0, 0.0, "middle", "", (0.003, 0.005)),
    }
    for number, level in enumerate(REGIONS["torso"].levels):
        if level in ("nape", "crotch"):
            continue
        for word, around in (("front", 0.0), ("back", 0.5)):
            marks[f"{level}_{word}"] = Landmark(
                "torso", float(number), around, "surface", "", (0.0025, 0.0025)
            )
        for side in ("left", "right"):
            toward: Toward = "left" if side == "left" else "right"
            marks[f"{level}_{side}"] = Landmark(
                "torso", float(number), 0.25 if side == "left" else 0.75, "outline", toward, (0.0025, 0.0015)
            )
    joints = (
        ("elbow", "forearm", 0.0, 0.0035),
        ("wrist", "forearm", 1.0, 0.0025),
        ("knuckles", "hand", 1.0, 0.003),
        ("knee", "shank", 0.0, 0.0025),
        ("ankle", "shank", 1.0, 0.0025),
    )
    for side in ("left", "right"):
        marks[f"shoulder_point_{side}"] = Landmark(
            f"upper_arm_{side}", 0.0, 0.25, "outline", "outer", (0.004, 0.004)
        )
        marks[f"fingertip_{side}"] = Landmark(f"hand_{side}", 2.0, 0.0, "tip", "", (0.002, 0.003))
        marks[f"toe_tip_{side}"] = Landmark(f"foot_{side}", 3.0, 0.0, "tip", "", (0.004, 0.005))
        for joint, region, station, along in joints:
            name = f"{region}_{side}"
            marks[f"{joint}_{side}"] = Landmark(name, station, 0.0, "middle", "", (along, 0.002))
            for end in ("inner", "outer"):
                end_toward: Toward = "inner" if end == "inner" else "outer"
                marks[f"{joint}_{side}_{end}"] = Landmark(
                    name, station, 0.25 if end == "outer" else 0.75, "outline", end_toward, (along, 0.0015)
                )
    return marks


LANDMARKS: dict[str, Landmark] = _build()
"""Every landmark by name."""
