"""Spline outlines fitted to panels that were flattened one by one: where the joint solution starts from."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np
from numpy.typing import NDArray

from layfigure.draft.flatten.joint_problem import JointProblem, PanelProblem
from layfigure.draft.flatten.outline import OutlineEdge, SeamSpeed, outline_unknowns
from layfigure.draft.flatten.outline_quadrature import outline_quadrature
from layfigure.draft.flatten.panel import Panel
from layfigure.draft.flatten.panel_outline import headings_round, positions_along
from layfigure.draft.flatten.settling import SettledPanels
from layfigure.draft.flatten.sewn_points import AngleSum
from layfigure.draft.flatten.softness import coarse_changes, slow_shapes
from layfigure.draft.flatten.splines import coefficient_count, spline_values, spread_values

Complex = NDArray[np.complex128]
Reals = NDArray[np.float64]
Outlines = tuple[tuple[OutlineEdge, ...], ...]

HEADING_STIFFNESS = 1e5
"""Weight of the change of curvature against deformation [mm⁴]: smooths waves shorter than about 100 mm."""
SPEED_STIFFNESS = 1e5
"""Weight of uneven speed [mm⁵]."""


def outlines_of(panels: Sequence[Panel], spacing: float) -> tuple[Outlines, tuple[SeamSpeed, ...]]:
    """Every panel's edges as splines, and the speeds of all seams. spacing : of their knots [mm]."""
    uses: dict[object, list[tuple[int, int]]] = {}
    for p, panel in enumerate(panels):
        for k, edge in enumerate(panel.outline):
            uses.setdefault(edge.seam if edge.seam is not None else (p, k), []).append((p, k))
    seam_of = {use: index for index, group in enumerate(uses.values()) for use in group}
    outlines = []
    for p, panel in enumerate(panels):
        edges: list[OutlineEdge] = []
        first = 0
        for k, edge in enumerate(panel.outline):
            sigma, length = positions_along(panel, edge.vertices)
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
        outlines.append(tuple(edges))
    lengths = [float(np.mean([outlines[p][k].length for p, k in group])) for group in uses.values()]
    speeds = [SeamSpeed(spans=max(1, round(length / spacing)), length=length) for length in lengths]
    return tuple(outlines), tuple(speeds)


def fit_outlines(
    panels: Sequence[Panel],
    outlines: Outlines,
    speeds: tuple[SeamSpeed, ...],
    system: SettledPanels,
    free: Complex,
    conditions: Sequence[AngleSum],
) -> JointProblem:
    """The outlines fitted to the panels flattened alone. free : (n,) of all panels."""
    places = [free[part.vertices] for part in system.stiffness.mesh.parts]
    offsets = np.cumsum([0, *(speed.count for speed in speeds)])
    unknowns = outline_unknowns(outlines, offsets)
    edges = [edge for outline in outlines for edge in outline]
    fairness = [edge.fairness(HEADING_STIFFNESS) for edge in edges]
    of_edges = iter(fairness)
    of_panels = [_blocks([next(of_edges) for _ in outline]) for outline in outlines]
    headings = _fitted_headings(panels, outlines, fairness, places)
    gamma = _fitted_speeds(panels, edges, speeds, places)
    rows, totals = _condition_rows(conditions, outlines, [own.start for own in unknowns.headings])
    shapes = slow_shapes(system, outlines)
    return JointProblem(
        panels=tuple(
            PanelProblem(fairness=own, coarse=coarse_changes(outline, speeds), shapes=slow)
            for own, outline, slow in zip(of_panels, outlines, shapes, strict=True)
        ),
        system=system,
        quadrature=outline_quadrature(outlines, speeds, unknowns, [edge.sigma for edge in edges]),
        fairness=_blocks([speed.fairness(SPEED_STIFFNESS) for speed in speeds]),
        condition_rows=rows,
        condition_totals=totals,
        unknowns=np.concatenate([headings, gamma]),
        flat=free,
    )


def corner_sums(outline: Sequence[OutlineEdge], theta: Reals) -> Reals:
    """Inner angles at a panel's corners with the headings θ, (k,) [rad]."""
    starts, ends, constants = _corners(outline)
    return constants + theta[ends] - theta[starts]


def _corners(outline: Sequence[OutlineEdge]) -> tuple[list[int], list[int], Reals]:
    """Of every corner, which heading an edge starts with there and which one the edge before ends with, and
    the angle were they the same [rad].
    """
    starts = [edge.first for edge in outline]
    ends = [edge.first + edge.count - 1 for edge in outline]
    constants = np.full(len(outline), np.pi)
    constants[0] -= 2.0 * np.pi
    return starts, ends[-1:] + ends[:-1], constants


