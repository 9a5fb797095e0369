"""Panels made flat together, so that every seam's uses are equally long at every point.

Each panel is first flattened alone (``arap``), which shows where it will be stretched most
(``stretch_weights``). Then outlines become splines (``outline``) whose speed is
shared along each seam, and one system is solved for all headings and speeds: least deformation of
all panels, fair curves, closed outlines, corner angles that add up where they are sewn (``sewn_points``).
The speeds start from the mean of what the mates wanted each for itself and are improved with the rest.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from layfigure.draft.flatten.arap import reweighted
from layfigure.draft.flatten.foldover import LEAST_AREA, unfolded
from layfigure.draft.flatten.free_placing import FreePlacing, place_freely
from layfigure.draft.flatten.joint_problem import JointProblem
from layfigure.draft.flatten.joint_solve import solve_jointly
from layfigure.draft.flatten.outline import SeamSpeed
from layfigure.draft.flatten.outline_fit import Outlines, corner_sums, fit_outlines, outlines_of
from layfigure.draft.flatten.outline_quadrature import sampled_edges
from layfigure.draft.flatten.panel import Ease, FlatPanel, Panel, PanelEdge
from layfigure.draft.flatten.panel_outline import corner_angles, outline_loop
from layfigure.draft.flatten.refusals import folded_over, refuse_absurd_stretch, refuse_crossing
from layfigure.draft.flatten.rest_shape import face_stretches
from layfigure.draft.flatten.settling import settle_inside, settled_panels
from layfigure.draft.flatten.sewn_points import angle_sums
from layfigure.draft.flatten.stretch_weights import stretch_weights
from layfigure.errors import DraftError

Complex = NDArray[np.complex128]
Points = NDArray[np.float64]

SAMPLE_STEP = 1.5
"""Spacing of points on finished stitch lines [mm]."""
FREE_STEPS = 8
"""Steps of plain flattening: the start, and where cloth will be stretched most."""


def flatten_panels(
    panels: Sequence[Panel],
    ease: Ease | Mapping[str, Ease],
    *,
    knot_spacing: float = 40.0,
    steps: int = 40,
    begun: FreePlacing | None = None,
) -> dict[str, FlatPanel]:
    """Flatten panels that are sewn to each other, by slug.

    ease : for all panels, or by panel slug. knot_spacing : of the outlines' splines [mm]. begun : the same
    panels placed freely with that ease, where somebody has looked at them before.
    Seams are matched by name among the panels given; one used once is sewn to its own
    mirror image.
    Raises DraftError for panels that cannot be made flat: broken outlines, or stretch no cloth takes.
    """
    if begun is None:
        begun = place_freely(panels, ease, steps=FREE_STEPS)
    begun = begun.after(FREE_STEPS)
    plain, free = begun.stiffness, _without_folds(panels, begun)
    system = settled_panels(reweighted(plain, stretch_weights(plain, free)))
    outlines, speeds = outlines_of(panels, knot_spacing)
    rests = [plain.rest[part.faces] for part in plain.mesh.parts]
    conditions = angle_sums(panels, [corner_angles(p, rest) for p, rest in zip(panels, rests, strict=True)])
    problem = fit_outlines(panels, outlines, speeds, system, free, conditions)
    solve_jointly(problem, steps)
    flats = _finished(panels, problem, outlines, speeds)
    for flat in flats.values():
        refuse_absurd_stretch(flat)
        refuse_crossing(flat)
    return flats


def _without_folds(panels: Sequence[Panel], begun: FreePlacing) -> Complex:
    """The panels as they were placed, (n,), the few faces that came out upside down turned back where that
    can be done: an outline round such faces turns too often.
    """
    rest, flat = begun.stiffness.rest, begun.flat
    _, areas = face_stretches(rest, flat, begun.stiffness.faces)
    if areas.min() >= LEAST_AREA:
        return flat
    flat, nothing_fixed = flat.copy(), np.empty(0, dtype=np.int64)
    for panel, part in zip(panels, begun.stiffness.mesh.parts, strict=True):
        turned_back = unfolded(rest[part.faces], panel.faces, flat[part.vertices], nothing_fixed)
        if turned_back is not None:
            flat[part.vertices] = turned_back
    return flat


def _finished(
    panels: Sequence[Panel], problem: JointProblem, outlines: Outlines, speeds: Sequence[SeamSpeed]
) -> dict[str, FlatPanel]:
    """The solved panels as others use them."""
    flat = settle_inside(problem.system, problem.flat, steps=2)
    stiffness = problem.system.stiffness
    stretch, areas = face_stretches(stiffness.rest, flat, stiffness.faces)
    counts = [
        max(3, int(np.ceil(speeds[edge.seam].length / SAMPLE_STEP)) + 1)
        for outline in outlines
        for edge in outline
    ]
    unknowns = problem.quadrature.unknowns
    curves = iter(sampled_edges(outlines, speeds, unknowns, problem.unknowns, counts))
    flats = {}
    for panel, outline, part, headings in zip(
        panels, outlines, stiffness.mesh.parts, unknowns.headings, strict=True
    ):
        own_flat, own_stretch = flat[part.vertices], stretch[part.faces]
        if areas[part.faces].min() < LEAST_AREA:
            rest = stiffness.rest[part.faces]
            own_flat = _turned_back(panel, rest, own_flat)
            own_stretch, _ = face_stretches(rest, own_flat, panel.faces)
        flats[panel.slug] = FlatPanel(
            panel=panel,
            vertices=np.stack([own_flat.real, own_flat.imag], axis=1),
            curves={
                edge.slug: _between_corners(panel, edge, next(curves), own_flat) for edge in panel.outline
            },
            stretch=own_stretch,
            corner_angles=corner_sums(outline, problem.unknowns[headings]),
        )
    return flats


def _turned_back(panel: Panel, rest: Complex, flat: Complex) -> Complex:
    """A flat panel with every face the right way up, (n,)."""
    straightened = unfolded(rest, panel.faces, flat, outline_loop(panel))
    if straightened is None:
        raise folded_over(panel.slug)
    return straightened


def _between_corners(panel: Panel, edge: PanelEdge, curve: Complex, flat: Complex) -> Points:
    """A finished stitch line where its corners are, (samples, 2) [mm]. curve : from 0."""
    start, end = flat[edge.vertices[0]], flat[edge.vertices[-1]]
    miss = end - start - curve[-1]
    if abs(miss) > 0.01:
        raise DraftError(
            f"no outline was found that closes at edge {edge.slug!r}.",
            where=panel.slug,
            advice="Make the panel less long and thin, or divide it.",
        )
    # Corners are the same points on both edges to the last bit; the correction is below a micrometre.
    curve = start + curve + np.arange(curve.size) / (curve.size - 1) * miss
    curve[-1] = end
    return np.stack([curve.real, curve.imag], axis=1)
