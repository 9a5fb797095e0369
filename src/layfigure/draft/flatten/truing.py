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

from layfigure.draft.flatten.arap import flatten_freely, reweighted, stiffness_of
from layfigure.draft.flatten.foldover import unfolded
from layfigure.draft.flatten.joint_solve import solve_jointly
from layfigure.draft.flatten.outline import SeamSpeed, sampled_edge
from layfigure.draft.flatten.outline_fit import PanelProblem, fit_outlines
from layfigure.draft.flatten.panel import Ease, FlatPanel, Panel
from layfigure.draft.flatten.panel_outline import corner_angles, outline_loop
from layfigure.draft.flatten.refusals import refuse_absurd_stretch, refuse_crossing
from layfigure.draft.flatten.rest_shape import face_stretches, rest_triangles
from layfigure.draft.flatten.settling import settle_inside, settled_panel
from layfigure.draft.flatten.sewn_points import angle_sums
from layfigure.draft.flatten.stretch_weights import stretch_weights
from layfigure.errors import DraftError

Points = NDArray[np.float64]
Indices = NDArray[np.int64]

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
) -> dict[str, FlatPanel]:
    """Flatten panels that are sewn to each other, by slug.

    ease : for all panels, or by panel slug. knot_spacing : of the outlines' splines [mm].
    Seams are matched by name among the panels given; one used once is sewn to its own
    mirror image.
    Raises DraftError for panels that cannot be made flat: broken outlines, or stretch no cloth takes.
    """
    eases = {p.slug: ease if isinstance(ease, Ease) else ease[p.slug] for p in panels}
    loops = [outline_loop(panel) for panel in panels]
    rests = [rest_triangles(panel, eases[panel.slug]) for panel in panels]
    plain = [
        stiffness_of(rest, panel.faces, loop) for panel, rest, loop in zip(panels, rests, loops, strict=True)
    ]
    free = [flatten_freely(stiffness, steps=FREE_STEPS) for stiffness in plain]
    systems = [
        settled_panel(reweighted(s, stretch_weights(s, flat))) for s, flat in zip(plain, free, strict=True)
    ]
    problems, speeds, offsets, gamma = fit_outlines(panels, systems, free, knot_spacing)
    conditions = angle_sums(panels, [corner_angles(p, rest) for p, rest in zip(panels, rests, strict=True)])
    gamma = solve_jointly(problems, speeds, offsets, gamma, conditions, steps)
    flats = {problem.panel.slug: _finish(problem, speeds, offsets, gamma) for problem in problems}
    for flat in flats.values():
        refuse_absurd_stretch(flat)
        refuse_crossing(flat)
    return flats


def _finish(problem: PanelProblem, speeds: Sequence[SeamSpeed], offsets: Indices, gamma: Points) -> FlatPanel:
    """The solved panel as others use it."""
    panel, system = problem.panel, problem.system
    rest, loop = system.stiffness.rest, system.stiffness.loop
    flat = unfolded(rest, panel.faces, settle_inside(system, problem.flat, steps=2), loop)
    if flat is None:
        raise DraftError(
            "the panel folds over itself when laid flat.",
            where=panel.slug,
            advice="It covers too much of a rounded form: divide it by another seam.",
        )
    stretch, _ = face_stretches(rest, flat, panel.faces)
    curves: dict[str, Points] = {}
    for edge, item in zip(panel.outline, problem.edges, strict=True):
        speed = speeds[item.seam]
        samples = max(3, int(np.ceil(speed.length / SAMPLE_STEP)) + 1)
        own_gamma = gamma[offsets[item.seam] : offsets[item.seam + 1]]
        curve = sampled_edge(
            item, speed, problem.theta[item.first : item.first + item.count], own_gamma, samples
        )
        start, end = flat[edge.vertices[0]], flat[edge.vertices[-1]]
        miss = end - start - curve[-1]
        if abs(miss) > 0.01:
            raise DraftError(
                f"no outline was found that closes at edge {edge.slug!r}.",
                where=panel.slug,
                advice="Make the panel less long and thin, or divide it.",
            )
        # Corners are the same points on both edges to the last bit; the correction is below a micrometre.
        curve = start + curve + np.linspace(0.0, 1.0, samples) * miss
        curve[-1] = end
        curves[edge.slug] = np.stack([curve.real, curve.imag], axis=1)
    return FlatPanel(
        panel=panel,
        vertices=np.stack([flat.real, flat.imag], axis=1),
        curves=curves,
        stretch=stretch,
        corner_angles=problem.corner_rows @ problem.theta + problem.corner_constants,
    )