def _condition_rows(
    conditions: Sequence[AngleSum], outlines: Outlines, firsts: Sequence[int]
) -> tuple[Reals, Reals]:
    """Rows and totals such that rows @ (all headings) must be the totals.

    firsts : where each panel's headings start.
    """
    count = firsts[-1] + outlines[-1][-1].first + outlines[-1][-1].count
    rows, totals = np.zeros((len(conditions), count)), np.array([each.total for each in conditions])
    corners = [_corners(outline) for outline in outlines]
    for c, condition in enumerate(conditions):
        for p, k in condition.corners:
            starts, ends, constants = corners[p]
            rows[c, firsts[p] + starts[k]] -= 1.0
            rows[c, firsts[p] + ends[k]] += 1.0
            totals[c] -= constants[k]
    return rows, totals


def _middle_bases(
    edges: Sequence[OutlineEdge], spans: Sequence[int], along: Callable[[OutlineEdge, Reals], Reals]
) -> list[Reals]:
    """Full bases of splines at the middles of every edge's sides. along : the edge's and middles to its σ."""
    middles = [along(edge, 0.5 * (edge.sigma[:-1] + edge.sigma[1:])) for edge in edges]
    sizes = [middle.size for middle in middles]
    first, values = spline_values(np.repeat(spans, sizes), np.concatenate(middles))
    cuts = np.cumsum(sizes)[:-1]
    return [
        spread_values(before, value, coefficient_count(span))
        for before, value, span in zip(np.split(first, cuts), np.split(values, cuts), spans, strict=True)
    ]


def _fitted_speeds(
    panels: Sequence[Panel],
    edges: Sequence[OutlineEdge],
    speeds: Sequence[SeamSpeed],
    places: Sequence[Complex],
) -> Reals:
    """Coefficients of every log g over the mean speed, from the mean of the uses' own lengths in the flat."""
    vertices = [
        flat[edge.vertices] for panel, flat in zip(panels, places, strict=True) for edge in panel.outline
    ]
    spans = [speeds[edge.seam].spans for edge in edges]
    bases = _middle_bases(edges, spans, lambda edge, at: 1.0 - at if edge.against else at)
    matrices = [speed.fairness(1e-2) + 1e-6 * np.eye(speed.count) for speed in speeds]
    rights = [np.zeros(speed.count) for speed in speeds]
    for edge, on, basis in zip(edges, vertices, bases, strict=True):
        steps = np.diff(edge.sigma)
        log = np.log(np.abs(np.diff(on)) / (steps * speeds[edge.seam].length))
        weighted = steps[:, None] * basis
        matrices[edge.seam] += basis.T @ weighted
        rights[edge.seam] += weighted.T @ log
    return np.concatenate([np.linalg.solve(m, r) for m, r in zip(matrices, rights, strict=True)])


def _fitted_headings(
    panels: Sequence[Panel], outlines: Outlines, fairness: Sequence[Reals], places: Sequence[Complex]
) -> Reals:
    """Coefficients of θ fitted to flat panels' outlines, running on without a jump of 2π round each."""
    edges = [edge for outline in outlines for edge in outline]
    prepared = iter(
        zip(_middle_bases(edges, [e.spans for e in edges], lambda _, at: at), fairness, strict=True)
    )
    theta = []
    for panel, outline, flat in zip(panels, outlines, places, strict=True):
        cuts = np.cumsum([item.sigma.size - 1 for item in outline])[:-1]
        for item, headings in zip(outline, np.split(headings_round(panel, flat), cuts), strict=True):
            basis, fair = next(prepared)
            weighted = np.diff(item.sigma)[:, None] * basis
            matrix = basis.T @ weighted + 1e-5 * fair / HEADING_STIFFNESS * item.length
            matrix[np.diag_indices(item.count)] += 1e-9
            theta.append(np.linalg.solve(matrix, weighted.T @ headings))
    return np.concatenate(theta)


def _blocks(matrices: Sequence[Reals]) -> Reals:
    """Square matrices down a diagonal."""
    whole = np.zeros((sum(len(m) for m in matrices),) * 2)
    first = 0
    for matrix in matrices:
        own = slice(first, first + len(matrix))
        whole[own, own] = matrix
        first = own.stop
    return whole
