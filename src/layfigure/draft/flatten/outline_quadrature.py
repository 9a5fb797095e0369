"""The integral of all panels' outlines, from outline vertex to outline vertex, as one sparse matrix."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csr_matrix

from layfigure.draft.flatten.one_mesh import slices
from layfigure.draft.flatten.outline import OutlineEdge, OutlineUnknowns, SeamSpeed
from layfigure.draft.flatten.splines import (
    GAUSS_NODES,
    GAUSS_POINTS,
    GAUSS_WEIGHTS,
    spline_columns,
    splines_at,
)

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
    edges = _edge_splines(outlines, speeds, unknowns)
    sides = np.array([at.size - 1 for at in positions])
    steps = np.concatenate([np.diff(at) for at in positions])[:, None]
    at = (np.concatenate([at[:-1] for at in positions])[:, None] + steps * GAUSS_POINTS).ravel()
    which = np.repeat(np.arange(sides.size), GAUSS_NODES * sides)
    headings = spline_columns(edges.heading[which], edges.heading_spans[which], at)
    logs = spline_columns(edges.speed[which], edges.speed_spans[which], edges.along_speed(which, at))
    columns = np.concatenate([headings[0], logs[0]], axis=1)
    values = np.concatenate([1j * headings[1], logs[1]], axis=1)
    exponent = csr_matrix(
        (values.ravel(), columns.ravel(), np.arange(0, values.size + 1, values.shape[1])),
        shape=(at.size, unknowns.spread.size),
    )
    scale = (np.repeat(edges.lengths, sides)[:, None] * steps * GAUSS_WEIGHTS).ravel()
    counts = iter(sides.tolist())
    return OutlineQuadrature(
        unknowns, exponent, scale, slices(sum(next(counts) for _ in outline) for outline in outlines)
    )


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
    edges, own = _edge_splines(outlines, speeds, unknowns), values[unknowns.spread]
    sides = np.subtract(samples, 1)
    ends = np.cumsum(sides)
    which = np.repeat(np.arange(sides.size), sides)
    number = np.arange(which.size) - (ends - sides)[which]
    at = ((number[:, None] + GAUSS_POINTS) / sides[which, None]).ravel()
    which = np.repeat(which, GAUSS_NODES)
    headings = splines_at(own, edges.heading, edges.heading_spans, which, at)
    logs = splines_at(own, edges.speed, edges.speed_spans, which, edges.along_speed(which, at))
    steps = np.exp(logs + 1j * headings).reshape(-1, GAUSS_NODES) @ GAUSS_WEIGHTS
    steps *= np.repeat(edges.lengths / sides, sides)
    return [np.concatenate([[0.0 + 0j], np.cumsum(edge)]) for edge in np.split(steps, ends[:-1])]


@dataclass(frozen=True, slots=True, eq=False)
class _EdgeSplines:
    """Of every edge of one panel after another, (e,): where the coefficients of its heading and of its log
    speed start among the panels' own, their spans, whether it runs against its speed, and the mean of that
    [mm].
    """

    heading: Indices
    heading_spans: Indices
    speed: Indices
    speed_spans: Indices
    against: NDArray[np.bool_]
    lengths: Reals

    def along_speed(self, which: Indices, at: Reals) -> Reals:
        """Places on edges' speeds, (k,), from places on the edges themselves."""
        return np.where(self.against[which], 1.0 - at, at)


def _edge_splines(
    outlines: Sequence[tuple[OutlineEdge, ...]], speeds: Sequence[SeamSpeed], unknowns: OutlineUnknowns
) -> _EdgeSplines:
    panels = zip(outlines, unknowns.own, unknowns.seam_places, strict=True)
    rows = [
        (own.start + edge.first, edge.spans, places[edge.seam], speeds[edge.seam].spans)
        for outline, own, places in panels
        for edge in outline
    ]
    edges = [edge for outline in outlines for edge in outline]
    heading, heading_spans, speed, speed_spans = np.array(rows).T
    return _EdgeSplines(
        heading=heading,
        heading_spans=heading_spans,
        speed=speed,
        speed_spans=speed_spans,
        against=np.array([edge.against for edge in edges]),
        lengths=np.array([speeds[edge.seam].length for edge in edges]),
    )
