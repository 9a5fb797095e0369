"""Rows of motifs on one wearer: the shape at its own size, again and again along a placed edge."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from layfigure.body.chart import ChartPoint
from layfigure.body.form import Form
from layfigure.body.levels import split_region
from layfigure.design.design import DesignEdge, EdgePoint
from layfigure.design.motif import MotifRow
from layfigure.errors import PlacementError
from layfigure.geometry.polyline import arc_lengths
from layfigure.place.placement import PlacedEdge

Points = NDArray[np.float64]

STEP = 5.0
"""Reach over which direction is read round a motif's middle [mm]."""
LEAST_CROSSING = 0.25
"""Square of the sine of the least angle that a chart's lines are taken to cross at: 30 degrees."""


def motifs_along(row: MotifRow, base: PlacedEdge, form: Form) -> tuple[DesignEdge, ...]:
    """Every motif of a row as an edge of its own. base : the edge it runs along, on the wearer.

    Raises PlacementError where the motifs do not fit beside each other.
    """
    regions = {curve.region for curve in base.curves}
    line = base.line
    at = arc_lengths(line)
    whole = base.edge.closed and len(regions) == 1 and row.last - row.first > 0.999
    start, end = row.first * at[-1], row.last * at[-1]
    sizes = np.linspace(row.size, row.size_end, row.count)
    centres = _centres(row, sizes, float(start), float(end), whole=whole)
    station = np.concatenate([curve.station for curve in base.curves])
    around = np.concatenate([np.asarray(curve.around) for curve in base.curves])
    region = np.concatenate([np.full(len(c.station), k) for k, c in enumerate(base.curves)])
    spread = float(np.median([p.spread_along for p in base.edge.points]))
    motifs = []
    for slug, size, centre in zip(row.slugs, sizes, centres, strict=True):
        nearest = int(np.abs(at - centre).argmin())
        own = np.flatnonzero(region == region[nearest])
        middle = ChartPoint(
            region=base.curves[region[nearest]].region,
            station=float(np.interp(centre, at[own], station[own])),
            around=float(np.interp(centre, at[own], around[own]) % 1.0),
        )
        turn = np.radians(row.turn)
        if row.follow:
            turn += _heading(middle, line, at, float(centre), form)
        motifs.append(_motif(row, slug, middle, float(size), float(turn), spread, form))
    return tuple(motifs)


def _centres(row: MotifRow, sizes: Points, start: float, end: float, *, whole: bool) -> Points:
    """How far along the edge the middle of each motif lies, (count,) [mm]."""
    n = row.count
    room = end - start
    spare = room - float(sizes.sum())
    gaps = n if whole else max(n - 1, 1)
    if spare < 0.0 and n > 1:
        raise PlacementError(
            f"{n} motifs of that size do not fit along {row.along!r}.",
            where=row.where or f"motifs {row.slug}",
            advice="Make them smaller, fewer, or the part of the edge longer.",
        )
    if n == 1:
        return np.array([0.5 * (start + end)])
    if row.spacing == "centres":
        if whole:
            middles: Points = start + room * (np.arange(n) + 0.5) / n
            return middles
        return np.linspace(start + 0.5 * sizes[0], end - 0.5 * sizes[-1], n)
    between = 0.5 * (sizes + np.roll(sizes, -1))
    weights = np.ones(n) if row.spacing == "gaps" else between
    weights = weights[:gaps] / weights[:gaps].sum()
    steps = between[: n - 1] + spare * weights[: n - 1]
    centres: Points = start + 0.5 * sizes[0] + np.concatenate([[0.0], np.cumsum(steps)])
    return centres


def _axes(at: ChartPoint, form: Form) -> tuple[Points, Points]:
    """Unit directions round (toward greater around) and up at a place."""
    chart = form.charts[at.region]
    off = STEP / float(chart.girth(at.station)[()])
    before, after = chart.points([at.station] * 2, [at.around - off, at.around + off])
    reach = 0.02
    high, low = chart.points([at.station - reach, at.station + reach], [at.around] * 2)
    round_, up = after - before, high - low
    return round_ / np.linalg.norm(round_), up / np.linalg.norm(up)


def _heading(middle: ChartPoint, line: Points, at: Points, centre: float, form: Form) -> float:
    """Angle of the edge at a place, from the way up, as a motif is turned to follow it [rad]."""
    low, high = (
        np.array([np.interp(centre + off, at, line[:, k]) for k in range(3)]) for off in (-STEP, STEP)
    )
    round_, up = _axes(middle, form)
    along = high - low
    return float(np.arctan2(-(along @ round_) * _outward(middle), along @ up))


def _outward(at: ChartPoint) -> float:
    """1 where greater around runs to the viewer's right as seen from outside, -1 where to the left."""
    return -1.0 if split_region(at.region)[1] == "right" else 1.0


def _motif(
    row: MotifRow, slug: str, middle: ChartPoint, size: float, turn: float, spread: float, form: Form
) -> DesignEdge:
    """A motif round its middle. Its size is what a tape on the skin reads, round from there and square to it:
    a chart's stations lie nearer in one place than in another.
    """
    chart = form.charts[middle.region]
    cos, sin = np.cos(turn), np.sin(turn)
    x, y = np.array(row.shape.outline).T
    right, up = size * (cos * x - sin * y), size * (sin * x + cos * y)
    # Where a chart's lines do not cross at a right angle, as at a knee, a circle would come out oval.
    outward = _outward(middle)
    round_, upward = _axes(middle, form)
    lean = outward * float(round_ @ upward)
    square = up / np.sqrt(max(1.0 - lean * lean, LEAST_CROSSING))
    station = _stations_up(middle, square, form)
    around = middle.around + outward * (right - lean * square) / chart.girth(station)
    points = tuple(
        EdgePoint(
            at=ChartPoint(region=middle.region, station=float(t), around=float(a % 1.0)),
            spread_along=spread,
            spread_around=spread,
            corner=corner,
        )
        for t, a, corner in zip(station, around, row.shape.corners, strict=True)
    )
    return DesignEdge(
        slug=slug,
        points=points,
        closed=True,
        source="typed",
        text=f"row {row.slug}",
        drawn=tuple((float(r), float(u)) for r, u in zip(right, up, strict=True)),
    )


def _stations_up(middle: ChartPoint, up: Points, form: Form) -> Points:
    """Stations at lengths up the skin from a place, straight up its own line of the chart, (m,)."""
    chart = form.charts[middle.region]
    stations = np.unique(np.append(chart.stations, middle.station))
    stations = stations[(stations >= chart.stations[0]) & (stations <= chart.stations[-1])]
    down = arc_lengths(chart.points(stations, np.full(len(stations), middle.around)))
    # Past its ends a chart is carried on as it ends.
    first, last = stations[0] - 0.5, stations[-1] + 0.5
    slopes = [(down[k + 1] - down[k]) / (stations[k + 1] - stations[k]) for k in (0, len(stations) - 2)]
    stations = np.concatenate([[first], stations, [last]])
    down = np.concatenate([[-0.5 * slopes[0]], down, [down[-1] + 0.5 * slopes[1]]])
    found: Points = np.interp(np.interp(middle.station, stations, down) - up, down, stations)
    return found
