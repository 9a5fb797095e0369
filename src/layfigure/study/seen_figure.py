"""The fitted figure as one picture sees it: its outline and its levels, to be drawn over the picture."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from layfigure.study.cast import Caster
from layfigure.study.fit import Fit

Points = NDArray[np.float64]

GAP = 0.012
"""Regions begin and end a little apart, as under the arm; what lies closer is closed [share of height]."""

TRUNK_ENDS = 4.3
"""Station of the torso that its outline is drawn down to."""

SHOWN = ("bust", "under_bust", "waist", "hip", "elbow", "wrist", "knee", "ankle")
"""Levels that are drawn: those a maker can point at."""

FINE = 0.0005
"""How closely drawn lines follow the figure [share of its height]."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SeenFigure:
    """Lines in pixels of one picture.

    outlines : closed rings round the whole figure, (n, 2) each. levels : lines across the front of a region
    at its named levels, by region and level, (n, 2) each.
    """

    outlines: tuple[Points, ...]
    levels: Mapping[tuple[str, str], Points]


def seen_figure(fit: Fit, view: int) -> SeenFigure:
    """The figure in the picture of that number."""
    caster = Caster(fit, view)
    tall = fit.sights[view].tall
    areas: list[shapely.Geometry] = []
    levels: dict[tuple[str, str], Points] = {}
    for name, region in fit.model.regions.items():
        pixels, depth = caster.grid(name)
        # Below the hip a tape round both legs is wider than they are; the thighs say where the body ends.
        areas.append(_covered(pixels[region.stations <= TRUNK_ENDS] if name == "torso" else pixels))
        for station, level in enumerate(region.level_names):
            if level not in SHOWN:
                continue
            row = int(np.abs(region.stations - station).argmin())
            if abs(float(region.stations[row]) - station) < 0.05:
                levels[name, level] = _near_half(pixels[row], depth[row])
    areas += _joins(caster)
    whole = shapely.union_all(areas).buffer(GAP * tall).buffer(-GAP * tall)
    rings: list[Points] = []
    for part in shapely.get_parts(whole):
        smooth = shapely.simplify(part, FINE * tall)
        rings += [np.asarray(shapely.get_coordinates(ring))[:-1] for ring in _rings(smooth)]
    return SeenFigure(outlines=tuple(rings), levels=levels)


def _covered(pixels: Points) -> shapely.Geometry:
    """Area that a region covers, (k, n, 2): the hulls of neighbouring sections, together."""
    count, samples, _ = pixels.shape
    pairs = np.concatenate([pixels[:-1], pixels[1:]], axis=1)
    rings = shapely.linearrings(pairs.reshape(-1, 2), indices=np.repeat(np.arange(count - 1), 2 * samples))
    return shapely.union_all(shapely.convex_hull(rings))


def _joins(caster: Caster) -> list[shapely.Geometry]:
    """What lies between trunk and limbs, where no section of either is: hulls of what borders it."""
    regions = caster.fit.model.regions
    trunk, _ = caster.grid("torso")
    stations = regions["torso"].stations
    above, below = trunk[stations <= 1.0].reshape(-1, 2), trunk[stations <= TRUNK_ENDS][-1]
    thighs = [caster.grid(name)[0][0] for name in ("thigh_left", "thigh_right") if name in regions]
    joins = [shapely.convex_hull(shapely.multipoints(np.concatenate([below, *thighs])))]
    for name in ("upper_arm_left", "upper_arm_right"):
        if name in regions:
            ring = caster.grid(name)[0][0]
            middle = ring.mean(axis=0)
            reach = 1.7 * float(np.linalg.norm(ring - middle, axis=1).max())
            near = above[np.linalg.norm(above - middle, axis=1) < reach]
            joins.append(shapely.convex_hull(shapely.multipoints(np.concatenate([ring, near]))))
    return joins


def _rings(part: shapely.Polygon) -> list[shapely.LinearRing]:
    return [part.exterior, *part.interiors]


def _near_half(section: Points, depth: Points) -> Points:
    """The part of a section that faces the camera, in order: between its outermost points in the picture."""
    spread = section - section.mean(axis=0)
    across = spread @ np.linalg.svd(spread, full_matrices=False)[2][0]
    first, last = sorted((int(across.argmin()), int(across.argmax())))
    one = np.arange(first, last + 1)
    other = np.concatenate([np.arange(last, len(section)), np.arange(first + 1)])
    nearer = one if depth[one].mean() >= depth[other].mean() else other
    found: Points = section[nearer]
    return found
