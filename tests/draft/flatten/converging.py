"""Panels drafted at several mesh sizes, and how far their outlines lie apart."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from unittest.mock import patch

import numpy as np
from analytic_panels import meshed_panel, rectangle, tube
from numpy.typing import NDArray

from layfigure.body.form import Form
from layfigure.draft.flatten.panel import Ease, FlatPanel
from layfigure.draft.flatten.truing import flatten_panels
from layfigure.draft.knit.leggings import leggings_meshes
from layfigure.draft.knit.top_meshes import TopEdges, top_meshes
from layfigure.draft.panels import grid
from layfigure.draft.panels.cloth_surface import cloth_surface
from layfigure.draft.panels.edge_fields import edge_curve, ring
from layfigure.draft.panels.garment import lay_garment
from layfigure.draft.panels.top import TopCut
from layfigure.geometry.polyline import resample

Points = NDArray[np.float64]
Complex = NDArray[np.complex128]

EASE = Ease(around=-0.10, along=-0.02)
SAMPLES = 200
"""Points compared on every edge, at equal shares of its length."""

EVERYWHERE = 1e6
"""Width of a panel's border that takes in all of it, over the spacing."""

LOW_RADIUS, HIGH_RADIUS, HEIGHT = 90.0, 40.0, 300.0
"""Half a cone, cut off: about a thigh."""


def drafted(form: Form, spacing: float, *, even: bool = False) -> dict[str, FlatPanel]:
    """A leg in two panels and a sleeveless bodysuit, meshed at a spacing [mm].

    even : in the middle of panels, too, where they are meshed more coarsely.
    """
    surface = cloth_surface(form)
    top, hem = ring("torso", 3.0), ring("shank_left", 0.9)
    curves = {
        "top": edge_curve(form, top, closed=True),
        "hem_left": edge_curve(form, hem, closed=True),
    }
    with patch.object(grid, "BAND", EVERYWHERE if even else grid.BAND):
        _, leg = leggings_meshes(("left",), 2, top, (hem,), spacing=spacing)
        _, suit = top_meshes(
            TopCut(legs=True), TopEdges(neck=None, hem=None, legs=(None, None), cuffs=()), spacing=spacing
        )
    flats: dict[str, FlatPanel] = {}
    for name, panels in (
        ("leg", lay_garment(leg, surface, curves)),
        ("bodysuit", lay_garment(suit, surface)),
    ):
        flats |= {f"{name} {slug}": flat for slug, flat in flatten_panels(panels, EASE).items()}
    return flats


def outline(flat: FlatPanel) -> Complex:
    """Corresponding points of an outline, the same number on every edge."""
    runs = [resample(flat.curves[edge.slug], SAMPLES + 1)[:-1] for edge in flat.panel.outline]
    points = np.concatenate(runs)
    return np.asarray(points[:, 0] + 1j * points[:, 1], dtype=np.complex128)


def apart(first: Complex, second: Complex) -> Points:
    """Distances of corresponding points once both are laid on one another as well as they go [mm]."""
    a, b = first - first.mean(), second - second.mean()
    turn = np.vdot(a, b)
    return np.asarray(np.abs(b - a * turn / abs(turn)), dtype=np.float64)


def cone_errors(sizes: Sequence[float], *, curvature: bool) -> Points:
    """Greatest distance of half a cone's flat outline from its exact sector, at every mesh size [mm].

    curvature : with sides as long as the surface under them, or with plain chords.
    """
    surface = tube(lambda _, v: LOW_RADIUS + (HIGH_RADIUS - LOW_RADIUS) * v / HEIGHT, 400.0)
    errors = []
    for size in sizes:
        sides = rectangle((0.0, 200.0), (0.0, HEIGHT), left="left", right="right")
        panel = meshed_panel("cone", surface, sides, size=size)
        if not curvature:
            panel = replace(panel, side_lengths=None)
        flat = flatten_panels([panel], Ease(around=0.0, along=0.0))["cone"]
        errors.append(float(apart(_sector(), outline(flat)).max()))
    return np.array(errors)


def _sector() -> Complex:
    """The unrolled half cone: a ring's sector, by elementary geometry."""
    slant = np.hypot(HEIGHT, LOW_RADIUS - HIGH_RADIUS)
    outer = slant * LOW_RADIUS / (LOW_RADIUS - HIGH_RADIUS)
    inner, angle = outer - slant, np.pi * LOW_RADIUS / outer
    share = np.arange(SAMPLES) / SAMPLES
    return np.concatenate(
        [
            outer * np.exp(1j * angle * share),
            (outer - slant * share) * np.exp(1j * angle),
            inner * np.exp(1j * angle * (1.0 - share)),
            inner + slant * share + 0j,
        ]
    )
