"""How strap ends are fastened: overlap for the load they bear, and what to buy."""

from __future__ import annotations

import math
from typing import Literal

from layfigure.piece.item import Item

Fastening = Literal["buckle", "hook_and_loop", "snaps", "sewn"]

LEAST_LAP = 50.0
"""Hook and loop on armour overlaps this at least, 40 on light straps [mm] (common practice, no source)."""

SNAP_HOLDS = 29.0
"""A light snap opens at 3 kgf, 29 N (a seller's table of opening forces: shirts 3 to 5 kgf)."""

_SHEAR = ((15.0, 25.0), (30.0, 50.0), (60.0, 90.0))
"""Least lengthwise shear of hook and loop by width up to [mm], in N (GOST 30019.1-93)."""


def least_shear(width: float) -> float:
    """Least shear force that closed hook-and-loop tape of a width must hold [N], as for 60 mm beyond that."""
    for widest, force in _SHEAR:
        if width <= widest:
            return force
    return _SHEAR[-1][1]


def hook_and_loop_lap(width: float, load: float) -> float:
    """Overlap for a load [N]: the standard's least shear is taken for a lap of 50 mm, which it does not say
    in the part that we saw; never below 50 mm.
    """
    return max(LEAST_LAP, LEAST_LAP * load / least_shear(width))


def snaps_for(load: float) -> int:
    """How many light snaps side by side hold a load [N], two at least."""
    return max(2, math.ceil(load / SNAP_HOLDS))


def fastening_items(fastening: Fastening, width: float, lap: float, load: float) -> list[Item]:
    """What one fastening takes."""
    size = f"{width:.0f}mm"
    if fastening == "buckle":
        return [
            Item(slug=f"buckle_{size}", name=f"prong buckle for a strap of {width:.0f} mm", use="strap"),
            Item(slug=f"keeper_{size}", name=f"keeper loop, {width:.0f} mm", use="behind the buckle"),
            Item(slug="rivet", name="rivet", count=2, use="behind the buckle's fold"),
        ]
    if fastening == "hook_and_loop":
        return [
            Item(
                slug=f"hook_and_loop_{size}",
                name=f"hook and loop tape, {width:.0f} mm wide, both sides",
                length=lap,
                use="over the whole overlap, pulled along and not peeled",
            )
        ]
    if fastening == "snaps":
        return [
            Item(slug="snap", name="snap", count=snaps_for(load), use="through both layers of the overlap")
        ]
    return []


def end_items(rings: int, tabs: int, width: float) -> list[Item]:
    """D-rings where ends hang, and two rivets for every end that is folded or fixed."""
    items = []
    if rings:
        items.append(
            Item(
                slug=f"d_ring_{width:.0f}mm",
                name=f"D-ring, {width:.0f} mm inside",
                count=rings,
                use="where the strap turns sharply and the load hangs",
            )
        )
    if tabs:
        items.append(Item(slug="rivet", name="rivet", count=2 * tabs, use="two in every end that is fixed"))
    return items
