"""A horn's middle line through places said from where it stands: so far out, up and back."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from pydantic import BaseModel, ConfigDict, Field
from scipy.interpolate import CubicSpline, PchipInterpolator

from layfigure.body.form import Form
from layfigure.errors import DraftError
from layfigure.files.quantities import Length
from layfigure.geometry.polyline import arc_lengths, points_at
from layfigure.place.placement import PlacedEdge

Points = NDArray[np.float64]

FINE = 40
"""Places between two said ones, from which even steps are taken."""

NEAREST = 5.0
"""Two places nearer than this say nothing of the way between them [mm]."""


class HornPoint(BaseModel):
    """A place that a horn's middle passes."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    out: Length = Field(0.0, description="away from the middle of the body, on the horn's own side")
    up: Length = Field(0.0, description="upward, negative for below")
    back: Length = Field(0.0, description="toward the back, negative for the front")
    thick: Length | None = Field(
        None, ge=0.0, le=300.0, description="thickness there; evenly tapered if not said"
    )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ThickCurve:
    """curve : (m, 3) even steps [mm]. thick : (m,) thickness outside [mm]."""

    curve: Points
    thick: Points


def curve_through(
    root: Points,
    through: Sequence[HornPoint],
    *,
    base: float,
    tip: float,
    mirrored: bool,
    factor: float,
    step: float,
) -> ThickCurve:
    """The smooth curve from a root through places.

    root : (3,). base, tip : thickness at its ends where no place says another [mm]. mirrored : out is toward
    the wearer's right. factor : all offsets and thicknesses of places so many times. Raises DraftError for
    places that lie on one another.
    """
    side = -1.0 if mirrored else 1.0
    offsets = factor * np.array([[0.0, 0.0, 0.0], *([side * p.out, p.back, p.up] for p in through)])
    apart = np.linalg.norm(np.diff(offsets, axis=0), axis=1)
    if apart.min() < NEAREST:
        raise DraftError(
            f"places {int(apart.argmin())} and {int(apart.argmin()) + 1} of the horn lie on one another.",
            advice="Leave one of them out; place 0 is where it stands.",
        )
    # Knots by the root of the distance keep the curve from looping between uneven places (centripetal).
    knots = np.concatenate([[0.0], np.cumsum(np.sqrt(apart))])
    bend = "not-a-knot" if len(knots) > 3 else "natural"
    spline = CubicSpline(knots, offsets, bc_type=bend)
    pairs = itertools.pairwise(knots)
    fine = np.concatenate([np.linspace(a, b, FINE, endpoint=False) for a, b in pairs])
    places = spline(np.append(fine, knots[-1]))
    run = arc_lengths(places)
    count = max(12, int(np.ceil(run[-1] / step)) + 1)
    even = np.linspace(0.0, run[-1], count)
    thick = _thickness(run[::FINE], through, base=base, tip=tip, factor=factor)
    return ThickCurve(curve=root + points_at(places, even), thick=thick(even))


def _thickness(
    at: Points, through: Sequence[HornPoint], *, base: float, tip: float, factor: float
) -> PchipInterpolator:
    """Thickness by distance along, without overshoot. at : (k + 1,) of the root and all places."""
    said = [(0.0, base)]
    said += [
        (float(s), factor * p.thick) for s, p in zip(at[1:], through, strict=True) if p.thick is not None
    ]
    if through[-1].thick is None:
        said.append((float(at[-1]), tip))
    places, values = np.array(said).T
    return PchipInterpolator(places, values)


def start_of(form: Form, line: PlacedEdge, growth: float) -> Points:
    """Where a placed line begins, lifted off the skin, (3,). growth : [mm]."""
    run = line.curves[0]
    chart = form.charts[run.region]
    place = chart.points(run.station[:1], run.around[:1])[0]
    middle = chart.section(float(run.station[0])).mean(axis=0)
    out = place - middle
    root: Points = place + growth * out / np.linalg.norm(out)
    return root


def growth_factor(form: Form, measure: str | None, made_for: float | None, side: str) -> float:
    """The wearer's measure over that which the places were said for. Raises DraftError where one lacks."""
    if measure is None and made_for is None:
        return 1.0
    if measure is None or made_for is None:
        raise DraftError(
            "grows_with and made_for go together.",
            advice="Say the measure, and what it was for these places.",
        )
    for name in (measure, f"{measure}_{side}", f"{measure}_left"):
        if name in form.measures:
            return form.measures[name] / made_for
    raise DraftError(
        f"the wearer's {measure.replace('_', ' ')} is not known.",
        advice="Take it and add it to the wearer's file, or leave grows_with out.",
    )
