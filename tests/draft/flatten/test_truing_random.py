"""Random smooth bodies: every check holds on every one, and refining the mesh changes little."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
from analytic_panels import Points, Side, Surface, meshed_panel, straight, tube
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from layfigure.draft.flatten.checks import check_flat_panels
from layfigure.draft.flatten.panel import Ease, Panel
from layfigure.draft.flatten.stitch_line import least_radius
from layfigure.draft.flatten.truing import flatten_panels
from layfigure.geometry.polyline import arc_lengths


def body(seed: int, girth: float) -> Surface:
    """A smooth tube with hollows and swellings as deep as those between waist and hip."""
    random = np.random.default_rng(seed)
    size, phase = random.normal(size=(4, 3)), random.uniform(0.0, 2 * np.pi, size=(4, 3))
    wave = random.uniform(120.0, 300.0, size=(4, 3))
    mean = girth / (2 * np.pi)

    def radius(turn: Points, v: Points) -> Points:
        r = np.full_like(turn, mean)
        for m in range(4):
            for k in range(3):
                swell = 0.16 * mean / (1 + m) / (1 + 0.5 * k) * size[m, k]
                r += swell * np.cos(m * turn + phase[m, k]) * np.sin(v / wave[m, k] + phase[m, k - 1])
        return np.asarray(np.maximum(r, 0.4 * mean))

    return tube(radius, girth)


def panels_round(
    surface: Surface, girth: float, height: float, count: int, bow: float, size: float = 9.0
) -> list[Panel]:
    """Panels with bowed seams and slanted hems all round a tube."""
    v = np.linspace(0.0, height, 40)
    lines = [
        np.stack([k * girth / count + bow * np.sin((j + 1.0) * v / 150.0), v + 12.0 * j], axis=1)
        for k, j in ((k, k % count) for k in range(count + 1))
    ]
    return [
        meshed_panel(
            f"panel_{k}",
            surface,
            [
                Side("bottom", straight(tuple(left[0]), tuple(right[0]))),
                Side("right", right, seam=f"seam_{(k + 1) % count}"),
                Side("top", straight(tuple(right[-1]), tuple(left[-1]))),
                Side("left", left[::-1], seam=f"seam_{k}", against=True),
            ],
            size=size,
        )
        for k, (left, right) in enumerate(pairwise(lines))
    ]


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.too_slow], derandomize=True)
@given(
    seed=st.integers(0, 10**6),
    girth=st.floats(250.0, 600.0),
    height=st.floats(250.0, 500.0),
    count=st.integers(2, 4),
    bow=st.floats(0.0, 12.0),
    around=st.floats(-0.15, 0.05),
    along=st.floats(-0.05, 0.02),
)
def test_every_check_holds_on_any_smooth_body(
    seed: int, girth: float, height: float, count: int, bow: float, around: float, along: float
) -> None:
    panels = panels_round(body(seed, girth), girth, height, count, bow)
    ease = Ease(around=around, along=along)
    flats = flatten_panels(panels, ease)
    failed = [check for check in check_flat_panels(flats, ease, stretch_limit=0.3) if not check.passed]
    assert failed == []
    for flat in flats.values():
        assert all(least_radius(curve) > 15.0 for curve in flat.curves.values())
        for edge in flat.panel.outline:
            assert np.allclose(flat.curves[edge.slug][0], flat.vertices[edge.vertices[0]], atol=0, rtol=0)


def test_a_finer_mesh_changes_the_outline_by_less_than_a_millimetre() -> None:
    surface, girth, height = body(7, 420.0), 420.0, 400.0
    ease = Ease(around=-0.1, along=0.0)
    coarse, fine = (
        flatten_panels(panels_round(surface, girth, height, 2, 8.0, size), ease) for size in (9.0, 4.5)
    )
    for slug in coarse:
        ours, theirs = (
            np.concatenate([flats[slug].curves[name] for name in ("bottom", "right", "top", "left")])
            for flats in (coarse, fine)
        )
        share = np.linspace(0.0, 1.0, 400)
        a, b = (
            np.stack([np.interp(share, arc_lengths(c) / arc_lengths(c)[-1], c[:, k]) for k in range(2)], 1)
            @ np.array([1.0, 1j])
            for c in (ours, theirs)
        )
        a, b = a - a.mean(), b - b.mean()
        turn = np.vdot(b, a)
        assert np.max(np.abs(a - b * turn / abs(turn))) < 1.0
