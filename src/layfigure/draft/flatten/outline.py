"""A panel's outline as splines of speed and heading, so that mates are equal in length by construction.

Along an edge at position σ in [0, 1], the outline runs at speed g(σ) [mm per unit of σ] in direction θ(σ):

    c(σ) = c₀ + ∫ g (cos θ, sin θ) dσ

Mates share g, so between any two corresponding points they are equally long whatever their θ. Corner angles
are differences of θ, hence linear. Both log g and θ are cubic splines.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import BSpline

Complex = NDArray[np.complex128]
Reals = NDArray[np.float64]
Indices = NDArray[np.int64]

GAUSS_NODES = 3
"""A step; they integrate the outline to below a micrometre for steps of 10 mm."""
_GAUSS_POINTS = 0.5 + 0.5 * np.array([-np.sqrt(0.6), 0.0, np.sqrt(0.6)])
_GAUSS_WEIGHTS = np.array([5.0, 8.0, 5.0]) / 18.0


def spline_basis(spans: int, at: Reals) -> Reals:
    """Cubic B-splines with ``spans`` equal spans over [0, 1], at points, (k, spans + 3)."""
    return np.asarray(_splines(spans)(np.clip(at, 0.0, 1.0)), dtype=np.float64)


@lru_cache(maxsize=256)
def _splines(spans: int) -> BSpline:
    return BSpline(_knots(spans), np.eye(spans + 3), 3)


def _knots(spans: int) -> Reals:
    return np.concatenate([np.zeros(3), np.linspace(0.0, 1.0, spans + 1), np.ones(3)])


def coefficient_places(spans: int) -> Reals:
    """Where each spline coefficient acts, (spans + 3,) in [0, 1]; a constant, spans 0, in the middle."""
    if not spans:
        return np.array([0.5])
    knots = _knots(spans)
    return np.asarray((knots[1:-3] + knots[2:-2] + knots[3:-1]) / 3.0, dtype=np.float64)


@lru_cache(maxsize=256)
def roughness(spans: int, order: int) -> Reals:
    """∫ of products of the splines' derivatives of an order over [0, 1], (spans + 3, spans + 3)."""
    at = ((np.arange(spans)[:, None] + _GAUSS_POINTS) / spans).ravel()
    weights = np.tile(_GAUSS_WEIGHTS / spans, spans)
    derivative = _splines(spans).derivative(order)(at)
    return np.asarray(derivative.T @ (weights[:, None] * derivative), dtype=np.float64)


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
        return self.spans + 3 if self.spans else 1

    def heading_basis(self, at: Reals) -> Reals:
        """Basis of θ at own positions, (k, count)."""
        return spline_basis(self.spans, at) if self.spans else np.ones((at.size, 1))

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
        return self.spans + 3

    def fairness(self, stiffness: float) -> Reals:
        """Penalty on uneven change of speed, (count, count)."""
        return stiffness * roughness(self.spans, 2) / self.length**3


