"""The tightest developable bands that clear a tube of sections: where they break and how wide they are.

Break heights come from dynamic programming on a lower bound of the room a single band leaves; the support
functions at the breaks come from one linear program for the least area, with every section cleared in
every direction and no bend tighter than a smallest radius. The values are periodic cubic splines, so
outlines are fair; a last uniform step outward, usually a few hundredths of a millimetre, makes the
clearance hold on every direction and every height checked and not just on those of the program.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import linprog
from scipy.sparse import csr_matrix

from layfigure.geometry.developable import Band
from layfigure.geometry.least_place import least_place
from layfigure.geometry.support_function import directions, side_lengths, spline_basis, spline_taps
from layfigure.geometry.support_function import least_radius as least_bend

Points = NDArray[np.float64]

ROOM_TO_START = 30.0
"""How far outside the widest section the program begins to look [mm]."""

NUMERICAL_TROUBLE = 4
"""What ``linprog`` reports when it neither finds the best place nor shows that there is none."""


class BandsImpossible(ValueError):
    """No bands clear the sections under the constraints."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BandFit:
    """Bands from low to high; neighbours share the values at their break.

    bands : in order of height. breaks : (b + 1,) heights [mm]. values : (b + 1, count) [mm].
    lifted : the uniform step outward after the program [mm].
    """

    bands: tuple[Band, ...]
    breaks: Points
    values: Points
    lifted: float

    def support(self, height: Points) -> Points:
        """Support values at heights (m,), (m, count) [mm]; heights beyond the ends are clamped."""
        z = np.clip(height, self.breaks[0], self.breaks[-1])
        upper = np.clip(np.searchsorted(self.breaks, z), 1, len(self.breaks) - 1)
        share = ((z - self.breaks[upper - 1]) / (self.breaks[upper] - self.breaks[upper - 1]))[:, None]
        values: Points = (1.0 - share) * self.values[upper - 1] + share * self.values[upper]
        return values


def best_breaks(
    heights: Points, hulls: Points, bands: int, *, lowest: float, highest: float, least_depth: float
) -> Points:
    """Break heights for a number of bands, by dynamic programming.

    heights : (m,) increasing [mm]; hulls : (m, n) support values there. Inner breaks lie at heights between
    ``lowest`` and ``highest``, and every band is at least ``least_depth`` high. Returns (bands + 1,).
    The cost of a band is the area between the sections and, direction by direction, the lowest straight
    line above them, in the mean: no single band can leave less. The lowest line touches the concave envelope
    at the middle height, so the area under it is depth times the envelope there. Raises BandsImpossible when
    there is no room.
    """
    m = len(heights)
    if bands == 1:
        return heights[[0, -1]]
    allowed = [i for i in range(1, m - 1) if lowest <= heights[i] <= highest]
    stops = [0, *allowed, m - 1]
    cost = np.full((len(stops), len(stops)), np.inf)
    slopes = _chord_slopes(heights, hulls)
    mean = hulls.mean(axis=1)
    under = np.concatenate([[0.0], np.cumsum(0.5 * (mean[1:] + mean[:-1]) * np.diff(heights))])
    last = len(stops) - 1
    for a in range(last):
        # Two bands are a first and a last one: none of those between two inner stops is looked at.
        for b in range(a + 1, last + 1) if bands > 2 or a == 0 else (last,):
            low, high = stops[a], stops[b]
            depth = heights[high] - heights[low]
            if depth >= least_depth:
                own = slice(low, high + 1)
                envelope = _middle_envelope(heights[own], hulls[own], slopes[own, own])
                cost[a, b] = depth * envelope.mean() - (under[high] - under[low])
    best = cost[0].copy()
    previous = np.zeros((bands, len(stops)), dtype=np.int64)
    for band in range(1, bands):
        through = best[:, None] + cost
        previous[band] = through.argmin(axis=0)
        best = through.min(axis=0)
    if not np.isfinite(best[-1]):
        raise BandsImpossible(f"there is no room for {bands} bands")
    chosen = [len(stops) - 1]
    for band in range(bands - 1, 0, -1):
        chosen.append(int(previous[band, chosen[-1]]))
    chosen.append(0)
    return heights[[stops[i] for i in reversed(chosen)]]


def _chord_slopes(heights: Points, hulls: Points) -> Points:
    """Slopes of values over height from every level to every later one, (m, m, n); 0 elsewhere."""
    slopes = np.zeros((len(heights), *hulls.shape))
    for k in range(len(heights) - 1):
        slopes[k, k + 1 :] = (hulls[k + 1 :] - hulls[k]) / (heights[k + 1 :] - heights[k])[:, None]
    return slopes


def _middle_envelope(heights: Points, hulls: Points, slopes: Points) -> Points:
    """Concave envelope of values at the middle height, (n,) [mm]: the largest chord over it."""
    back = 0.5 * (heights[0] + heights[-1]) - heights
    left = int((back >= 0.0).sum())
    # Of the chords from one level the steepest is the highest.
    steepest = slopes[:left, left:].max(axis=1)
    envelope: Points = (hulls[:left] + back[:left, None] * steepest).max(axis=0)
    return envelope


