"""The integral of all panels' outlines, from outline vertex to outline vertex, as one sparse matrix."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csr_matrix

from layfigure.draft.flatten.one_mesh import slices
from layfigure.draft.flatten.outline import OutlineEdge, OutlineUnknowns, SeamSpeed
from layfigure.draft.flatten.splines import GAUSS_NODES, GAUSS_POINTS, GAUSS_WEIGHTS, spline_values

Complex = NDArray[np.complex128]
Reals = NDArray[np.float64]
Indices = NDArray[np.int64]


@dataclass(frozen=True, slots=True, eq=False)
class OutlineQuadrature:
    """Three Gauss nodes on every side of every outline: they integrate it to below a micrometre for sides
    of 10 mm.

    unknowns : where what it takes stands. exponent : (q, k) complex, takes the panels' own coefficients to
    log g over the mean speed + iθ at all nodes. scale : (q,) weight times mean speed [mm].
    sides : of each panel, its outline's sides among all, three nodes each.
    """

    unknowns: OutlineUnknowns
    exponent: csr_matrix
    scale: Reals
    sides: tuple[slice, ...]

    def nodes(self, panel: int) -> slice:
        """One panel's nodes among all."""
        own = self.sides[panel]
        return slice(GAUSS_NODES * own.start, GAUSS_NODES * own.stop)

    def increments(self, unknowns: Reals) -> Complex:
        """Contribution of every node, (q,) complex [mm]."""
        exponents = self.exponent @ unknowns[self.unknowns.spread]
        return np.asarray(self.scale * np.exp(exponents), dtype=np.complex128)

    def positions(self, increments: Complex) -> tuple[Complex, Complex]:
        """Outline vertices, each panel's from its first corner at 0, (b,), and the gap left on coming round
        each panel, (p,).
        """
        reached = np.concatenate([[0.0 + 0j], np.cumsum(increments.reshape(-1, GAUSS_NODES).sum(axis=1))])
        starts = reached[[own.start for own in self.sides]]
        gaps = reached[[own.stop for own in self.sides]] - starts
        return reached[:-1] - self.of_sides(starts), gaps

    def of_sides(self, values: Complex) -> Complex:
        """Values of panels, (p,), given to each of their sides, (b,)."""
        return np.repeat(values, [own.stop - own.start for own in self.sides])

    def derivatives(self, increments: Complex, panel: int) -> Reals:
        """Derivatives of the x and y of one panel's :meth:`positions` by its own coefficients,
        (2, b, h + s).
        """
        sides, nodes, own = self.sides[panel], self.nodes(panel), self.unknowns.own[panel]
        starts = self.exponent.indptr[nodes.start : nodes.stop + 1]
        values = slice(starts[0], starts[-1])
        data = np.repeat(increments[nodes], np.diff(starts)) * self.exponent.data[values]
        # Every third row's start: the three nodes of a side fall into one row and are summed there.
        by_side = csr_matrix(
            (data, self.exponent.indices[values] - own.start, starts[::GAUSS_NODES] - starts[0]),
            shape=(sides.stop - sides.start, own.stop - own.start),
        ).toarray()
        # The last side only closes the outline and moves no vertex.
        moved = np.zeros((2, *by_side.shape))
        np.cumsum(by_side.real[:-1], axis=0, out=moved[0, 1:])
        np.cumsum(by_side.imag[:-1], axis=0, out=moved[1, 1:])
        return moved

    def slopes(self, increments: Complex, forces: Complex) -> Reals:
        """Derivatives by the panels' own coefficients of the gap's x and y, and of forces' work on the
        vertices, (3, k).

        forces : (b,) complex.
        """
        # A node moves every vertex of its outline that comes after it.
        reached = np.cumsum(forces)
        after = self.of_sides(reached[[own.stop - 1 for own in self.sides]]) - reached
        work = (after.conj()[:, None] * increments.reshape(-1, GAUSS_NODES)).ravel()
        by_coefficients = self.exponent.T @ np.stack([increments, work], axis=1)
        return np.stack([by_coefficients[:, 0].real, by_coefficients[:, 0].imag, by_coefficients[:, 1].real])

    def greatest_turn(self, change: Reals) -> float:
        """How far a change of the unknowns turns any outline anywhere [rad]."""
        return float(np.abs((self.exponent @ change[self.unknowns.spread]).imag).max())


