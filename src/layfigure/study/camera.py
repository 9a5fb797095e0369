"""How one picture sees the figure: u = s R(roll) (h, v) / (1 - k w) + o.

h runs to the picture's right, v up and w toward the camera, from the figure's middle; k is one over the
camera's distance, 0 for a drawing without perspective. Nobody is ever asked for a camera.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from layfigure.design.marks import View

Points = NDArray[np.float64]

COLUMNS = 8
LOG_SCALE, YAW, PITCH, ROLL, RIGHT, DOWN, NEARNESS, SWELL = range(COLUMNS)
"""Places in a camera's parameter vector: log of pixels a millimetre, yaw away from the stated view,
pitch, roll [rad], the figure's middle [px], one over the distance [1/m], and how far the picture's outlines
stand off the body, by clothes or by the pen [share of the figure's height]."""

VIEW_YAW: dict[View, float] = {"front": 0.0, "left": 90.0, "back": 180.0, "right": -90.0, "free": 0.0}
"""How far the camera stands from the front, walking round toward the character's left side [degrees]."""

YAW_SPREAD = 3.0
FREE_YAW_SPREAD = 20.0
PITCH_SPREAD = 3.0
ROLL_SPREAD = 1.5
NEARNESS_MEAN = 0.18
NEARNESS_SPREAD = 0.12
"""Prior of one over the distance [1/m]: from 3.3 m to a drawing without perspective."""
SWELL_MEAN = 0.001
SWELL_SPREAD = 0.001
"""Prior of how far outlines stand off the body: cloth and a pen's width, 0 to 3 mm on a person (common
practice, no source)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Camera:
    """A picture's camera as solved.

    view : as stated. yaw : where it stands, in degrees from the front toward the character's left.
    pitch, roll : degrees. distance : mm for a figure of the template's stature, infinite for a drawing.
    scale : pixels a millimetre. nearness_spread : one standard deviation of 1/distance [1/m].
    """

    view: View
    yaw: float
    pitch: float
    roll: float
    distance: float
    scale: float
    nearness_spread: float


def axes(yaw: float, pitch: float) -> tuple[Points, Points, Points]:
    """Rows (h, v, w) of a camera's frame and their derivatives by yaw and pitch, (3, 3) each. Radians."""
    cy, sy, cp, sp = np.cos(yaw), np.sin(yaw), np.cos(pitch), np.sin(pitch)
    h = np.array([cy, sy, 0.0])
    level = np.array([sy, -cy, 0.0])
    up = np.array([0.0, 0.0, 1.0])
    w, v = cp * level + sp * up, -sp * level + cp * up
    by_yaw = np.stack([-level, -sp * h, cp * h])
    by_pitch = np.stack([np.zeros(3), -w, v])
    return np.stack([h, v, w]), by_yaw, by_pitch


def project(camera: Points, base_yaw: float, middle: Points, places: Points) -> tuple[Points, Points]:
    """Pictures of places: (m, 2) [px] and their depth w toward the camera (m,) [mm].

    camera : (8,). base_yaw : the stated view's yaw [rad]. middle : (3,) [mm]. places : (m, 3) [mm].
    """
    seen = (places - middle) @ lens(camera, base_yaw).T
    return through(camera[None], seen[None])[0], seen[:, 2]


def lens(camera: Points, base_yaw: float) -> Points:
    """(3, 3) from an offset from the figure's middle [mm] to where it is seen from afar [px], and depth."""
    rows, _, _ = axes(base_yaw + camera[YAW], camera[PITCH])
    return np.concatenate([_to_pixels(camera) @ rows[:2], rows[2:]])


def through(own_cameras: Points, seen: Points) -> Points:
    """Pictures (views, m, 2) [px] of what lenses see, (views, m, 3); own_cameras : (views, 8)."""
    nearer = 1.0 - (1e-3 * own_cameras[:, NEARNESS])[:, None] * seen[..., 2]
    pixels: Points = seen[..., :2] / nearer[..., None] + own_cameras[:, None, [RIGHT, DOWN]]
    return pixels


def project_with_derivatives(
    camera: Points, base_yaw: float, middle: Points, places: Points
) -> tuple[Points, Points, Points]:
    """Pictures (m, 2), derivatives by place (m, 2, 3) and by the camera's own parameters (m, 2, 8)."""
    rows, rows_by_yaw, rows_by_pitch = axes(base_yaw + camera[YAW], camera[PITCH])
    offset = places - middle
    hvw = offset @ rows.T
    k = 1e-3 * camera[NEARNESS]
    nearer = 1.0 - k * hvw[:, 2]
    flat = hvw[:, :2] / nearer[:, None]
    pixels = _to_pixels(camera)
    # d flat / d hvw, (m, 2, 3)
    by_hvw = np.zeros((len(places), 2, 3))
    by_hvw[:, 0, 0] = by_hvw[:, 1, 1] = 1.0 / nearer
    by_hvw[:, :, 2] = flat * (k / nearer)[:, None]
    by_hvw = pixels @ by_hvw
    by_camera = np.zeros((len(places), 2, COLUMNS))
    by_camera[:, :, LOG_SCALE] = flat @ pixels.T
    by_camera[:, :, YAW] = (by_hvw @ (offset @ rows_by_yaw.T)[:, :, None])[:, :, 0]
    by_camera[:, :, PITCH] = (by_hvw @ (offset @ rows_by_pitch.T)[:, :, None])[:, :, 0]
    by_camera[:, :, ROLL] = flat @ _to_pixels(camera, turned=True).T
    by_camera[:, 0, RIGHT] = by_camera[:, 1, DOWN] = 1.0
    by_camera[:, :, NEARNESS] = (flat * (1e-3 * hvw[:, 2] / nearer)[:, None]) @ pixels.T
    return flat @ pixels.T + camera[[RIGHT, DOWN]], by_hvw @ rows, by_camera


def _to_pixels(camera: Points, *, turned: bool = False) -> Points:
    """(2, 2) from (h, v) to pixels, y down; or its derivative by roll."""
    s, c, n = np.exp(camera[LOG_SCALE]), np.cos(camera[ROLL]), np.sin(camera[ROLL])
    turn = np.array([[-n, -c], [c, -n]]) if turned else np.array([[c, -n], [n, c]])
    result: Points = s * np.array([[1.0, 0.0], [0.0, -1.0]]) @ turn
    return result


def start_camera(flat: Points, marks: Points, weights: Points) -> Points:
    """Camera parameters from places seen flat, by weighted least squares without roll or perspective.

    flat : (m, 2) h and v [mm]. marks : (m, 2) [px]. weights : (m,).
    """
    w = weights / weights.sum()
    a, b = flat * np.array([1.0, -1.0]), marks
    mean_a, mean_b = w @ a, w @ b
    variance = float(w @ ((a - mean_a) ** 2).sum(axis=1))
    covariance = float(w @ ((a - mean_a) * (b - mean_b)).sum(axis=1))
    scale = max(covariance / max(variance, 1e-9), 1e-6)
    camera = np.zeros(COLUMNS)
    camera[LOG_SCALE] = np.log(scale)
    camera[[RIGHT, DOWN]] = mean_b - scale * mean_a
    camera[NEARNESS], camera[SWELL] = NEARNESS_MEAN, SWELL_MEAN
    return camera


def prior_spreads(*, free: bool) -> Points:
    """One standard deviation of every camera parameter, (8,); infinite where nothing is known."""
    spreads = np.full(COLUMNS, np.inf)
    spreads[YAW] = np.radians(FREE_YAW_SPREAD if free else YAW_SPREAD)
    spreads[PITCH] = np.radians(PITCH_SPREAD)
    spreads[ROLL] = np.radians(ROLL_SPREAD)
    spreads[NEARNESS], spreads[SWELL] = NEARNESS_SPREAD, SWELL_SPREAD
    return spreads
