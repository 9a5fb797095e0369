"""Spline outlines fitted to panels that were flattened one by one: where the joint solution starts from."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from layfigure.draft.flatten.elimination import KeptStiffness
from layfigure.draft.flatten.outline import (
    OutlineEdge,
    OutlineQuadrature,
    SeamSpeed,
    build_quadrature,
    spline_basis,
)
from layfigure.draft.flatten.panel import Panel
from layfigure.draft.flatten.panel_outline import corner_angles, positions_along
from layfigure.draft.flatten.settling import SettledPanel
from layfigure.draft.flatten.softness import SlowShapes, coarse_changes, slow_shapes

Complex = NDArray[np.complex128]
Reals = NDArray[np.float64]
Indices = NDArray[np.int64]

HEADING_STIFFNESS = 1e5
"""Weight of the change of curvature against deformation [mm⁴]: smooths waves shorter than about 100 mm."""


@dataclass(slots=True, eq=False)
class PanelProblem:
    """One panel while it is being solved.

    theta : (h,) coefficients of its headings. increments : (q,) its outline's, with those and the speeds.
    flat : (n,) its vertices. load, pull : on its outline and on
    its inner vertices for the present turns, as ``SettledPanel.loads`` gives them.
    coarse : (h + s, waves) slow waves of its unknowns; shapes : of its outline; see ``softness``.
    kept, kept_increments : the outline's stiffness, and the outline it was worked out for.
    """

    panel: Panel
    system: SettledPanel
    edges: tuple[OutlineEdge, ...]
    quadrature: OutlineQuadrature
    fairness: Reals
    corner_rows: Reals
    corner_constants: Reals
    theta: Reals
    flat: Complex
    load: Complex
    pull: Complex
    coarse: Reals
    shapes: SlowShapes
    increments: Complex = field(init=False)
    kept: KeptStiffness | None = None
    kept_increments: Complex | None = None


def fit_outlines(
    panels: Sequence[Panel], systems: Sequence[SettledPanel], free: Sequence[Complex], spacing: float
) -> tuple[list[PanelProblem], tuple[SeamSpeed, ...], Indices, Reals]:
    """Splines for all outlines, fitted to the panels flattened alone."""
    uses: dict[object, list[tuple[int, int]]] = {}
    for p, panel in enumerate(panels):
        for k, edge in enumerate(panel.outline):
            uses.setdefault(edge.seam if edge.seam is not None else (p, k), []).append((p, k))
    seam_of = {use: index for index, group in enumerate(uses.values()) for use in group}
    along = {(p, k): positions_along(panels[p], panels[p].outline[k].vertices) for p, k in seam_of}

    speeds: list[SeamSpeed] = []
    gammas: list[Reals] = []
    for group in uses.values():
        length = float(np.mean([along[use][1] for use in group]))
        speed = SeamSpeed(spans=max(1, round(length / spacing)), length=length)
        speeds.append(speed)
        gammas.append(_fitted_speed(speed, group, panels, free, along))
    offsets = np.concatenate([[0], np.cumsum([speed.count for speed in speeds])])

    problems = []
    for p, panel in enumerate(panels):
        edges: list[OutlineEdge] = []
        first = 0
        for k, edge in enumerate(panel.outline):
            sigma, length = along[p, k]
            spans = 0 if edge.straight else max(1, round(length / spacing))
            edges.append(
                OutlineEdge(
                    seam=seam_of[p, k],
                    against=edge.against,
                    first=first,
                    spans=spans,
                    length=length,
                    sigma=sigma,
                )
            )
            first += edges[-1].count
        rows, constants = _corner_rows(edges, first)
        fairness = np.zeros((first, first))
        for item in edges:
            own = slice(item.first, item.first + item.count)
            fairness[own, own] = item.fairness(HEADING_STIFFNESS)
        load, pull = systems[p].loads(free[p])
        problems.append(
            PanelProblem(
                panel=panel,
                system=systems[p],
                edges=tuple(edges),
                quadrature=build_quadrature(tuple(edges), tuple(speeds), offsets),
                fairness=fairness,
                corner_rows=rows,
                corner_constants=constants,
                theta=_fitted_headings(panel, edges, fairness, free[p]),
                flat=free[p],
                load=load,
                pull=pull,
                coarse=coarse_changes(tuple(edges), tuple(speeds)),
                shapes=slow_shapes(systems[p], tuple(edges)),
            )
        )
    return problems, tuple(speeds), offsets, np.concatenate(gammas)


def _fitted_speed(
    speed: SeamSpeed,
    group: Sequence[tuple[int, int]],
    panels: Sequence[Panel],
    free: Sequence[Complex],
    along: Mapping[tuple[int, int], tuple[Reals, float]],
) -> Reals:
    """Coefficients of log g over the mean speed, from the mean of the uses' own lengths in the flat."""
    matrix, right = speed.fairness(1e-2), np.zeros(speed.count)
    for p, k in group:
        edge = panels[p].outline[k]
        sigma = along[p, k][0]
        steps = np.diff(sigma)
        log = np.log(np.abs(np.diff(free[p][edge.vertices])) / (steps * speed.length))
        middle = 0.5 * (sigma[:-1] + sigma[1:])
        basis = spline_basis(speed.spans, 1.0 - middle if edge.against else middle)
        matrix = matrix + basis.T @ (steps[:, None] * basis)
        right += basis.T @ (steps * log)
    return np.asarray(np.linalg.solve(matrix + 1e-6 * np.eye(speed.count), right), dtype=np.float64)


def _fitted_headings(panel: Panel, edges: Sequence[OutlineEdge], fairness: Reals, flat: Complex) -> Reals:
    """Coefficients of θ fitted to a flat panel's outline, running on without a jump of 2π."""
    angles = corner_angles(panel, flat[panel.faces])
    theta = np.empty(edges[-1].first + edges[-1].count)
    last = 0.0
    for k, (edge, item) in enumerate(zip(panel.outline, edges, strict=True)):
        sides = np.diff(flat[edge.vertices])
        headings = np.unwrap(np.angle(sides))
        if k:
            expected = last + np.pi - angles[k]
            headings += 2.0 * np.pi * np.round((expected - headings[0]) / (2.0 * np.pi))
        last = headings[-1]
        basis = item.heading_basis(0.5 * (item.sigma[:-1] + item.sigma[1:]))
        weights = np.diff(item.sigma)
        own = slice(item.first, item.first + item.count)
        matrix = (
            basis.T @ (weights[:, None] * basis) + 1e-5 * fairness[own, own] / HEADING_STIFFNESS * item.length
        )
        theta[own] = np.linalg.solve(matrix + 1e-9 * np.eye(item.count), basis.T @ (weights * headings))
    return theta


def _corner_rows(edges: Sequence[OutlineEdge], count: int) -> tuple[Reals, Reals]:
    """Rows and constants such that rows @ θ + constants are the inner angles at the corners."""
    rows, constants = np.zeros((len(edges), count)), np.full(len(edges), np.pi)
    for k, edge in enumerate(edges):
        before = edges[k - 1]
        rows[k, edge.first : edge.first + edge.count] -= edge.heading_basis(np.zeros(1))[0]
        rows[k, before.first : before.first + before.count] += before.heading_basis(np.ones(1))[0]
    constants[0] -= 2.0 * np.pi
    return rows, constants
