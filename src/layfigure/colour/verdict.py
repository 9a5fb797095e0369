"""Whether two colours match, in words, by published thresholds, and whether that can be said at all."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Literal

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Answer = Literal["match", "no match", "not sure"]

LIGHT_SKIN, DARK_SKIN = 65.0, 40.0
"""Lightness of typical light and dark skin (TRADE.md section 10, from memory); between them we interpolate
what is seen, which is ours and not published."""


@dataclass(frozen=True, slots=True)
class Threshold:
    """A published difference [CIEDE2000], and whose."""

    value: float
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """What counts for one pair: from where on it is seen, and no longer accepted."""

    seen: Threshold
    accepted: Threshold


@dataclass(frozen=True, slots=True, kw_only=True)
class Verdict:
    """difference : CIEDE2000, the best answer. low, high : half of the true ones lie below middle, 90 of
    100 between
    low and high. answer : match, no match, or not sure. words : what it looks like.
    """

    difference: float
    low: float
    middle: float
    high: float
    sure_to: float
    answer: Answer
    words: str


def limits_for(*, skin: bool, lightness: float) -> Limits:
    """Skin's thresholds for a pair with skin in it, cloth's for another. lightness : L* of the skin."""
    known = thresholds()
    if not skin:
        return Limits(seen=known["cloth_seen"], accepted=known["cloth_accepted"])
    light, dark = known["skin_seen_light"], known["skin_seen_dark"]
    share = float(np.clip((LIGHT_SKIN - lightness) / (LIGHT_SKIN - DARK_SKIN), 0.0, 1.0))
    source = light.source if share < 0.5 else dark.source
    return Limits(
        seen=Threshold(light.value + share * (dark.value - light.value), source),
        accepted=known["skin_accepted"],
    )


def judged(difference: float, draws: Array, limits: Limits) -> Verdict:
    """The verdict on a difference whose true value is spread as ``draws`` are."""
    low, middle, high = (float(value) for value in np.quantile(draws, [0.05, 0.5, 0.95]))
    accepted = limits.accepted.value
    # A pair is called only where the spread leaves no doubt on which side of what is accepted it lies.
    answer: Answer = "match" if high <= accepted else "no match" if low > accepted else "not sure"
    return Verdict(
        difference=difference,
        low=min(low, difference),
        middle=middle,
        high=max(high, difference),
        sure_to=float(np.quantile(np.abs(draws - difference), 0.95)),
        answer=answer,
        words=looks(difference, limits),
    )


def looks(difference: float, limits: Limits) -> str:
    """What a difference looks like."""
    known = thresholds()
    if difference <= limits.seen.value:
        return "no difference that can be seen"
    if difference <= limits.accepted.value:
        return "a difference that a close look finds, and most accept"
    if difference <= known["side_by_side"].value:
        return "a difference seen where the two touch"
    if difference <= known["different"].value:
        return "a difference seen side by side at a glance"
    return "two different colours"


@cache
def thresholds() -> dict[str, Threshold]:
    """Every threshold by use, each with its source."""
    text = files("layfigure.colour").joinpath("data/thresholds.toml").read_text(encoding="utf-8")
    return {row["use"]: Threshold(row["value"], row["source"]) for row in tomllib.loads(text)["thresholds"]}
