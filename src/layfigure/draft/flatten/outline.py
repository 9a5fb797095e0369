"""Panels' outlines as splines of speed and heading, so that mates are equal in length by construction.

Along an edge at position σ in [0, 1], the outline runs at speed g(σ) [mm per unit of σ] in direction θ(σ):

    c(σ) = c₀ + ∫ g (cos θ, sin θ) dσ

Mates share g, so between any two corresponding points they are equally long whatever their θ. Corner angles
are differences of θ, hence linear. Both log g and θ are cubic splines.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from layfigure.draft.flatten.one_mesh import slices
from layfigure.draft.flatten.splines import coefficient_count, roughness

Reals = NDArray[np.float64]
Indices = NDArray[np.int64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class OutlineEdge:
    """One edge of one panel's outline, prepared for integration.

    seam : index of the speed it runs at. against : it runs against that speed's own σ.
    first : where its heading's coefficients start in the panel's. spans : of its heading, 0 when straight.
    length : on the body [mm]. sigma : (v,) its vertices' positions in its own direction, 0 to 1.
    """

    seam: int
    against: bool
    first: int
    spans: int
    length: float
    sigma: Reals

    @property
    def count(self) -> int:
        """Number of heading coefficients."""
        return coefficient_count(self.spans)

    def fairness(self, stiffness: float) -> Reals:
        """Penalty on the change of curvature along the edge, (count, count).

        A faint penalty on curvature itself settles edges too short to be held by the panel.
        """
        if not self.spans:
            return np.zeros((1, 1))
        bending = roughness(self.spans, 2) / self.length**3
        return stiffness * (bending + 1e-4 * roughness(self.spans, 1) / (self.length * 100.0))


@dataclass(frozen=True, slots=True, kw_only=True)
class SeamSpeed:
    """The speed shared by every use of a seam, log-spline over the seam's own σ.

    length : mean over its uses on the body [mm].
    """

    spans: int
    length: float

    @property
    def count(self) -> int:
        """Number of coefficients."""
        return coefficient_count(self.spans)

    def fairness(self, stiffness: float) -> Reals:
        """Penalty on uneven change of speed, (count, count)."""
        return stiffness * roughness(self.spans, 2) / self.length**3


@dataclass(frozen=True, slots=True, eq=False)
class OutlineUnknowns:
    """All panels' unknowns in one line: the headings of each in turn, then every seam's speed.

    headings : of each panel, their place there. columns : of each panel, (s,) places of its seams'
    coefficients among all seams'. total : of all headings. A panel's own coefficients are its headings and
    then its seams' speeds: own : of each panel, their place in a line of all panels' own; spread : (k,) which
    unknown each of these is; seam_places : of each panel, seam to where its coefficients start in that line.
    """

    headings: tuple[slice, ...]
    columns: tuple[Indices, ...]
    total: int
    own: tuple[slice, ...]
    spread: Indices
    seam_places: tuple[dict[int, int], ...]


def outline_unknowns(outlines: Sequence[tuple[OutlineEdge, ...]], offsets: Indices) -> OutlineUnknowns:
    """Where every panel's unknowns stand. offsets : (number of seams + 1,) where each seam's start."""
    counts = [edges[-1].first + edges[-1].count for edges in outlines]
    total = sum(counts)
    columns: list[Indices] = []
    seam_places: list[dict[int, int]] = []
    spread: list[Indices] = []
    own = [0]
    for edges, heading, count in zip(outlines, slices(counts), counts, strict=True):
        seams = list(dict.fromkeys(edge.seam for edge in edges))
        places = [np.arange(offsets[seam], offsets[seam + 1]) for seam in seams]
        starts = own[-1] + count + np.cumsum([0, *(place.size for place in places)])
        columns.append(np.concatenate(places))
        seam_places.append(dict(zip(seams, starts[:-1].tolist(), strict=True)))
        spread += [np.arange(heading.start, heading.stop), total + columns[-1]]
        own.append(int(starts[-1]))
    return OutlineUnknowns(
        headings=slices(counts),
        columns=tuple(columns),
        total=total,
        own=slices(np.diff(own)),
        spread=np.concatenate(spread),
        seam_places=tuple(seam_places),
    )
