"""The skirt of a coat, or a skirt alone: four pleated panels from waist edge to level hem."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from layfigure.draft.registry import Check
from layfigure.draft.woven.options import WovenOptions
from layfigure.draft.woven.skirt_panel import SkirtPanel, skirt_panel
from layfigure.draft.woven.skirt_shape import SkirtShape

Points = NDArray[np.float64]
Side = Literal["left", "right"]

LINING_SHORTER = 20.0
LINING_PLEAT = 10.0
"""A lining ends this far above the hem and has pleats this deep, for movement [mm] (common practice)."""
ZIP_LENGTH = 200.0
MOST_TUCK = 40.0
"""A tuck behind takes up no more than this of the waist edge [mm] (common practice, no source)."""
SNAP = 5.0
"""A pleat this near to a dart of the bodice above is moved to meet it [mm]."""
CLEAR = 1.0
"""Two places on a waist edge nearer than this are one [mm]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PanelPlace:
    """Where a panel goes: turns from the front toward the wearer's left, the same order as seen from
    outside.

    left_seam, right_seam : names of the seams at its sides; centre_left : whether its left side is a
    centre line
    where the skirt may open.
    """

    slug: str
    first: float
    last: float
    left_seam: str
    right_seam: str


PANELS = (
    PanelPlace(slug="front_left", first=0.0, last=0.25, left_seam="centre_front", right_seam="side_left"),
    PanelPlace(slug="back_left", first=0.25, last=0.5, left_seam="side_left", right_seam="centre_back"),
    PanelPlace(slug="back_right", first=0.5, last=0.75, left_seam="centre_back", right_seam="side_right"),
    PanelPlace(slug="front_right", first=0.75, last=1.0, left_seam="side_right", right_seam="centre_front"),
)
"""Round the skirt from the centre front, toward the wearer's left."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SkirtPart:
    """A panel, its place, and the finished length of the strips that show at its waist edge [mm].

    depth : of its pleats at the hips, 0 where they are tucks that end there.
    """

    place: PanelPlace
    strips: tuple[float, ...]
    flat: SkirtPanel
    depth: float


def skirt_parts(
    shape: SkirtShape,
    options: WovenOptions,
    waists: Sequence[float],
    *,
    where: str,
    lining: bool = False,
    snap: Mapping[str, Sequence[float]] | None = None,
) -> tuple[SkirtPart, ...]:
    """The four panels laid flat. waists : finished waist edge of each, in the order of ``PANELS`` [mm].

    snap : panel to places along its finished waist edge that a pleat close by moves onto [mm].
    lining : with pleats as deep as a lining's, and a shorter hem. Raises DraftError as ``skirt_panel``.
    """
    parts = []
    rounds = [float(shape.round_at(p.first, p.last, float(shape.down.min()))[-1]) for p in PANELS]
    hips = [shape.hip * share / sum(rounds) for share in rounds]
    counts, depths = (
        _pleat_counts(options, waists, hips),
        [LINING_PLEAT if lining else options.pleat_depth] * 4,
    )
    behind = [k for k, place in enumerate(PANELS) if place.slug.startswith("back")]
    if shape.plain_seat and all(hips[k] > waists[k] for k in behind):
        for k in behind:
            counts[k] = max(1, math.ceil((hips[k] - waists[k]) / MOST_TUCK))
            depths[k] = 0.0
    for place, waist, hip, count, depth in zip(PANELS, waists, hips, counts, depths, strict=True):
        strips = _strips(waist, count, _plain(options, place), front_first=place.slug == "front_left")
        strips = _snapped(strips, (snap or {}).get(place.slug, ()))
        to_right = place.first < 0.5
        turned = [to_right if options.pleat_style == "knife" else bool(k % 2) for k in range(count)]
        flat = skirt_panel(
            strips,
            shape.rise(place.first, place.last, waist),
            hip=hip,
            hem=float(shape.down.mean()) - shape.taper - (LINING_SHORTER if lining else 0.0),
            depth=depth,
            facing_right=turned,
            where=where,
        )
        parts.append(SkirtPart(place=place, strips=tuple(strips), flat=flat, depth=depth))
    return tuple(parts)


def _pleat_counts(options: WovenOptions, waists: Sequence[float], hips: Sequence[float]) -> list[int]:
    """Pleats of every panel, left and right alike."""
    by = 2 if options.pleat_style == "box" else 1
    if options.pleats is None:
        front, back = (
            min(_most_pleats(options, waists[k], hips[k], _plain(options, PANELS[k])) for k in pair)
            for pair in ((0, 3), (1, 2))
        )
        front, back = max(by, front - front % by), max(by, back - back % by)
    else:
        half = options.pleats // 2
        front = int(np.clip(round(half * (waists[0] + waists[3]) / sum(waists)), by, half - by))
        front -= front % by
        back = half - front
        back += back % by
    return [front, back, back, front]


def _most_pleats(options: WovenOptions, waist: float, hip: float, plain: float) -> int:
    """The most pleats of one panel that lie three thick and no thicker at the waist."""
    count = 1
    while count < 40:
        more = count + 1
        step = _strips(waist, more, plain, front_first=True)[1]
        if options.pleat_depth + 0.5 * (hip - waist) / more > step - SNAP:
            break
        count = more
    return count


def _plain(options: WovenOptions, place: PanelPlace) -> float:
    """Width kept plain beside an open front [mm]."""
    closed_front = options.closure == "back_zip"
    return 0.0 if closed_front or not place.slug.startswith("front") else options.front_plain


def _strips(waist: float, count: int, plain: float, *, front_first: bool) -> list[float]:
    """Length of every strip at the waist: half ones at the seams, and a plain one at an open front."""
    if plain == 0.0:
        step = waist / count
        return [0.5 * step, *([step] * (count - 1)), 0.5 * step]
    plain = min(plain, 0.5 * waist)
    step = (waist - plain) / (count - 0.5)
    strips = [plain, *([step] * (count - 1)), 0.5 * step]
    return strips if front_first else strips[::-1]


def _snapped(strips: Sequence[float], places: Sequence[float]) -> list[float]:
    """Strips whose borders lie on a place wherever they came near it."""
    ends = np.concatenate([[0.0], np.cumsum(strips)])
    for place in places:
        near = 1 + int(np.abs(ends[1:-1] - place).argmin())
        if abs(ends[near] - place) < SNAP:
            ends[near] = place
    return [float(step) for step in np.diff(ends)]


def skirt_checks(
    shape: SkirtShape, parts: Sequence[SkirtPart], options: WovenOptions, cloth_width: float, *, waist: float
) -> tuple[Check, ...]:
    """What can go wrong with a pleated skirt, in words. waist : what it is sewn to, or wanted [mm]."""
    sewn = sum(
        float(np.linalg.norm(np.diff(strip, axis=0), axis=1).sum()) for p in parts for strip in p.flat.visible
    )
    deepest, narrowest = max(
        (
            (part.depth + 0.5 * part.flat.taper, min(part.strips[1:-1], default=max(part.strips)))
            for part in parts
        ),
        key=lambda pair: pair[0] - pair[1],
    )
    widest = max(part.flat.width for part in parts) + 2.0 * options.let_out + options.overlap
    folded = sum(part.flat.width - 2.0 * len(part.flat.hidden) * part.depth for part in parts)
    return (
        Check.at_most(
            what="how far the pleated waist edge is from the length it must have",
            unit="mm",
            value=abs(sewn - waist),
            limit=0.5,
        ),
        Check.at_most(
            what="how far the hips of the folded skirt are from body and ease",
            unit="mm",
            value=abs(folded - shape.hip),
            limit=0.5,
        ),
        Check.at_least(
            what="least room round the body between waist and hem",
            unit="mm",
            value=shape.room,
            limit=0.0,
            advice="Give the waist or the hips more ease.",
        ),
        Check.at_most(
            what="how far the hem is off level",
            unit="mm",
            value=shape.unlevel,
            limit=5.0,
            advice="Level the hem on the wearer before you turn it up.",
        ),
        Check.at_most(
            what="depth of a pleat at the waist (deeper than its spacing, it lies five thick)",
            unit="mm",
            value=deepest,
            limit=narrowest,
            advice="Take fewer or shallower pleats, or a thin cloth.",
        ),
        Check.at_most(
            what="width of the widest panel",
            unit="mm",
            value=widest,
            limit=cloth_width,
            advice="Join cloth inside a pleat, where it does not show.",
        ),
    )
