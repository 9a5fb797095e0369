"""Panels of a shell made flat together by the solver that makes close cloth flat, and a quick look before."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from layfigure.draft.flatten.free_placing import FreePlacing, place_freely
from layfigure.draft.flatten.panel import Ease, FlatPanel, Panel
from layfigure.draft.flatten.rest_shape import face_stretches
from layfigure.draft.flatten.truing import flatten_panels
from layfigure.draft.flatten.worn_stretch import greatest_stretch_p95, weighted_quantile

STRETCH_P95, STRETCH_MOST = 0.03, 0.06
"""What stiff sheets take by hand or heat: common practice gives 2 to 5 % of doming to leather and foam."""

AS_IT_IS = Ease(around=0.0, along=0.0)

ENLARGED = 3.0
"""Stitch lines of cloth are faired over waves shorter than 100 mm. A dome has narrower curves than that, so
it is laid flat at three times its size."""

SURELY = 1.15
"""A panel laid flat alone that exceeds what sheets take by so much exceeds it among its mates too: of 302
tries on 25 random bodies none that could be used looked worse than 1.12 alone."""

QUICK_STEPS = 4


def begin_flattening(panels: Sequence[Panel]) -> FreePlacing:
    """Panels, enlarged, each laid flat alone by a few steps."""
    large = [replace(panel, vertices=ENLARGED * panel.vertices) for panel in panels]
    return place_freely(large, AS_IT_IS, steps=QUICK_STEPS)


def surely_too_far(begun: FreePlacing) -> float | None:
    """By how many times one panel laid flat alone exceeds what sheets take, or None where none surely does.

    Tells for a tenth of the work of ``flatten_shell`` where that would be in vain.
    """
    rest = begun.stiffness.rest
    stretch = np.abs(face_stretches(rest, begun.flat, begun.stiffness.faces)[0]).max(axis=1)
    area = np.abs(((rest[:, 1] - rest[:, 0]).conj() * (rest[:, 2] - rest[:, 0])).imag)
    for part in begun.stiffness.mesh.parts:
        own = stretch[part.faces]
        exceeds = excess(weighted_quantile(own, area[part.faces], 0.95), float(own.max()))
        if exceeds > SURELY:
            return exceeds
    return None


def excess(p95: float, most: float) -> float:
    """Stretch as a multiple of what sheets take. p95, most : over an area, shares."""
    return max(p95 / STRETCH_P95, most / STRETCH_MOST)


def flatten_shell(
    panels: Sequence[Panel], begun: FreePlacing
) -> tuple[dict[str, FlatPanel], tuple[float, float]]:
    """Flat panels by slug, seams equally long on both their panels, and their ``stretches``.

    begun : of the same panels. Raises DraftError where they fold.
    """
    large = flatten_panels(begun.panels, AS_IT_IS, begun=begun)
    flats = {
        panel.slug: replace(
            large[panel.slug],
            panel=panel,
            vertices=large[panel.slug].vertices / ENLARGED,
            curves={edge: curve / ENLARGED for edge, curve in large[panel.slug].curves.items()},
        )
        for panel in panels
    }
    return flats, stretches(large)


def stretches(flats: dict[str, FlatPanel]) -> tuple[float, float]:
    """Largest 95th percentile over a panel's area, and largest of all, of stretch or slack; shares."""
    return (
        max(greatest_stretch_p95(flat) for flat in flats.values()),
        max(float(np.abs(flat.stretch).max()) for flat in flats.values()),
    )
