"""How the regions of a figure hang together, and how freely each may bend and grow.

The spreads are one standard deviation, chosen wide enough for drawn characters (six to ten heads tall,
tiny waists, huge shoulders) and checked on synthetic figures; no published source.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Joint:
    """A region's place in the chain and the freedom the study gives it.

    parent : region it hangs from, without side; empty for the torso. root_station : where it hangs.
    flex, abduct, twist : spread of the angle about the left-right axis, the front-back axis and the
    region's own axis [degrees], 0 where not solved. One pose is shared by all pictures and
    ``wobble`` [degrees] is how far a single picture may differ from it.
    anchor : spread of the joint's place on its parent, outward, back and up [mm on a human figure].
    knots : number of spline knots for widths and depths. shift_knots : for the axis's sideways bends.
    shift : spread of those bends, left-right and front-back [mm].
    """

    parent: str
    root_station: float
    flex: float
    abduct: float
    twist: float
    wobble: float
    anchor: tuple[float, float, float]
    knots: int
    shift_knots: int
    shift: tuple[float, float]


SKELETON: dict[str, Joint] = {
    "torso": Joint("", 3.0, 0.0, 0.0, 0.0, 0.0, (0.0, 0.0, 0.0), 9, 5, (5.0, 22.0)),
    "neck": Joint("torso", 1.0, 12.0, 3.0, 0.0, 2.0, (4.0, 12.0, 8.0), 2, 2, (2.0, 4.0)),
    # The head turns on the neck; its own yaw is kept small, for the camera's yaw is already free.
    "head": Joint("neck", 2.0, 12.0, 4.0, 4.0, 2.0, (4.0, 12.0, 8.0), 4, 2, (2.0, 8.0)),
    "upper_arm": Joint("torso", 0.0, 15.0, 25.0, 0.0, 3.0, (30.0, 20.0, 30.0), 4, 3, (5.0, 5.0)),
    # Forearm twist leaves no trace in a silhouette that width and depth could not also make.
    "forearm": Joint("upper_arm", 0.0, 20.0, 8.0, 0.0, 3.0, (2.0, 2.0, 2.0), 4, 3, (4.0, 4.0)),
    "hand": Joint("forearm", 0.0, 15.0, 12.0, 0.0, 4.0, (2.0, 2.0, 2.0), 3, 2, (4.0, 4.0)),
    # A thigh starts at the crotch's level by definition, so its joint may not move up or down.
    "thigh": Joint("torso", 0.0, 6.0, 8.0, 8.0, 1.5, (15.0, 15.0, 1.0), 4, 3, (6.0, 8.0)),
    "shank": Joint("thigh", 0.0, 6.0, 4.0, 0.0, 1.5, (2.0, 2.0, 2.0), 5, 3, (6.0, 8.0)),
    "foot": Joint("shank", 0.0, 12.0, 6.0, 12.0, 4.0, (5.0, 5.0, 5.0), 3, 2, (4.0, 4.0)),
}
"""By region name without side, parents before children."""

LENGTH_SPREAD = 0.6
"""Spread of the logarithm of a segment's length."""

LENGTH_TOGETHER = 0.25
"""Correlation between the lengths of one region's segments."""

BREADTH_SPREAD = 0.16
"""Spread of the logarithm of a region's width or depth, all levels together."""

BREADTH_WAVE = 0.16
"""Spread of its smooth change from level to level, added to ``BREADTH_SPREAD``."""

WIDTH_WITH_DEPTH = 0.7
"""Correlation of width and depth at one level."""

SIDES_TOGETHER = 0.97
"""Correlation of left and right shapes; what remains leaves room for characters that differ."""

POSE_SIDES_TOGETHER = 0.5
"""Correlation of left and right joint angles."""
