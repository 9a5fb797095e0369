"""Words that could take the place of a line traced on pictures, and how far from it they lie."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from layfigure.body.levels import Side, split_region
from layfigure.design.moved_words import Unit, nearest_along, nearest_words
from layfigure.design.words import parse_words
from layfigure.design.words_on_body import Ruler, chain_of, resolve_words, ruler_of, way_along
from layfigure.errors import PlacementError
from layfigure.geometry.polyline import length, resample

if TYPE_CHECKING:
    from layfigure.body.form import Form
    from layfigure.place.curve import ChartCurve
    from layfigure.place.placement import PlacedEdge

Points = NDArray[np.float64]

ALONG = 0.7
"""A line that leads down a limb by this share of its length goes along it; half a right angle."""


def words_instead(edge: PlacedEdge, stated: Side, form: Form, unit: Unit) -> dict[str, Any] | None:
    """Words nearest to a traced line right round, or to one with two ends along a limb; None for others.

    stated : the side the edge is stated for. Returns ``words``, how far ``off`` they lie at most [mm], and
    the ``side`` the edge must then be stated for, empty where it need not change.
    """
    found = _round(edge, form, unit) if edge.edge.closed else _along(edge, stated, form, unit)
    if found is None:
        return None
    words, off, side = found
    return {"words": words, "off": round(off), "side": side if stated == "middle" != side else ""}


def _round(edge: PlacedEdge, form: Form, unit: Unit) -> tuple[str, float, Side] | None:
    if not edge.edge.goes_round or len(edge.curves) != 1:
        return None
    (curve,) = edge.curves
    side = split_region(curve.region)[1]
    ruler = ruler_of(chain_of(curve.region), side, form.charts, form.level_heights)
    words, miss = nearest_words(_downs(ruler, curve), np.mod(curve.around, 1.0), ruler, side, unit=unit)
    return words, miss, side


def _along(edge: PlacedEdge, stated: Side, form: Form, unit: Unit) -> tuple[str, float, Side] | None:
    """None for a line that goes round a limb rather than along it, or from limb to limb."""
    from layfigure.place.place import place_edge

    curves = [curve for curve in edge.curves if len(curve.station) > 1]
    sides = {split_region(curve.region)[1] for curve in curves} - {"middle"}
    chains = {chain_of(curve.region) for curve in curves}
    if len(chains) != 1 or len(sides) > 1:
        return None
    side = sides.pop() if sides else stated
    ruler = ruler_of(chains.pop(), side, form.charts, form.level_heights)
    down = np.concatenate([_downs(ruler, curve) for curve in curves])
    around = np.concatenate([_ways(side, curve) for curve in curves])
    if abs(down[-1] - down[0]) < ALONG * length(edge.line):
        return None
    try:
        words = nearest_along(down, around, ruler, side, unit=unit)
        said = parse_words(words, slug=edge.edge.slug, side=side)
        placed = place_edge(resolve_words(said, form.charts, form.level_heights), form)
    except PlacementError:
        return None
    return words, _apart(edge.line, placed.line), side


def _downs(ruler: Ruler, curve: ChartCurve) -> Points:
    return np.array([ruler.position_at(curve.region, float(station)) for station in curve.station])


def _ways(side: Side, curve: ChartCurve) -> Points:
    return np.array([way_along(side, curve.region, float(way)) for way in curve.around])


def _apart(one: Points, other: Points) -> float:
    """The farthest that either of two lines comes from the other [mm]."""
    fine = [resample(line, max(2, round(length(line)))) for line in (one, other)]
    return max(float(cKDTree(b).query(a)[0].max()) for a, b in (fine, fine[::-1]))
