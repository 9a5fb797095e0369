"""Thickness: where a bent sheet keeps its length, and how thick edges meet.

A sheet bent to a curve keeps its length on its neutral surface, a share K of the thickness out from the
inside. Sources: K between 1/3 and 1/2 for leather and sheet, bend length angle x (R + K t), common
sheet-metal formulas; worked value 90 degrees, R 3, t 2, K 0.33: 5.75 (published bend-allowance table).
"""

from __future__ import annotations

import math


def bend_allowance(angle: float, inside_radius: float, thickness: float, neutral_share: float) -> float:
    """Length of sheet used by one bend [mm].

    angle : turned through [rad]. inside_radius, thickness : [mm]. neutral_share : K, 0 to 0.5.
    Raises ValueError for a K outside 0 to 0.5.
    """
    if not 0.0 <= neutral_share <= 0.5:
        raise ValueError(f"neutral share {neutral_share} is outside 0 to 0.5")
    return angle * (inside_radius + neutral_share * thickness)


def neutral_girth(inner_girth: float, thickness: float, neutral_share: float) -> float:
    """Length to cut for a closed convex ring of inner girth ``inner_girth`` [mm].

    Any convex ring turns through one full circle, so its shape does not matter.
    """
    return inner_girth + bend_allowance(2.0 * math.pi, 0.0, thickness, neutral_share)


def corner_bevel(interior_angle: float) -> float:
    """Bevel from square on each of two plates that meet at an interior angle; both [rad]."""
    return (math.pi - interior_angle) / 2.0


def bevel_setback(thickness: float, interior_angle: float) -> float:
    """How far the inner face stands back from the outer one at a bevelled edge [mm]."""
    return thickness * math.tan(corner_bevel(interior_angle))
