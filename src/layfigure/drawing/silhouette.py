"""A body's outline from the front and the back, and which lines on it are seen from there."""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache
from typing import Literal

import numpy as np
import shapely
from numpy.typing import NDArray

from layfigure.body.chart import RegionChart
from layfigure.body.form import Form

Points = NDArray[np.float64]
View = Literal["front", "back"]


def seen_from(places: Points, view: View) -> Points:
    """Places in space as seen from the front (the wearer's left on the right) or the back, (n, 2) [mm]."""
    sign = 1.0 if view == "front" else -1.0
    flat: Points = np.column_stack([sign * places[:, 0], places[:, 2]])
    return flat


def region_outline(chart: RegionChart, view: View) -> shapely.Geometry:
    """Area that a region covers in a view: the hulls of neighbouring sections, together."""
    count, samples, _ = chart.sections.shape
    flat = seen_from(chart.sections.reshape(-1, 3), view).reshape(count, samples, 2)
    pairs = np.concatenate([flat[:-1], flat[1:]], axis=1)
    rings = shapely.linearrings(pairs.reshape(-1, 2), indices=np.repeat(np.arange(count - 1), 2 * samples))
    return shapely.union_all(shapely.convex_hull(rings))


def outlines(charts: Mapping[str, RegionChart], view: View) -> list[Points]:
    """Closed outlines of all regions, each (n, 2) [mm]."""
    parts = [part for chart in charts.values() for part in shapely.get_parts(region_outline(chart, view))]
    return [np.asarray(shapely.get_coordinates(shapely.simplify(p, 0.5).exterior))[:-1] for p in parts]


def body_outline(form: Form, view: View) -> list[Points]:
    """Closed outlines of a whole body, standing, each (n, 2) [mm]. The back is the front in a mirror."""
    sign = 1.0 if view == "front" else -1.0
    return [ring * [sign, 1.0] for ring in _front_outline(form)]


@lru_cache(maxsize=2)
def _front_outline(form: Form) -> list[Points]:
    flat = seen_from(form.standing.vertices, "front")[form.standing.faces]
    sides = flat[:, 1:] - flat[:, :1]
    turned = sides[:, 0, 0] * sides[:, 1, 1] - sides[:, 0, 1] * sides[:, 1, 0]
    flat = flat[turned > 1e-6]
    # Charts cover most of the body at little work; the surface adds what lies between them: shoulders, hands.
    charted = shapely.union_all([region_outline(chart, "front") for chart in form.charts.values()])
    shapely.prepare(charted)
    triangles = shapely.polygons(flat)
    rest = triangles[~shapely.contains(charted, triangles)]
    whole = shapely.union_all([charted, *rest]).buffer(2.0).buffer(-2.0)
    rings = [shapely.get_coordinates(shapely.simplify(p, 0.5).exterior) for p in shapely.get_parts(whole)]
    return [np.asarray(ring)[:-1] for ring in rings]


def facing(places: Points, stations: Points, chart: RegionChart, view: View) -> NDArray[np.bool_]:
    """Which places on a region face the viewer: nearer than the middle of their own section, (n,)."""
    middles = np.interp(stations, chart.stations, chart.sections[:, :, 1].mean(axis=1))
    near: NDArray[np.bool_] = places[:, 1] <= middles if view == "front" else places[:, 1] >= middles
    return near


def seen_runs(places: Points, seen: NDArray[np.bool_]) -> list[Points]:
    """Unbroken runs of seen places; where a line ends where it began, a run through there is kept whole."""
    if seen.all():
        return [places]
    if len(places) > 2 and np.allclose(places[0], places[-1], atol=1e-6):
        start = int(np.flatnonzero(~seen[:-1])[0]) if not seen[:-1].all() else 0
        places, seen = np.roll(places[:-1], -start, axis=0), np.roll(seen[:-1], -start)
    padded = np.concatenate([[False], seen, [False]])
    steps = np.flatnonzero(np.diff(padded.astype(np.int8)))
    runs = zip(steps[::2], steps[1::2], strict=True)
    return [places[first:last] for first, last in runs if last - first > 1]
