"""The middle line of a belt laid flat: straight, shaped by a cone, or slung round the hips."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from layfigure.body.chart import RegionChart
from layfigure.draft.belt.options import BeltOptions
from layfigure.draft.belt.strap import girth_to
from layfigure.draft.registry import DraftRequest
from layfigure.draft.round_edge import WrapEdge
from layfigure.draft.sheet_practice import sheet_practice
from layfigure.draft.wrap.outline import lay_flat, stretch_of, trace
from layfigure.draft.wrap.plan import AROUND
from layfigure.draft.wrap.surface import WrapSurface, wrap_surface
from layfigure.errors import DraftError
from layfigure.geometry.bend import neutral_girth
from layfigure.geometry.developable import isometry_error, unroll
from layfigure.geometry.fairing import faired
from layfigure.geometry.frustum import flat_frustum_by_slant
from layfigure.geometry.parallel_slices import AxisFrame, axis_frame, slice_stack
from layfigure.geometry.polyline import arc_lengths
from layfigure.geometry.support_function import section_girth, support_values
from layfigure.materials.cloth import Cloth

Points = NDArray[np.float64]

FAIRING = 12.0
"""Waves shorter than a few times this are taken out of a slung belt's line [mm]."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BeltLine:
    """Middle line of a belt on the flat, from where it opens, once round and on under itself.

    curve : (n, 2) [mm], left to right, seen from outside. girth : along it, once round [mm].
    edge_difference : how much longer the body is under one edge than under the other [mm], for a strip that
    cannot be. surface : the band a slung belt lies on, None for the others. stretch : largest change of a
    length by laying flat [mm]. faired_by : how far taking small waves out moved it [mm].
    """

    curve: Points
    girth: float
    edge_difference: float = 0.0
    surface: WrapSurface | None = None
    stretch: float = 0.0
    faired_by: float = 0.0


def belt_frame(chart: RegionChart, line: Points) -> AxisFrame:
    """Frame square to the plane that runs nearest to a line round the body, upward."""
    centre = line.mean(axis=0)
    axis = np.linalg.svd(line - centre, full_matrices=False)[2][2]
    up = chart.sections[0].mean(axis=0) - chart.sections[-1].mean(axis=0)
    if axis @ up < 0.0:
        axis = -axis
    return axis_frame(centre, axis, line[0])


def body_girths(chart: RegionChart, frame: AxisFrame, heights: Points) -> Points:
    """Girth of the body's hull in planes of a frame, (m,) [mm]. Raises DraftError off the region."""
    _check_reached(chart, frame, heights)
    return section_girth(support_values(slice_stack(frame.to_frame(chart.sections), heights), 720))


def _check_reached(chart: RegionChart, frame: AxisFrame, heights: Points) -> None:
    """Raises DraftError where none of the region's lines comes to a plane of a frame."""
    levels = frame.to_frame(chart.sections)[..., 2]
    lowest = levels[0] if levels[-1].mean() > levels[0].mean() else levels[-1]
    reached = (lowest <= heights[:, None]) & (heights[:, None] <= levels.max(axis=0))
    if not reached.any(axis=1).all():
        raise DraftError(
            "the belt runs off the end of the trunk.", advice="Move it up, or make it narrower or less steep."
        )


def belt_line(request: DraftRequest, options: BeltOptions, edge: WrapEdge, cloth: Cloth) -> BeltLine:
    """The middle line of the shape asked for, along an edge that goes right round.

    Raises DraftError where the belt runs off the region, or a slung one has no room.
    """
    chart = request.form.charts[edge.region]
    places, _ = edge.on(chart)
    frame = belt_frame(chart, places)
    clearance = request.stack + options.air
    neutral = sheet_practice(cloth).neutral_share
    grown = neutral_girth(2.0 * math.pi * clearance, cloth.thickness, neutral)
    if options.shape == "straight":
        return straight_line(chart, frame, options.width, grown, options.beyond)
    if options.shape == "contour":
        return contour_line(chart, frame, options.width, grown, options.beyond)
    return slung_line(
        chart,
        frame,
        edge,
        AROUND[options.opens],
        options.width,
        clearance=clearance,
        outward=neutral * cloth.thickness,
        beyond=options.beyond,
    )