def outline_quadrature(
    outlines: Sequence[tuple[OutlineEdge, ...]],
    speeds: Sequence[SeamSpeed],
    unknowns: OutlineUnknowns,
    positions: Sequence[Reals],
) -> OutlineQuadrature:
    """The integral of the outlines between given positions.

    outlines : of each panel. positions : of every edge of one panel after another, in its own direction from
    0 to 1.
    """
    nodes = _nodes(outlines, speeds, unknowns, positions)
    columns = np.concatenate([nodes.heading_columns, nodes.speed_columns], axis=1)
    values = np.concatenate([1j * nodes.heading_values, nodes.speed_values], axis=1)
    exponent = csr_matrix(
        (values.ravel(), columns.ravel(), np.arange(0, values.size + 1, values.shape[1])),
        shape=(len(values), unknowns.spread.size),
    )
    counts = iter(at.size - 1 for at in positions)
    sides = slices(sum(next(counts) for _ in outline) for outline in outlines)
    return OutlineQuadrature(unknowns, exponent, nodes.scale, sides)


def sampled_edges(
    outlines: Sequence[tuple[OutlineEdge, ...]],
    speeds: Sequence[SeamSpeed],
    unknowns: OutlineUnknowns,
    values: Reals,
    samples: Sequence[int],
) -> list[Complex]:
    """Every edge of one panel after another from 0, at points equally spaced in σ, (samples,) complex [mm].

    values : of all unknowns. samples : of every edge.
    """
    nodes = _nodes(outlines, speeds, unknowns, [np.linspace(0.0, 1.0, count) for count in samples])
    own = values[unknowns.spread]
    headings = np.einsum("qk,qk->q", nodes.heading_values, own[nodes.heading_columns])
    logs = np.einsum("qk,qk->q", nodes.speed_values, own[nodes.speed_columns])
    steps = (nodes.scale * np.exp(logs + 1j * headings)).reshape(-1, GAUSS_NODES).sum(axis=1)
    cuts = np.cumsum(np.subtract(samples, 1))[:-1]
    return [np.concatenate([[0.0 + 0j], np.cumsum(edge)]) for edge in np.split(steps, cuts)]


@dataclass(frozen=True, slots=True, eq=False)
class _Nodes:
    """Which own coefficients, (q, 4), the headings and the log speeds at all nodes are made of, and of how
    much of each, (q, 4); and weight times mean speed, (q,) [mm].
    """

    heading_columns: Indices
    heading_values: Reals
    speed_columns: Indices
    speed_values: Reals
    scale: Reals


def _nodes(
    outlines: Sequence[tuple[OutlineEdge, ...]],
    speeds: Sequence[SeamSpeed],
    unknowns: OutlineUnknowns,
    positions: Sequence[Reals],
) -> _Nodes:
    """Gauss nodes between positions along every edge."""
    rows = [
        (
            own.start + edge.first,
            edge.spans,
            seam_places[edge.seam],
            speeds[edge.seam].spans,
            edge.against,
        )
        for outline, own, seam_places in zip(outlines, unknowns.own, unknowns.seam_places, strict=True)
        for edge in outline
    ]
    sides = [at.size - 1 for at in positions]
    heading, heading_spans, speed, speed_spans, against = np.repeat(
        np.array(rows).T, [GAUSS_NODES * count for count in sides], axis=1
    )
    lengths = np.repeat([speeds[edge.seam].length for outline in outlines for edge in outline], sides)
    steps = np.concatenate([np.diff(at) for at in positions])[:, None]
    at = (np.concatenate([at[:-1] for at in positions])[:, None] + steps * GAUSS_POINTS).ravel()
    first, heading_values = spline_values(heading_spans, at)
    # A constant has one value; the zeros after it stay with it, or they would name a neighbour's column.
    heading_columns = (heading + first)[:, None] + np.where(heading_spans[:, None] > 0, np.arange(4), 0)
    first, speed_values = spline_values(speed_spans, np.where(against > 0, 1.0 - at, at))
    speed_columns = (speed + first)[:, None] + np.arange(4)
    scale = (lengths[:, None] * steps * GAUSS_WEIGHTS).ravel()
    return _Nodes(heading_columns, heading_values, speed_columns, speed_values, scale)
