"""Openings of a close garment: how they are called, and how long they are on cloth and on the body."""

from __future__ import annotations

from collections.abc import Mapping

from layfigure.draft.flatten.panel import FlatPanel
from layfigure.draft.knit.garment import KnitGarment, Opening
from layfigure.draft.knit.panel_cloths import PanelCloth
from layfigure.geometry.polyline import length

_WORDS = {"top": "upper edge", "leg": "leg opening", "neck": "neckline"}


def opening_words(slug: str) -> str:
    """An opening as a maker would call it: ``hem_left`` is the left hem."""
    part, _, side = slug.rpartition("_")
    if side not in ("left", "right"):
        return _WORDS.get(slug, slug)
    return f"{side} {_WORDS.get(part, part)}"


def over_middle(garment: KnitGarment, opening: Opening) -> bool:
    """Whether an opening runs over both copies of a pair."""
    return garment.pair and not opening.slug.endswith(("_left", "_right"))


def cut_lengths(garment: KnitGarment, flats: Mapping[str, FlatPanel], opening: Opening) -> dict[str, float]:
    """Panel slug to the cut length of its part of an opening [mm], on the drafted side."""
    found: dict[str, float] = {}
    for plan in garment.pattern.plan.panels:
        for edge in plan.edges:
            if edge.line in opening.lines:
                own = length(flats[plan.slug].curves[edge.slug])
                found[plan.slug] = found.get(plan.slug, 0.0) + own
    return found


def cut_round(garment: KnitGarment, flats: Mapping[str, FlatPanel], opening: Opening) -> float:
    """Cut length of an opening all round [mm]; a pair's centre opening runs over both copies."""
    total = sum(cut_lengths(garment, flats, opening).values())
    return 2.0 * total if over_middle(garment, opening) else total


def worn_lengths(garment: KnitGarment, opening: Opening) -> dict[str, float]:
    """Panel slug to the length of its part of an opening as it lies on the body [mm], on the drafted side."""
    panels = {panel.slug: panel for panel in garment.panels}
    found: dict[str, float] = {}
    for plan in garment.pattern.plan.panels:
        panel = panels[plan.slug]
        for use, edge in zip(plan.edges, panel.outline, strict=True):
            if use.line in opening.lines:
                own = length(panel.vertices[edge.vertices])
                found[plan.slug] = found.get(plan.slug, 0.0) + own
    return found


def worn_round(garment: KnitGarment, opening: Opening) -> float:
    """Length of an opening all round as it lies on the body [mm]."""
    total = sum(worn_lengths(garment, opening).values())
    return 2.0 * total if over_middle(garment, opening) else total


def stretch_round(
    garment: KnitGarment,
    flats: Mapping[str, FlatPanel],
    opening: Opening,
    cloths: Mapping[str, PanelCloth],
) -> float:
    """How far an opening stretches all round, as a share: each panel's part by its own cloth."""
    parts = cut_lengths(garment, flats, opening)
    whole = sum(parts.values())
    return sum(own * cloths[slug].cloth.stretch_across for slug, own in parts.items()) / whole
