"""Where corners of panels are sewn together, and what their angles must add up to there.

Corners meet where the seams at them end. If nothing but seams ends at the point, cloth surrounds it
and the angles add up to a full turn, unless the body comes to a point there. If openings end there,
the hem or neckline runs on smoothly across the seam and the angles add up to half a turn, unless the design
has a corner there. A fold edge stands for its own mirror image, so angles at its ends count half; so does a
seam that is used once among the panels given, since its mate is the panel's own mirror image.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from layfigure.draft.flatten.panel import Panel, PanelEdge

Reals = NDArray[np.float64]

SMOOTH_WITHIN = np.radians(15.0)
"""A point whose angles on the body miss the smooth sum by less than this is taken to be smooth: on a
mesh of 8 mm sides a smooth body misses it by some degrees, less on a finer mesh."""


@dataclass(frozen=True, slots=True)
class AngleSum:
    """Corners, as (panel, corner) indices, and the sum their inner angles must have [rad]."""

    corners: tuple[tuple[int, int], ...]
    total: float


def angle_sums(panels: Sequence[Panel], body_angles: Sequence[Reals]) -> list[AngleSum]:
    """Every condition on corner angles. body_angles : a panel's corner angles on the body [rad].

    Corner k of a panel is the start of its edge k. A corner where no seam and no fold ends is left
    free, except that an edge running on smoothly is kept smooth.
    """
    uses = Counter(edge.seam for panel in panels for edge in panel.outline)
    conditions: list[AngleSum] = []
    for corners in _sewn_corners(panels):
        edges = [edge for p, k in corners for edge in _edges_at(panels[p], k)]
        open_edges = any(edge.seam is None and not edge.straight for edge in edges)
        folded = any(edge.straight if edge.seam is None else uses[edge.seam] == 1 for edge in edges)
        smooth = (np.pi if open_edges else 2.0 * np.pi) / (2.0 if folded else 1.0)
        measured = {corner: float(body_angles[corner[0]][corner[1]]) for corner in corners}
        total = sum(measured.values())
        near = abs(total - smooth) < SMOOTH_WITHIN / (2.0 if folded else 1.0)
        if len(corners) == 1 and not folded:
            # A lone corner: a dart's tip, or an edge divided only in name.
            if abs(total - np.pi) < SMOOTH_WITHIN:
                conditions.append(AngleSum(corners, np.pi))
            continue
        wanted = smooth if near else total
        flat = [c for c in corners if abs(measured[c] - np.pi) < SMOOTH_WITHIN and near and len(corners) > 2]
        # An edge that others end on runs straight past the point, so the others share the rest.
        if len(flat) == 1 and not open_edges and not folded:
            conditions.append(AngleSum((flat[0],), np.pi))
            rest = tuple(c for c in corners if c != flat[0])
            conditions.append(AngleSum(rest, wanted - np.pi))
        else:
            conditions.append(AngleSum(corners, wanted))
    return conditions


def _edges_at(panel: Panel, corner: int) -> tuple[PanelEdge, PanelEdge]:
    """The edge that ends at a corner and the one that starts there."""
    return panel.outline[corner - 1], panel.outline[corner]


def _sewn_corners(panels: Sequence[Panel]) -> list[tuple[tuple[int, int], ...]]:
    """Corners grouped by the point at which they are sewn together."""
    parent: dict[object, object] = {}

    def root(item: object) -> object:
        while (above := parent.setdefault(item, item)) != item:
            item = above
        return item

    corners = [(p, k) for p, panel in enumerate(panels) for k in range(len(panel.outline))]
    for p, panel in enumerate(panels):
        for k, edge in enumerate(panel.outline):
            if edge.seam is not None:
                following = (k + 1) % len(panel.outline)
                for end, place in enumerate((k, following)):
                    parent[root((p, place))] = root((edge.seam, end ^ edge.against))
    groups: dict[object, list[tuple[int, int]]] = {}
    for corner in corners:
        groups.setdefault(root(corner), []).append(corner)
    return [tuple(group) for group in groups.values()]
