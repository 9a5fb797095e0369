"""Verifying flat panels from what will be cut: the finished curves, not the splines behind them."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from functools import partial

import numpy as np
import shapely
from numpy.typing import NDArray

from layfigure.draft.flatten.panel import Ease, FlatPanel
from layfigure.draft.flatten.panel_outline import corner_angles
from layfigure.draft.flatten.rest_shape import rest_triangles
from layfigure.draft.flatten.sewn_points import angle_sums
from layfigure.draft.flatten.stitch_line import least_radius, stitch_line
from layfigure.draft.flatten.worn_stretch import greatest_stretch_p95
from layfigure.draft.registry import Check
from layfigure.geometry.polyline import arc_lengths

Points = NDArray[np.float64]

MATE_LIMIT = 0.05
"""Largest difference in length of mates up to any corresponding points [mm]."""
CORNER_LIMIT = 0.1
"""Largest error of corner angles as sewn [degrees]."""
RADIUS_LIMIT = 8.0
"""Stitch lines bend no more sharply than this between corners [mm] (common practice, no source)."""


def mate_difference(first: Points, second: Points, *, opposed: bool) -> float:
    """Largest difference in length, from the seam's start, between two uses of a seam [mm].

    first, second : (k, 2) the same number of corresponding points each.
    opposed : the second is listed against the first.
    """
    other = second[::-1] if opposed else second
    return float(np.max(np.abs(arc_lengths(first) - arc_lengths(other))))


def curve_pairs(flats: Iterable[FlatPanel]) -> Iterator[tuple[Points, Points, bool]]:
    """Curves of every two uses of a seam among the panels, and whether they run against each other."""
    uses: dict[str, list[tuple[Points, bool]]] = {}
    for flat in flats:
        for edge in flat.panel.outline:
            if edge.seam is not None:
                uses.setdefault(edge.seam, []).append((flat.curves[edge.slug], edge.against))
    for (first, against), *others in uses.values():
        for second, other_against in others:
            yield first, second, against != other_against


def check_flat_panels(
    flats: Mapping[str, FlatPanel],
    ease: Ease | Mapping[str, Ease],
    *,
    stretch_limit: float | Mapping[str, float] = 0.2,
    stretch_advice: Callable[[str], str] = lambda _: "Take a cloth that stretches more.",
) -> tuple[Check, ...]:
    """Everything that can be verified about panels flattened together.

    ease : as they were flattened with. stretch_limit : allowed 95th percentile over the area of stretch
        beyond the ease, a share; for all panels, or by panel slug. stretch_advice : of a panel's slug, for
        when it stretches further.
    """
    differences = [mate_difference(a, b, opposed=opposed) for a, b, opposed in curve_pairs(flats.values())]
    worst, miss = max(differences, default=0.0), corner_error(flats, ease)
    checks = [
        _at_most(
            worst,
            MATE_LIMIT,
            passed="seams sewn to each other are equally long",
            failed=f"seams sewn to each other differ in length by up to {worst:.2f} mm",
            unit="mm",
        ),
        _at_most(
            miss,
            CORNER_LIMIT,
            passed="corners sewn together add up",
            failed=f"corners sewn together miss their sum by up to {miss:.1f} degrees",
            unit="degrees",
        ),
    ]
    for slug, flat in flats.items():
        limit = stretch_limit if isinstance(stretch_limit, float) else stretch_limit[slug]
        checks += _panel_checks(slug.replace("_", " "), flat, limit, partial(stretch_advice, slug))
    return tuple(checks)


def _panel_checks(
    panel: str, flat: FlatPanel, stretch_limit: float, stretch_advice: Callable[[], str]
) -> list[Check]:
    """What can be verified about one panel. panel : its name in words."""
    ring = shapely.LinearRing(stitch_line(flat))
    radius = min(least_radius(curve) for curve in flat.curves.values())
    stretch = greatest_stretch_p95(flat)
    gentle = radius >= RADIUS_LIMIT
    return [
        _at_most(
            0.0 if ring.is_simple and ring.is_ccw else 1.0,
            0.0,
            passed=f"{panel}: its outline keeps clear of itself",
            failed=f"{panel}: its outline crosses itself",
        ),
        Check(
            what=f"{panel}: its stitch lines bend gently enough to sew"
            if gentle
            else f"{panel}: a stitch line turns within {radius:.0f} mm, too sharply to sew",
            value=radius,
            limit=RADIUS_LIMIT,
            unit="mm",
            passed=gentle,
            advice="" if gentle else "Draw the edge more smoothly there.",
        ),
        _at_most(
            float(np.sum(_flat_areas(flat) <= 0.0)),
            0.0,
            passed=f"{panel}: it lies flat without a fold",
            failed=f"{panel}: it folds over itself when laid flat",
            advice="Divide it by another seam.",
        ),
        _at_most(
            stretch,
            stretch_limit,
            passed=f"{panel}: the cloth takes what its roundest places ask of it",
            failed=f"{panel}: its roundest places stretch the cloth by {stretch:.0%} on top of the fit, "
            f"and it has {stretch_limit:.0%} to spare",
            advice="" if stretch <= stretch_limit else stretch_advice(),
        ),
    ]


def corner_error(flats: Mapping[str, FlatPanel], ease: Ease | Mapping[str, Ease]) -> float:
    """Largest miss of a sum of corner angles where they are sewn, measured on the curves [degrees]."""
    panels = [flat.panel for flat in flats.values()]
    eases = [ease if isinstance(ease, Ease) else ease[panel.slug] for panel in panels]
    bodies = [corner_angles(p, rest_triangles(p, e)) for p, e in zip(panels, eases, strict=True)]
    angles = [curve_corners(flat) for flat in flats.values()]
    misses = [
        sum(float(angles[p][k]) for p, k in condition.corners) - condition.total
        for condition in angle_sums(panels, bodies)
    ]
    # An angle of nearly nothing may be read as nearly a whole turn.
    apart = [abs((miss + np.pi) % (2.0 * np.pi) - np.pi) for miss in misses]
    return float(np.degrees(max(apart, default=0.0)))


def curve_corners(flat: FlatPanel) -> Points:
    """Inner angles between the tangents of the finished curves at the start of every edge, (k,) [rad]."""
    outline = flat.panel.outline
    angles = []
    for k, edge in enumerate(outline):
        arriving = _end_tangent(flat.curves[outline[k - 1].slug][::-1])
        leaving = _end_tangent(flat.curves[edge.slug])
        # Both point away from the corner; counter-clockwise from leaving to arriving lies inside.
        angle = np.angle(arriving * np.conj(leaving)) % (2.0 * np.pi)
        angles.append(angle)
    return np.asarray(angles)


def _end_tangent(curve: Points) -> complex:
    """Unit direction in which a finely and evenly sampled curve leaves its first point."""
    z = curve[:4, 0] + 1j * curve[:4, 1]
    # Derivative at the first of four equally spaced points, by the cubic through them.
    weights = np.array([-11.0, 18.0, -9.0, 2.0]) if z.size == 4 else np.array([-3.0, 4.0, -1.0])
    tangent = np.sum(weights * z)
    return complex(tangent / abs(tangent))


def _flat_areas(flat: FlatPanel) -> Points:
    a, b, c = (flat.vertices[flat.panel.faces[:, k]] for k in range(3))
    u, v = b - a, c - a
    return np.asarray(0.5 * (u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0]), dtype=np.float64)


def _at_most(
    value: float, limit: float, *, passed: str, failed: str, unit: str = "", advice: str = ""
) -> Check:
    """A check of a number against its greatest allowed, with a sentence for either answer."""
    good = value <= limit
    return Check(
        what=passed if good else failed,
        value=value,
        limit=limit,
        unit=unit,
        passed=good,
        advice="" if good else advice,
    )
