"""Edges of a garment as curves on the wearer, and as fields that vanish on them."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from layfigure.body.chart import ChartPoint
from layfigure.body.form import Form
from layfigure.body.levels import region_name, split_region

Points = NDArray[np.float64]


def edge_curve(form: Form, points: Sequence[ChartPoint], *, closed: bool) -> Points:
    """An edge in the drafting pose, (k, 3) [mm]; a closed one ends where it starts."""
    curve = np.empty((len(points), 3))
    regions = np.array([point.region for point in points])
    station = np.array([point.station for point in points])
    around = np.array([point.around for point in points])
    for region in set(regions.tolist()):
        own = regions == region
        curve[own] = form.drafting_charts[region].points(station[own], around[own])
    return np.vstack([curve, curve[:1]]) if closed else curve


def ring(region: str, station: float, *, count: int = 96) -> tuple[ChartPoint, ...]:
    """A level line right round a region."""
    return tuple(
        ChartPoint(region=region, station=station, around=float(a)) for a in np.arange(count) / count
    )


def mirrored(points: Sequence[ChartPoint]) -> tuple[ChartPoint, ...]:
    """The same edge on the other side: paired regions count around outward, the others to the left."""
    turned = []
    for point in points:
        definition, side = split_region(point.region)
        if side == "middle":
            around = (1.0 - point.around) % 1.0
            turned.append(ChartPoint(region=point.region, station=point.station, around=around))
        else:
            other = region_name(definition.name, "right" if side == "left" else "left")
            turned.append(ChartPoint(region=other, station=point.station, around=point.around))
    return tuple(turned)


def beyond(vertices: Points, curve: Points, axis: Points) -> Points:
    """How far past a curve round a limb or trunk each vertex lies along the axis, (n,) [mm].

    curve : (k, 3), a function of the angle round ``axis`` (3,), unit, through the middle of the curve.
    Negative before the curve, exactly linear in the axis; where the curve leaves an angle out it is bridged.
    """
    middle = 0.5 * (curve.min(axis=0) + curve.max(axis=0))
    x, y, z = axis
    side = np.array([-z, 0.0, x] if abs(y) < 0.9 else [0.0, z, -y])
    side /= np.linalg.norm(side)
    other = np.array([y * side[2] - z * side[1], z * side[0] - x * side[2], x * side[1] - y * side[0]])

    def turned(places: Points) -> tuple[Points, Points]:
        from_middle = places - middle
        return np.arctan2(from_middle @ other, from_middle @ side), from_middle @ axis

    angle, along = turned(curve)
    at, height = turned(vertices)
    order = np.argsort(angle)
    past: Points = height - np.interp(at, angle[order], along[order], period=2.0 * np.pi)
    return past
