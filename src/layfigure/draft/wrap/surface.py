"""The surface of a stiff wrap round one region: its axis, the sections it clears, and its bands."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from layfigure.body.chart import RegionChart
from layfigure.errors import DraftError
from layfigure.geometry.band_fit import BandFit, BandsImpossible, best_breaks, fit_bands, poke
from layfigure.geometry.developable import Band
from layfigure.geometry.parallel_slices import AxisFrame, axis_frame, slice_stack
from layfigure.geometry.support_function import section_girth, side_lengths, support_values

Points = NDArray[np.float64]

GAP_LIMIT = 10.0
"""A band stands off the body by no more than this on 95 % of its area [mm], clearance not counted."""

MOST_BANDS = 3
LEAST_BAND_DEPTH = 40.0
LONGEST_CHORD = 1.9
SLICE_STEP = 5.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class WrapSurface:
    """Bands round a region.

    frame : axis upward (toward the region's first level), first direction toward the zero line.
    fit : the inner surface of the wrap. bottom, top : (n, 3) edges on the tape surface, in the frame;
    their corners beside them. heights, hulls : the sections cleared, without clearance.
    clearance : from skin to inner surface [mm]. poke : how far skin stands out of the clearance, 0 or less.
    gap_p95, gap_max : how far the wrap stands off beyond the clearance, by area [mm].
    """

    frame: AxisFrame
    fit: BandFit
    bottom: Points
    bottom_corner: NDArray[np.bool_]
    top: Points
    top_corner: NDArray[np.bool_]
    heights: Points
    hulls: Points
    clearance: float
    poke: float
    gap_p95: float
    gap_max: float


def section_axis(chart: RegionChart, first: float, last: float) -> AxisFrame:
    """Straight axis through the middles of the sections between two stations, pointing to the first level.

    A neck's sections lie askew to the way through their middles, and a collar's edges with them: there the
    axis stands square to the sections, so that both edges are level and no jaw or shoulder is cleared.
    """
    between = chart.sections[(chart.stations > first) & (chart.stations < last)]
    sections = np.concatenate([chart.section(first)[None], between, chart.section(last)[None]])
    middles = sections.mean(axis=1)
    centre = middles.mean(axis=0)
    if chart.region == "neck":
        flat = (sections - middles[:, None]).reshape(-1, 3)
        axis = np.linalg.svd(flat, full_matrices=False)[2][2]
    else:
        axis = np.linalg.svd(middles - centre)[2][0]
    if axis @ (middles[0] - middles[-1]) < 0.0:
        axis = -axis
    return axis_frame(centre, axis, chart.section(0.5 * (first + last))[0])


def wrap_surface(
    chart: RegionChart,
    frame: AxisFrame,
    bottom: tuple[Points, NDArray[np.bool_]],
    top: tuple[Points, NDArray[np.bool_]],
    *,
    clearance: float,
    least_radius: float,
    bands: int | None = None,
    gap_limit: float = GAP_LIMIT,
    plate: Points | None = None,
) -> WrapSurface:
    """The fewest bands that clear the region between two edges and stay near it.

    bottom, top : (n, 3) places in space and which of them are corners. bands : how many, None for as many as
    the gap needs, three at most. plate : (3, 3) start, middle and end of a plate that covers part of the
    round: what stands off elsewhere does not count.
    Raises DraftError when the edges cross, or leave no room for bands.
    """
    low, high = frame.to_frame(bottom[0]), frame.to_frame(top[0])
    lowest, highest = float(low[:, 2].min()), float(high[:, 2].max())
    if float(high[:, 2].min()) <= lowest or highest <= float(low[:, 2].max()):
        raise DraftError(
            "the top edge does not lie above the bottom edge.", advice="Swap them, or move them apart."
        )
    heights = np.linspace(lowest, highest, max(9, int(np.ceil((highest - lowest) / SLICE_STEP)) + 1))
    local = frame.to_frame(chart.sections)
    sections = slice_stack(local, heights)
    count = _directions_for(sections)
    hulls = support_values(sections, count)
    wanted = _filled(hulls) + clearance
    covered = _covered(frame, plate, count)
    best: WrapSurface | None = None
    for number in (bands,) if bands else range(1, MOST_BANDS + 1):
        try:
            breaks = best_breaks(
                heights,
                wanted[:, :: max(1, count // 48)],
                number,
                lowest=float(low[:, 2].max()) + 0.5 * LEAST_BAND_DEPTH,
                highest=float(high[:, 2].min()) - 0.5 * LEAST_BAND_DEPTH,
                least_depth=LEAST_BAND_DEPTH,
            )
            fit = fit_bands(heights, hulls + clearance, breaks, least_radius=least_radius)
        except BandsImpossible as impossible:
            if best is not None:
                return best
            raise DraftError(
                f"{impossible}.", advice="Make the piece longer, or ask for fewer bands."
            ) from impossible
        fit, out = _cleared(fit, local, clearance)
        gaps, areas = stand_off(fit, heights, hulls + clearance, low, high, covered)
        surface = WrapSurface(
            frame=frame,
            fit=fit,
            bottom=low,
            bottom_corner=bottom[1],
            top=high,
            top_corner=top[1],
            heights=heights,
            hulls=hulls,
            clearance=clearance,
            poke=out if out > 1e-9 else min(out, 0.0),
            gap_p95=_weighted_percentile(gaps, areas, 0.95),
            gap_max=float(gaps.max()),
        )
        if best is None or surface.gap_p95 < best.gap_p95:
            best = surface
        if surface.gap_p95 <= gap_limit:
            return surface
    assert best is not None
    return best


def stand_off(
    fit: BandFit, heights: Points, hulls: Points, low: Points, high: Points, covered: NDArray[np.bool_]
) -> tuple[Points, Points]:
    """Distances from the cleared sections out to the wrap, square to it, with the area each speaks for.

    Only between the two edges, in the directions covered (count,), where there is a section; both (m,).
    """
    middles = 0.5 * (heights[:-1] + heights[1:])
    section = 0.5 * (hulls[:-1] + hulls[1:])
    values = fit.support(middles)
    upper = np.clip(np.searchsorted(fit.breaks, middles), 1, len(fit.breaks) - 1)
    lean = np.array([band.slope() for band in fit.bands])[upper - 1]
    count = values.shape[1]
    angle = 2.0 * np.pi * np.arange(count) / count
    inside = np.isfinite(section) & covered
    for edge, sign in ((low, 1.0), (high, -1.0)):
        inside &= sign * (middles[:, None] - _height_at(edge, angle)) >= 0.0
    gaps = (values - section)[inside] / np.sqrt(1.0 + lean[inside] ** 2)
    areas = np.maximum(side_lengths(values), 0.0)[inside]
    return gaps, areas


def inner_girths(fit: BandFit, heights: Points) -> Points:
    """Girth of the wrap's inner surface at heights, (m,) [mm]."""
    return section_girth(fit.support(heights))


def neutral_bands(surface: WrapSurface, thickness: float, neutral_share: float) -> tuple[Band, ...]:
    """The bands on the neutral surface, where the sheet keeps its length.

    Moved out square to the axis, so that neighbours still share their break and every level's girth grows by
    2 pi K t; on a band leaning by a fifth this is 2 % of K t less than square to the sheet.
    """
    return tuple(band.offset(neutral_share * thickness) for band in surface.fit.bands)


def _directions_for(sections: Points) -> int:
    """Enough directions that no chord round the widest section is longer than two millimetres."""
    girth = float(section_girth(_filled(support_values(sections, 96))).max())
    return max(240, 48 * int(np.ceil(1.25 * girth / LONGEST_CHORD / 48)))


def _filled(hulls: Points) -> Points:
    """Support values with the levels that no line reaches taken from the nearest that one does."""
    known = np.isfinite(hulls).all(axis=1)
    if not known.any():
        raise DraftError("the edges lie off the body.", advice="Place them on one region of the body.")
    nearest = np.abs(np.arange(len(hulls))[:, None] - np.flatnonzero(known)).argmin(axis=1)
    filled: Points = hulls[np.flatnonzero(known)[nearest]]
    return filled


def _height_at(edge: Points, angle: Points) -> Points:
    """Height of an edge in each direction from the axis, (count,)."""
    direction = np.arctan2(edge[:, 1], edge[:, 0])
    heights: Points = np.interp(angle, *_sorted_turn(direction, edge[:, 2]), period=2.0 * np.pi)
    return heights


def _sorted_turn(direction: Points, height: Points) -> tuple[Points, Points]:
    turn = np.mod(direction, 2.0 * np.pi)
    order = np.argsort(turn, kind="stable")
    return turn[order], height[order]


def _cleared(fit: BandFit, local: Points, clearance: float) -> tuple[BandFit, float]:
    """The fit stepped out until the skin's own points clear it too, and how far any still stands out.

    The program sees slices; the skin's points between slices may stand out by some hundredths.
    """
    places = local.reshape(-1, 3)
    places = places[(places[:, 2] >= fit.breaks[0]) & (places[:, 2] <= fit.breaks[-1])]
    if len(places) == 0:
        return fit, 0.0
    stands = poke(fit, places)
    short = max(0.0, float(stands.max()) + clearance)
    if short > 0.0:
        fit = BandFit(
            bands=tuple(band.offset(short) for band in fit.bands),
            breaks=fit.breaks,
            values=fit.values + short,
            lifted=fit.lifted + short,
        )
        # A step outward moves every direction alike: what stood out furthest still does.
        return fit, float(poke(fit, places[[stands.argmax()]])[0]) + clearance
    return fit, float(stands.max()) + clearance


def _covered(frame: AxisFrame, plate: Points | None, count: int) -> NDArray[np.bool_]:
    """Directions within a plate, seen from the axis; all when there is none."""
    if plate is None:
        return np.ones(count, dtype=np.bool_)
    local = frame.to_frame(plate)
    start, middle, end = np.arctan2(local[:, 1], local[:, 0])
    angle = 2.0 * np.pi * np.arange(count) / count
    turn = 2.0 * np.pi
    # The sector from start to end that holds the middle, whichever way the region counts round.
    if np.mod(middle - start, turn) > np.mod(end - start, turn):
        start, end = end, start
    within: NDArray[np.bool_] = np.mod(angle - start, turn) <= np.mod(end - start, turn)
    return within


def _weighted_percentile(values: Points, weights: Points, share: float) -> float:
    order = np.argsort(values)
    total = np.cumsum(weights[order])
    return float(values[order][np.searchsorted(total, share * total[-1])])
