"""What lets a cloth take the roundest places of a close garment: less taken off, or more stretch, computed.

A seam over the place, as was advised before, is no help that can be promised: on the bodies of
``tests/draft/test_advice_helps.py`` three panels in place of one front ask as much of the cloth.
"""

from __future__ import annotations

import math
from dataclasses import replace

from layfigure.draft.knit.panel_cloths import PanelCloth
from layfigure.materials.cloth import Cloth
from layfigure.materials.stretch import Reduction, choose_reduction

LEAST_SPARE = 0.05
"""Stretch that is taken to be there on top of the fit, however close it is."""

MARGIN = 0.005
"""Beyond what is asked, since a panel cut for another fit comes out a little different."""

MOST_STRETCH = 1.5
"""No knit is looked for that stretches more than this."""


def spare_stretch(cloth: Cloth, reduction: Reduction) -> float:
    """Stretch that may come on top of the ease at the most stretched places, before movement needs it."""
    round_used, _ = reduction.worn_stretch
    return max(LEAST_SPARE, 0.5 * cloth.stretch_across - round_used)


def stretch_advice(own: PanelCloth, asked: float, *, whole_garment: bool) -> str:
    """How much less to take off, and how far a cloth would have to stretch.

    asked : on top of the fit, by the roundest panel of this cloth. whole_garment : the reduction is the
    garment's own, which its options say.
    """
    wanted = asked + MARGIN
    used = 0.5 * own.cloth.stretch_across - wanted
    percent = math.floor(100.0 * used / (1.0 + used) + 1e-9)
    said = []
    if whole_garment and 0 <= percent < 100.0 * own.reduction.around:
        said.append(f"Take less off round the body, reduction_round = '{percent} %'")
    stretch = _enough(own, wanted)
    if stretch is not None:
        said.append(f"{'t' if said else 'T'}ake a cloth that stretches by {stretch} % round the body")
    return ", or ".join(said) + "." if said else "Divide the panel by a seam of the design there."


def _enough(own: PanelCloth, wanted: float) -> int | None:
    """Stretch across of the first cloth that has so much to spare [%]."""
    usual = own.reduction == choose_reduction(own.cloth)
    for percent in range(math.floor(100.0 * own.cloth.stretch_across) + 1, round(100.0 * MOST_STRETCH) + 1):
        cloth = replace(own.cloth, stretch_across=0.01 * percent)
        reduction = choose_reduction(cloth) if usual else own.reduction
        if spare_stretch(cloth, reduction) >= wanted:
            return percent
    return None
