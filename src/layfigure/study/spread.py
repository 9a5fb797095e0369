"""How sure a reading is: what the fit does not know, the hand's noise, and what no figure can know."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from layfigure.body.levels import split_region
from layfigure.study.cast import Caster, Casts
from layfigure.study.sorted_marks import CLICK_SPREAD
from layfigure.study.stretch import SKIN_SPREAD, Doubt
from layfigure.study.unposed import Unposed, read_around

Points = NDArray[np.float64]

DRAWN_EDGE_SPREAD = 0.0008
"""How far an edge strays in a drawing, beside the click [share of stature]."""

ALONG_FLOOR = {"thigh": 0.003}
ALONG_FLOOR_ELSEWHERE = 0.0012
"""What section shapes leave unknown along a region, one standard deviation [share of stature]: a thigh begins
at the crotch, whose height on a leg that stands askew no picture shows."""

AROUND_FLOOR = {"torso": 0.011, "upper_arm": 0.02, "forearm": 0.035, "thigh": 0.014, "shank": 0.016}
AROUND_FLOOR_ELSEWHERE = 0.02
"""What zero lines leave unknown, one standard deviation [share of the girth]: arms and legs turn unseen, and
trunks are rounder or squarer between their outlines."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Reading:
    """Marks of one picture on one region as chart coordinates.

    station, around : (m,). covariance : (m, 2, 2) of (along, around) [share of stature, as on the template's
    body]. facing : (m,) cosine between skin and ray, 0 at the outline. scale : (m, 2) share of stature for
    one station and for one turn. by_parameters : (m, 2, p) how it moves with the fit's parameters [share].
    """

    station: Points
    around: Points
    covariance: Points
    doubt: Doubt
    facing: Points
    scale: Points
    by_parameters: Points


def read_marks(caster: Caster, region: str, casts: Casts, unposed: Unposed) -> Reading:
    """Chart coordinates of casts with their spread."""
    fit, model = caster.fit, caster.fit.model
    chart = model.regions[region]
    stations = chart.stations
    position = np.arange(len(stations))
    station = np.interp(casts.row, position, stations)
    row_step = np.gradient(stations)
    by_row = np.interp(casts.row, position, row_step)
    around = read_around(unposed.around[region], casts.row, casts.column)
    count = chart.sections.shape[1]
    by_column = _column_step(unposed.around[region], casts, count)
    # Lengths on the template's body: what the spread will mean on a wearer.
    along_length = np.interp(station, stations, np.abs(np.gradient(chart.centres[:, 2], stations)))
    closed = np.concatenate([chart.sections, chart.sections[:, :1]], axis=1)
    girths = np.linalg.norm(np.diff(closed, axis=1), axis=2).sum(axis=1)
    girth = np.interp(station, stations, girths)
    own_girth = np.interp(casts.row, position, _girths(unposed.sections[region]))
    scale = np.stack([along_length, girth], axis=1) / model.stature
    # Pixels by (mm along, mm around) on the figure, without the projection's own scale.
    figure_along = np.interp(casts.row, position, _row_lengths(unposed.sections[region]))
    per_mm = casts.slope / np.stack([figure_along, own_girth * by_column], axis=1)[:, None, :]
    pixels_a_mm = np.exp(fit.cameras[caster.view, 0])
    slope = per_mm / pixels_a_mm
    derivative = caster.derivatives(region, casts.material) / pixels_a_mm
    tall = model.stature
    noise = np.hypot(CLICK_SPREAD / pixels_a_mm, DRAWN_EDGE_SPREAD * tall)
    spread = _carried(derivative, caster)
    spread = spread + (noise**2 + (casts.off / pixels_a_mm)[:, None, None] ** 2) * np.eye(2)
    left, singular, right = np.linalg.svd(slope)
    facing = np.clip(singular[:, 1], 0.0, 1.0)
    # Skin that lies deeper than the figure's is met elsewhere, the more so the flatter the ray.
    shape_slip = (SKIN_SPREAD * tall) ** 2 * (1.0 - facing**2)
    # Near the outline a small slip e of the outline moves the place by sqrt(2 e radius), not without end.
    slip = np.sqrt(np.trace(spread, axis1=1, axis2=2) / 2.0 + shape_slip)
    radius = _radius(unposed.sections[region], casts)
    limit = np.sqrt(slip / (2.0 * radius))
    safe = np.maximum(singular, np.minimum(limit, 0.7)[:, None])
    inverse = np.swapaxes(right, 1, 2) @ (np.swapaxes(left, 1, 2) / safe[:, :, None])
    by_parameters = -inverse @ derivative
    shape = read_around(unposed.around_by_shape[region], casts.row, casts.column) * own_girth
    by_parameters[:, 1, chart.width] += shape[:, None] * casts.material.breadth
    by_parameters[:, 1, chart.depth] -= shape[:, None] * casts.material.breadth
    # From millimetres on the figure to shares of stature on the template.
    to_share = np.stack([by_row / figure_along * scale[:, 0], scale[:, 1] / own_girth], axis=1)
    by_parameters *= to_share[:, :, None]
    by_hand = inverse * to_share[:, :, None]
    hand = (noise**2 + (casts.off / pixels_a_mm) ** 2)[:, None, None] * (by_hand @ by_hand.transpose(0, 2, 1))
    foreshortened = right[:, 1] * to_share
    by_skin = foreshortened * (tall * np.sqrt(1.0 - facing**2) / safe[:, 1])[:, None]
    # Skin that lies farther out is met farther toward where the surface rises to the camera.
    rise = casts.rise / np.stack([figure_along, own_girth * by_column], axis=1)
    toward = np.sign((right[:, 1] * rise).sum(axis=1))
    unsigned = np.where(toward == 0.0, SKIN_SPREAD, 0.0)[:, None] * by_skin
    hand += unsigned[:, :, None] * unsigned[:, None, :]
    kind = split_region(region)[0].name
    turn = AROUND_FLOOR.get(kind, AROUND_FLOOR_ELSEWHERE)
    common = np.zeros_like(hand)
    common[:, 0, 0] = ALONG_FLOOR.get(kind, ALONG_FLOOR_ELSEWHERE) ** 2
    common[:, 1, 1] = (turn * scale[:, 1]) ** 2
    own = by_parameters[:, :, caster.columns].reshape(2 * len(station), -1)
    by_fit = (own @ caster.covariance @ own.T).reshape(len(station), 2, len(station), 2)
    by_skin = toward[:, None] * by_skin
    skin, each = SKIN_SPREAD * by_skin, np.arange(len(station))
    covariance = by_fit[each, :, each] + skin[:, :, None] * skin[:, None, :] + hand + common
    return Reading(
        station=station,
        around=np.mod(around, 1.0),
        covariance=covariance,
        doubt=Doubt(by_fit=by_fit, by_skin=by_skin, hand=hand, common=common),
        facing=facing,
        scale=scale,
        by_parameters=by_parameters,
    )