@dataclass(frozen=True, slots=True, eq=False)
class OutlineQuadrature:
    """The integral of one panel's outline, vertex to vertex, as matrices.

    heading : (q, h) basis of θ at all nodes. speed : (q, s) basis of log g over the seams of this panel.
    columns : (s,) their places among the coefficients of all seams.
    scale : (q,) weight times mean speed. step_starts : (b,) first node of each outline side.
    """

    heading: Reals
    speed: Reals
    columns: Indices
    scale: Reals
    step_starts: Indices

    def increments(self, theta: Reals, gamma: Reals) -> Complex:
        """Contribution of every node, (q,) complex [mm]. gamma : coefficients of all seams."""
        logs = self.speed @ gamma[self.columns]
        return np.asarray(self.scale * np.exp(logs + 1j * (self.heading @ theta)), dtype=np.complex128)

    def positions(self, increments: Complex) -> tuple[Complex, complex]:
        """Outline vertices from the first corner at 0, (b,), and the gap left on coming round."""
        steps = np.add.reduceat(increments, self.step_starts)
        ends = np.cumsum(steps)
        return np.concatenate([[0.0 + 0j], ends[:-1]]), complex(ends[-1])

    def derivatives(self, increments: Complex) -> Reals:
        """Derivatives of the x and y of :meth:`positions` by θ and γ, (2, b, h + s)."""
        sides, h = self.step_starts.size, self.heading.shape[1]
        # The last side only closes the outline and moves no vertex.
        at = increments.reshape(sides, GAUSS_NODES)[:-1]
        headings = self.heading.reshape(sides, GAUSS_NODES, h)[:-1]
        speeds = self.speed.reshape(sides, GAUSS_NODES, -1)[:-1]
        result = np.zeros((2, sides, h + speeds.shape[2]))
        result[:, 1:, :h] = (np.stack([-at.imag, at.real], axis=1) @ headings).swapaxes(0, 1)
        result[:, 1:, h:] = (np.stack([at.real, at.imag], axis=1) @ speeds).swapaxes(0, 1)
        return np.asarray(np.cumsum(result, axis=1, out=result), dtype=np.float64)

    def slopes(self, increments: Complex, forces: Complex) -> Reals:
        """Derivatives by θ and γ of the gap's x and y, and of forces' work on the vertices, (3, h + s).

        forces : (b,) complex.
        """
        # A node moves every vertex after it.
        after = np.zeros_like(forces)
        np.cumsum(forces[:0:-1], out=after[-2::-1])
        product = (after.conj()[:, None] * increments.reshape(-1, GAUSS_NODES)).ravel()
        x, y = increments.real, increments.imag
        by_headings = np.stack([-y, x, -product.imag]) @ self.heading
        return np.concatenate([by_headings, np.stack([x, y, product.real]) @ self.speed], axis=1)


def build_quadrature(
    edges: tuple[OutlineEdge, ...], speeds: tuple[SeamSpeed, ...], offsets: Indices
) -> OutlineQuadrature:
    """Matrices for one panel. offsets : (number of seams + 1,) where each seam's coefficients start."""
    heading_count = edges[-1].first + edges[-1].count
    seams = list(dict.fromkeys(edge.seam for edge in edges))
    columns = np.concatenate([np.arange(offsets[seam], offsets[seam + 1]) for seam in seams])
    starts = dict(
        zip(seams, np.cumsum([0, *(speeds[seam].count for seam in seams)])[:-1].tolist(), strict=True)
    )
    headings, logs, scales, step_starts = [], [], [], []
    nodes = 0
    for edge in edges:
        at, weights = _nodes(edge.sigma)
        speed = speeds[edge.seam]
        heading = np.zeros((at.size, heading_count))
        heading[:, edge.first : edge.first + edge.count] = edge.heading_basis(at)
        log = np.zeros((at.size, columns.size))
        first = starts[edge.seam]
        log[:, first : first + speed.count] = spline_basis(speed.spans, 1.0 - at if edge.against else at)
        headings.append(heading)
        logs.append(log)
        scales.append(weights * speed.length)
        step_starts.append(nodes + 3 * np.arange(edge.sigma.size - 1))
        nodes += at.size
    return OutlineQuadrature(
        np.concatenate(headings),
        np.concatenate(logs),
        columns,
        np.concatenate(scales),
        np.concatenate(step_starts),
    )


def _nodes(sigma: Reals) -> tuple[Reals, Reals]:
    """Gauss nodes and weights on every step between positions, ((v - 1) * 3,) each."""
    steps = np.diff(sigma)
    at = (sigma[:-1, None] + steps[:, None] * _GAUSS_POINTS).ravel()
    return at, (steps[:, None] * _GAUSS_WEIGHTS).ravel()


def sampled_edge(edge: OutlineEdge, speed: SeamSpeed, theta: Reals, gamma: Reals, samples: int) -> Complex:
    """The edge from 0, at ``samples`` positions equally spaced in σ, (samples,) complex [mm].

    theta, gamma : this edge's and this seam's own coefficients.
    """
    sigma = np.linspace(0.0, 1.0, samples)
    at, weights = _nodes(sigma)
    log = spline_basis(speed.spans, 1.0 - at if edge.against else at) @ gamma
    increments = weights * speed.length * np.exp(log + 1j * (edge.heading_basis(at) @ theta))
    return np.concatenate([[0.0 + 0j], np.cumsum(increments.reshape(-1, 3).sum(axis=1))])
