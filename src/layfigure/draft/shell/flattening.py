"""Panels of a shell made flat together by the solver that makes close cloth flat."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from layfigure.draft.flatten.panel import Ease, FlatPanel, Panel
from layfigure.draft.flatten.truing import flatten_panels
from layfigure.draft.flatten.worn_stretch import greatest_stretch_p95

STRETCH_P95, STRETCH_MOST = 0.03, 0.06
"""What stiff sheets take by hand or heat: common practice gives 2 to 5 % of doming to leather and foam."""

AS_IT_IS = Ease(around=0.0, along=0.0)

ENLARGED = 3.0
"""Stitch lines of cloth are faired over waves shorter than 100 mm. A dome has narrower curves than that, so
it is laid flat at three times its size."""


def flatten_shell(panels: Sequence[Panel]) -> dict[str, FlatPanel]:
    """Flat panels by slug, seams equally long on both their panels. Raises DraftError where they fold."""
    large = [replace(panel, vertices=ENLARGED * panel.vertices) for panel in panels]
    flats = flatten_panels(large, AS_IT_IS)
    return {
        panel.slug: replace(
            flats[panel.slug],
            panel=panel,
            vertices=flats[panel.slug].vertices / ENLARGED,
            curves={edge: curve / ENLARGED for edge, curve in flats[panel.slug].curves.items()},
        )
        for panel in panels
    }


def stretches(flats: dict[str, FlatPanel]) -> tuple[float, float]:
    """Largest 95th percentile over a panel's area, and largest of all, of stretch or slack; shares."""
    return (
        max(greatest_stretch_p95(flat) for flat in flats.values()),
        max(float(np.abs(flat.stretch).max()) for flat in flats.values()),
    )