def _carried(derivative: Points, caster: Caster) -> Points:
    """The fit's covariance carried through derivatives (m, 2, p), (m, 2, 2)."""
    # Other pictures' own parameters move nothing in this one; one product serves all marks.
    own = derivative[:, :, caster.columns]
    reach = (own.reshape(-1, own.shape[2]) @ caster.covariance).reshape(own.shape)
    carried: Points = reach @ own.transpose(0, 2, 1)
    return carried


def _column_step(around: Points, casts: Casts, count: int) -> Points:
    """Fraction of the girth that one column spans at each cast, (m,)."""
    low = np.clip(np.floor(casts.row).astype(np.int64), 0, len(around) - 2)
    left = np.clip(np.floor(casts.column).astype(np.int64), 0, count - 1)
    step = 0.5 * (
        around[low, left + 1] - around[low, left] + around[low + 1, left + 1] - around[low + 1, left]
    )
    result: Points = np.maximum(step, 0.1 / count)
    return result


def _radius(sections: Points, casts: Casts, reach: int = 4) -> Points:
    """Radius of curvature of the section round each cast, over an eighth of its girth, (m,) [mm]."""
    section = sections[np.rint(casts.row).astype(np.int64)]
    count = section.shape[1]
    column = np.rint(casts.column).astype(np.int64)
    rows = np.arange(len(column))
    before, here, after = (section[rows, (column + step) % count] for step in (-reach, 0, reach))
    first, second = here - before, after - here
    lengths = np.linalg.norm(first, axis=1), np.linalg.norm(second, axis=1)
    cosine = (first * second).sum(axis=1) / np.maximum(lengths[0] * lengths[1], 1e-9)
    turned = np.arccos(np.clip(cosine, -1.0, 1.0))
    radius: Points = 0.5 * (lengths[0] + lengths[1]) / np.maximum(turned, 0.05)
    return radius


def _girths(sections: Points) -> Points:
    closed = np.concatenate([sections, sections[:, :1]], axis=1)
    girths: Points = np.linalg.norm(np.diff(closed, axis=1), axis=2).sum(axis=1)
    return girths


def _row_lengths(sections: Points) -> Points:
    """Distance between neighbouring sections' centres at every section, (k,) [mm]."""
    centres = 0.5 * (sections.min(axis=1) + sections.max(axis=1))
    lengths: Points = np.linalg.norm(np.gradient(centres, axis=0), axis=1)
    return np.maximum(lengths, 1e-3)
