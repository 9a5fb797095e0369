"""What to change where neckline and armhole leave no shoulder between them: each change is tried first."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

from layfigure.draft.flatten.panel import Panel
from layfigure.draft.knit.parts import SHORTEST
from layfigure.errors import DraftError
from layfigure.geometry.polyline import length

ROOM = 1.25 * SHORTEST
"""A shoulder as long as this on the body is long enough once cloth is taken off it [mm]."""
WIDTH_STEP, INWARD_STEP = 0.05, 5.0
"""Steps in which a smaller neck_width [share] and armhole_in [mm] are tried."""


def shoulders_hold(panels: Sequence[Panel]) -> bool:
    """Whether every shoulder of panels on the body is long enough to be sewn."""
    return all(
        length(panel.vertices[edge.vertices]) >= ROOM
        for panel in panels
        for edge in panel.outline
        if edge.slug.startswith("shoulder")
    )


def no_shoulder_left(
    width: float, inward: float, holds: Callable[[float, float], bool], *, where: str
) -> DraftError | None:
    """The refusal, with the largest neck_width and armhole_in that leave a shoulder, each tried
    alone; None where the shoulder is not what is at fault.

    width : share of the shoulder. inward : [mm]. holds : whether both leave a shoulder.
    """
    widths = np.arange(np.ceil(width / WIDTH_STEP) - 1.0, 0.0, -1.0) * WIDTH_STEP
    inwards = np.arange(np.ceil(inward / INWARD_STEP) - 1.0, -1.0, -1.0) * INWARD_STEP
    neck = next((float(w) for w in widths if holds(float(w), inward)), None)
    armhole = next((float(i) for i in inwards if holds(width, float(i))), None)
    tried = [] if neck is None else [f'neck_width = "{neck:.0%}"'.replace("%", " %")]
    tried += [] if armhole is None else [f'armhole_in = "{armhole:.0f} mm"']
    if not tried:
        return None
    each = "either" if len(tried) > 1 else "it"
    return DraftError(
        f"between neckline and armhole less than {SHORTEST:.0f} mm of the shoulder would be left.",
        where=where,
        advice=f"Write {' or '.join(tried)}: {each} leaves enough, as tried on this body.",
    )
