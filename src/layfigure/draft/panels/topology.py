"""Which panels a garment has, and which seams join them, before anything has a size.

A seam is one line of the design with two uses, running opposite ways round their panels; it is named by
what it is on the body (``side_left``, ``centre_front``), the same name in every garment that has it.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass

from layfigure.piece.piece import EdgeRole


@dataclass(frozen=True, slots=True, kw_only=True)
class SeamUse:
    """One edge of a panel.

    slug : name on the panel. line : name of the line on the body it follows. role : as on the piece.
    seam : identity of the seam, None at an opening or hem. against : runs against the seam's direction.
    met_by : line of a seam that ends where this edge starts, from the other side of the seam it is sewn to.
    """

    slug: str
    line: str
    role: EdgeRole = "seam"
    seam: str | None = None
    against: bool = False
    met_by: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class PanelPlan:
    """A panel to be: its edges counter-clockwise as seen from outside the body.

    whole : the panel that it is a part of, where the design's own seams divide one; empty for a whole one.
    beside : for each of those seams along it, the side it lies on and the seam: ``("above", "hip_yoke")``.
    """

    slug: str
    edges: tuple[SeamUse, ...]
    whole: str = ""
    beside: tuple[tuple[str, str], ...] = ()

    @property
    def of(self) -> str:
        """The whole panel it is, or is a part of."""
        return self.whole or self.slug


@dataclass(frozen=True, slots=True, kw_only=True)
class GarmentPlan:
    """The panels of one garment. mirrored : seams whose mate is the mirrored copy of the same panel."""

    panels: tuple[PanelPlan, ...]
    mirrored: frozenset[str] = frozenset()

    def uses(self) -> dict[str, list[tuple[str, SeamUse]]]:
        """Every seam with the panels and edges that use it."""
        found: dict[str, list[tuple[str, SeamUse]]] = defaultdict(list)
        for panel in self.panels:
            for edge in panel.edges:
                if edge.seam is not None:
                    found[edge.seam].append((panel.slug, edge))
        return dict(found)

    def faults(self) -> list[str]:
        """What keeps the panels from being sewn together; empty when every seam has two opposite uses."""
        found: list[str] = []
        for seam, uses in self.uses().items():
            if seam in self.mirrored:
                if len(uses) != 1:
                    found.append(f"seam {seam} is mirrored and has {len(uses)} uses instead of one")
            elif len(uses) != 2:
                found.append(f"seam {seam} has {len(uses)} uses instead of two")
            elif uses[0][1].against == uses[1][1].against:
                found.append(f"both uses of seam {seam} run the same way")
        for panel in self.panels:
            slugs = [edge.slug for edge in panel.edges]
            if len(set(slugs)) != len(slugs):
                found.append(f"panel {panel.slug} names two edges alike")
        return found