def fit_bands(
    heights: Points,
    hulls: Points,
    breaks: Points,
    *,
    least_radius: float,
    coefficients: int = 48,
    looks: int = 96,
    levels: int = 60,
) -> BandFit:
    """Least-area bands with given breaks that clear every section.

    heights : (m,) increasing, from the first break to the last [mm]. hulls : (m, count) support values
    to be cleared, -inf where there is nothing to clear. least_radius : smallest radius of curvature [mm].
    coefficients : of the spline. looks, levels : directions and heights the program looks at, about; all
    others are cleared by the step outward.
    Raises BandsImpossible when the program has no solution.
    """
    count = hulls.shape[1]
    knots, taps = spline_taps(count, coefficients)
    basis = spline_basis(knots, taps, coefficients)
    thin = max(1, count // looks)
    stops = len(breaks)
    upper = np.clip(np.searchsorted(breaks, heights), 1, stops - 1)
    share = (heights - breaks[upper - 1]) / (breaks[upper] - breaks[upper - 1])
    seen = np.unique(
        np.concatenate(
            [
                np.linspace(0, len(heights) - 1, levels).round().astype(np.int64),
                np.searchsorted(heights, breaks[:-1] - 1e-9),
            ]
        )
    )
    # Limits row after row: in which columns each has entries, and their values.
    columns, entries, limits = [], [], []
    for band in range(stops - 1):
        own = seen[upper[seen] == band + 1]
        wanted = hulls[own, ::thin]
        level, direction = np.nonzero(_on_envelope(heights[own], wanted))
        knot, tap, up = knots[::thin][direction], taps[::thin][direction], share[own][level, None]
        below = knot + band * coefficients
        columns.append(np.hstack([below, below + coefficients]))
        entries.append(np.hstack([(up - 1.0) * tap, -up * tap]))
        limits.append(-wanted[level, direction])
    # Bends are looked at in every direction: one missed is made good by a wide step outward.
    bend = -side_lengths(basis.T).T / (2.0 * np.tan(np.pi / count))
    bent = bend != 0.0
    column = np.nonzero(bent)[1]
    columns += [column + stop * coefficients for stop in range(stops)]
    entries += [bend[bent]] * stops
    filled = [np.full(sum(map(len, limits)), 2 * taps.shape[1]), np.tile(bent.sum(axis=1), stops)]
    limits.append(np.full(stops * count, -least_radius))
    A = csr_matrix(
        (
            np.concatenate([part.ravel() for part in entries]),
            np.concatenate([part.ravel() for part in columns]),
            np.concatenate([[0], *filled]).cumsum(),
        ),
        shape=(sum(map(len, limits)), stops * coefficients),
    )
    depth = np.diff(breaks)
    weight = 0.5 * (np.concatenate([depth, [0.0]]) + np.concatenate([[0.0], depth]))
    objective = np.repeat(weight / weight.sum(), coefficients)
    x = _least(objective, A, np.concatenate(limits))
    values = x.reshape(stops, coefficients) @ basis.T
    blended = (1.0 - share)[:, None] * values[upper - 1] + share[:, None] * values[upper]
    lifted = max(0.0, float((hulls - blended).max()))
    # A circle added to every section widens each bend by its own radius.
    lifted += max(0.0, least_radius - lifted - least_bend(values))
    values = values + lifted
    bands = tuple(
        Band(low_height=float(breaks[k]), high_height=float(breaks[k + 1]), low=values[k], high=values[k + 1])
        for k in range(stops - 1)
    )
    return BandFit(bands=bands, breaks=breaks, values=values, lifted=lifted)


def _least(objective: Points, A: csr_matrix, limits: Points) -> Points:
    """The place of least objective with A x <= limits. Raises BandsImpossible where there is none.

    A circle that clears the widest section clears them all, and is where the search starts.
    """
    place = least_place(objective, A, limits, np.full(objective.size, ROOM_TO_START - float(limits.min())))
    if place is not None:
        return place
    # The dual simplex once returned bends tighter than asked by 0.1 mm while reporting none, so it only
    # stands in where interior points break down, which they do on one section in twenty of random limbs.
    for method in ("highs-ipm", "highs-ds"):
        solution = linprog(objective, A_ub=A, b_ub=limits, bounds=(None, None), method=method)
        if solution.status != NUMERICAL_TROUBLE:
            break
    if solution.status != 0:
        raise BandsImpossible(f"no bands clear these sections: {solution.message}")
    return np.asarray(solution.x, dtype=np.float64)


def _on_envelope(heights: Points, values: Points) -> NDArray[np.bool_]:
    """Which values, (m, n), lie on the upper envelope over height in their own column: a straight line that
    clears those clears all. -inf never does. heights : (m,) rising.
    """
    finite = np.where(np.isfinite(values), values, -1e9)
    # The flattest way up from any value before must be no flatter than the steepest way on to any after.
    before, beyond = np.full(values.shape, np.inf), np.full(values.shape, -np.inf)
    for k in range(len(heights) - 1):
        slopes = (finite[k + 1 :] - finite[k]) / (heights[k + 1 :] - heights[k])[:, None]
        slopes.max(axis=0, out=beyond[k])
        np.minimum(before[k + 1 :], slopes, out=before[k + 1 :])
    on: NDArray[np.bool_] = np.isfinite(values) & (before >= beyond - 1e-9)
    return on


def poke(fit: BandFit, places: Points) -> Points:
    """How far places stand out of the bands, square to the axis, (m,) [mm]; negative inside.

    places : (m, 3) frame coordinates, heights within the bands.
    """
    out = np.empty(len(places))
    around = directions(fit.values.shape[1])
    upper = np.clip(np.searchsorted(fit.breaks, places[:, 2]), 1, len(fit.breaks) - 1)
    for number, band in enumerate(fit.bands, start=1):
        own = np.flatnonzero(upper == number)
        share = np.clip(band.share(places[own, 2]), 0.0, 1.0)
        # What a place reaches in each direction, less the band's support value there, in one product.
        reach = np.vstack([places[own, :2].T, share - 1.0, -share])
        out[own] = (np.column_stack([around, band.low, band.high]) @ reach).max(axis=0)
    return out
