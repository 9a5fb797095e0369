"""What a finished wrap does on the body: whether it goes on, stays up, and how its bands meet."""

from __future__ import annotations

import math
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from layfigure.body.levels import split_region
from layfigure.draft.registry import Check, DraftRequest
from layfigure.draft.wrap.plan import WrapPlan
from layfigure.draft.wrap.surface import WrapSurface, inner_girths
from layfigure.geometry.bend import corner_bevel
from layfigure.geometry.parallel_slices import slice_stack
from layfigure.geometry.support_function import section_girth, support_values

Points = NDArray[np.float64]

SLIDE_LIMIT = 15.0
"""A wrap that settles further than this down a limb needs hanging up [mm] (common practice, no source)."""

REACH = 120.0
GIRTH_STEP = 4.0
SLIDES = "how far it slides down the limb"
PASSES = MappingProxyType(
    {"forearm": ("hand_with_thumb_girth", "hand"), "shank": ("heel_girth", "heel and foot")}
)
"""By region: the girth that must pass through a wrap on it, and what it is the girth of."""


def worn_checks(plan: WrapPlan, surface: WrapSurface, request: DraftRequest) -> list[Check]:
    """Whether a wrap right round a limb goes on and stays up; nothing is asked of a plate or on the trunk."""
    definition, side = split_region(plan.chart.region)
    if plan.join == "open" or not definition.paired:
        return []
    checks = []
    widest = None
    if definition.name in PASSES:
        measure, part = PASSES[definition.name]
        widest = request.form.measures.get(f"{measure}_{side}")
        opening = opening_check(surface, widest, part, opens=plan.join in ("overlap", "lacing"))
        if opening is not None:
            checks.append(opening)
    if not plan.hinged:
        checks.append(slide_check(slide(surface, plan.chart.sections, request.stack, beyond=widest)))
    return checks


def slide(surface: WrapSurface, sections: Points, stack: float, *, beyond: float | None = None) -> float:
    """How far a closed wrap slides down its limb before the limb is too wide for it [mm].

    sections : (k, n, 3) of the whole region, in space. stack : thickness worn under the wrap [mm].
    beyond : girth of the hand or foot that the region ends at [mm]; wider than the lower opening, it stops
    the wrap there. Infinity when nothing within 120 mm stops it. The limb is rigid here: soft flesh
    holds a little earlier, movement works it down a little further.
    """
    local = surface.frame.to_frame(sections)
    low, high = float(surface.bottom[:, 2].max()), float(surface.top[:, 2].min())
    if high <= low:
        return math.inf
    floor = float(local[:, :, 2].min())
    levels = np.arange(floor, high + GIRTH_STEP, GIRTH_STEP)
    hulls = support_values(slice_stack(local, levels), 96)
    whole = np.isfinite(hulls).all(axis=1)
    if not whole.any():
        return math.inf
    limb_girths = section_girth(hulls[whole]) + 2.0 * math.pi * stack
    inside = np.linspace(low, high, 40)
    wrap = inner_girths(surface.fit, inside)
    shifts = np.arange(0.0, min(REACH, max(0.0, low - floor)) + 0.5, 1.0)
    limb = np.interp(inside[None] - shifts[:, None], levels[whole], limb_girths, left=-np.inf)
    # A fifth of a per cent: the limb's girths here are of polygons of 96 sides.
    caught = (limb >= wrap[None] * 0.998).any(axis=1)
    if caught.any():
        return float(shifts[caught.argmax()])
    to_the_end = max(0.0, low - floor)
    stopped = beyond is not None and beyond > float(wrap[0]) and to_the_end <= REACH
    return to_the_end if stopped else math.inf


def slide_check(distance: float) -> Check:
    """Whether the wrap stays where it is put, in words."""
    stays = distance <= SLIDE_LIMIT
    stop = (
        f"The limb stops it after {distance:.0f} mm, which shows"
        if math.isfinite(distance)
        else f"Nothing on the limb stops it within {REACH:.0f} mm"
    )
    return Check(
        what=SLIDES,
        unit="mm",
        value=min(distance, REACH),
        limit=SLIDE_LIMIT,
        passed=stays,
        advice=""
        if stays
        else f"{stop}: hang it from the layer above, fasten it to the layer below with hook and loop, "
        "or line it with something that grips.",
    )


def opening_check(surface: WrapSurface, widest: float | None, part: str, *, opens: bool) -> Check | None:
    """Whether the wrap passes over the hand or the foot while closed; None where that is not known."""
    if widest is None:
        return None
    heights = np.linspace(float(surface.bottom[:, 2].max()), float(surface.top[:, 2].min()), 40)
    narrowest = float(inner_girths(surface.fit, heights).min())
    passes = narrowest >= widest
    if passes:
        advice = ""
    elif opens:
        advice = f"Closed, it does not pass over the {part}: open it to put it on and to take it off."
    else:
        advice = f"Glued shut it does not pass over the {part}: let it open, with an overlap or lacing."
    return Check(
        what=f"how much of the girth of the {part} passes through it closed",
        value=narrowest / widest,
        limit=1.0,
        passed=passes or opens,
        advice=advice,
    )


def bevels(surface: WrapSurface) -> tuple[tuple[float, float, float], ...]:
    """Bevel from square at each break between bands: least, mean and greatest round it [degrees].

    Positive where the outer faces would part (a ridge). The plates meet at an interior angle of half a turn
    less the change of lean, and each takes half.
    """
    result = []
    for below, above in zip(surface.fit.bands[:-1], surface.fit.bands[1:], strict=True):
        turn = np.arctan(below.slope()) - np.arctan(above.slope())
        bevel = np.array([math.degrees(corner_bevel(math.pi - float(t))) for t in turn])
        result.append((float(bevel.min()), float(bevel.mean()), float(bevel.max())))
    return tuple(result)