def straight_line(
    chart: RegionChart, frame: AxisFrame, width: float, grown: float, beyond: float
) -> BeltLine:
    """A straight strap as long as the body's girth under its middle, plus ``grown`` [mm]."""
    low, middle, high = body_girths(chart, frame, np.array([-0.5, 0.0, 0.5]) * width)
    girth = float(middle) + grown
    count = math.ceil((girth + beyond) / 2.0) + 1
    curve = np.column_stack([np.linspace(0.0, girth + beyond, count), np.zeros(count)])
    return BeltLine(curve=curve, girth=girth, edge_difference=abs(float(high - low)))


def contour_line(chart: RegionChart, frame: AxisFrame, width: float, grown: float, beyond: float) -> BeltLine:
    """An arc, so that the two edges are as long as the body under each: a truncated cone laid flat."""
    low, high = (float(g) for g in body_girths(chart, frame, np.array([-0.5, 0.5]) * width))
    # The belt's width runs down the slant, so its edges are a little nearer in height than its width.
    lean = abs(low - high) / (2.0 * math.pi)
    upright = math.sqrt(max(width**2 - lean**2, 0.25 * width**2))
    low, high = (float(g) for g in body_girths(chart, frame, np.array([-0.5, 0.5]) * upright))
    if abs(low - high) < 0.5:
        return straight_line(chart, frame, width, grown, beyond)
    cone = flat_frustum_by_slant(min(low, high) + grown, max(low, high) + grown, width)
    radius = 0.5 * (cone.inner_radius + cone.outer_radius)
    girth = radius * cone.sector
    angle = np.linspace(0.0, (girth + beyond) / radius, math.ceil((girth + beyond) / 1.5) + 1)
    # Longer below: the cone's point lies above the belt, so the strip curves like a smile.
    rise = radius * (1.0 - np.cos(angle)) * (1.0 if low > high else -1.0)
    return BeltLine(curve=np.column_stack([radius * np.sin(angle), rise]), girth=girth)


def slung_line(
    chart: RegionChart,
    frame: AxisFrame,
    line: WrapEdge,
    opens: float,
    width: float,
    *,
    clearance: float,
    outward: float,
    beyond: float,
) -> BeltLine:
    """The placed line drawn on a band that bends one way only and clears the body under the whole belt.

    opens : around, where it starts. outward : from inner to neutral surface [mm].
    """
    places, corner = line.on(chart)
    reach = (0.5 * width + 5.0) * frame.axis
    _check_reached(chart, frame, np.array([-0.5, 0.5]) * width)
    surface = wrap_surface(
        chart,
        frame,
        (places - reach, np.zeros(len(places), dtype=np.bool_)),
        (places + reach, np.zeros(len(places), dtype=np.bool_)),
        clearance=clearance,
        least_radius=30.0,
        bands=1,
    )
    band = surface.fit.bands[0].offset(outward)
    local = frame.to_frame(places)
    drawn = trace(band, local, corner)
    nearest = np.abs(np.mod(line.around - opens + 0.5, 1.0) - 0.5).argmin()
    start = frame.to_frame(chart.points(line.station[[nearest]], line.around[[nearest]]))
    first = round(float(band.nearest(start)[0][0]))
    # As many trapezoids past a whole turn as the lap could need, cut to length below.
    past = math.ceil(2.0 * beyond / surface.fit.values.min() * band.count / (2.0 * math.pi)) + 8
    whole = band.count + min(past, band.count - 1)
    unrolled = unroll(band, first, whole)
    flat = unrolled.turned(first)
    curve = lay_flat(stretch_of(drawn, first, whole, band.count), flat).curve
    once = lay_flat(stretch_of(drawn, first, band.count, band.count), flat).curve
    girth = float(arc_lengths(once)[-1])
    # The tape line has facets that a strap's edges would repeat as waves.
    curve, faired_by = faired(girth_to(curve, girth + beyond), step=1.5, reach=FAIRING)
    return BeltLine(
        curve=curve,
        girth=girth,
        surface=surface,
        stretch=isometry_error(band, unrolled),
        faired_by=faired_by,
    )
