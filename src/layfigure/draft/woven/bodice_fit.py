"""The four halves of a bodice on one wearer, with the girth that was asked for."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from layfigure.body.form import Form
from layfigure.draft.knit.garment import is_alike
from layfigure.draft.woven.bodice_flat import HalfFlat, lay_half
from layfigure.draft.woven.bodice_points import half_points
from layfigure.draft.woven.ease import GirthEase
from layfigure.draft.woven.eased_trunk import EasedTrunk, eased_trunk
from layfigure.geometry.polyline import length

Points = NDArray[np.float64]

Side = Literal["left", "right"]
HALVES: tuple[tuple[str, Side], ...] = (
    ("front", "left"),
    ("front", "right"),
    ("back", "left"),
    ("back", "right"),
)
ROUNDS = 3
CLOSE = 3.0
"""Near enough to the girth asked for [mm]."""
DART_IN = 0.05
"""Waist darts lean in toward the centre by this share of where they are aimed (common practice)."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FittedBodice:
    """halves : flat, by part and side. trunk : the eased body they were measured on. waist, bust : wanted
    girths.
    """

    halves: Mapping[tuple[str, str], HalfFlat]
    trunk: EasedTrunk
    waist: float
    bust: float
    waist_line: Points
    alike: bool


def fitted_bodice(
    form: Form,
    waist_line: Points,
    ease: GirthEase,
    *,
    stack: float,
    drop: float,
    princess: bool = False,
    back_room: float = 0.0,
) -> FittedBodice:
    """Lay a bodice flat whose girths are the body's, what lies beneath, and the ease.

    waist_line : (m, 3) closed, from the centre front toward the wearer's left. drop : of the armholes.
    princess : as in ``lay_half``. back_room : how much wider the back is made between the armholes. A tape
    over flat pieces reads a little more at the bust than the trunk they were measured on; the stand-off is
    brought down until it reads what was asked for.
    """
    beneath = 2.0 * np.pi * stack
    waist = length(waist_line) + beneath + ease.waist
    bust = float(form.charts["torso"].girth(1.0)) + beneath + ease.bust
    own, alike = ease, is_alike(form)
    halves: dict[tuple[str, str], HalfFlat] = {}
    for _ in range(ROUNDS):
        trunk = eased_trunk(form, own, stack=stack)
        halves = {
            (part, side): lay_half(
                trunk,
                half_points(
                    trunk,
                    waist_line,
                    part,
                    side,
                    drop=drop,
                    waist_length=waist,
                    dart_in=DART_IN,
                    back_room=0.5 * back_room,
                ),
                part,
                princess=princess,
                like=halves.get((part, side)),
            )
            for part, side in HALVES
            if side == "left" or not alike
        }
        # Laid flat, both halves of a wearer whose sides are alike are the same.
        halves |= {(part, "right"): halves[part, "left"] for part, _ in HALVES if alike}
        over = sum(half.bust for half in halves.values()) - bust
        if abs(over) < CLOSE:
            break
        own = replace(own, bust=max(own.bust - over, 0.0))
    return FittedBodice(
        halves=halves, trunk=trunk, waist=waist, bust=bust, waist_line=waist_line, alike=alike
    )
