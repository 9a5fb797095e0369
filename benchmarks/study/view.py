"""A picture of a character: a real pinhole camera, and the small liberties an illustrator takes."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Points = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Camera:
    """A pinhole camera.

    place : (3,) [mm]. right, down, forward : unit (3,). focal : [px]. centre : (2,) principal point [px].
    """

    place: Points
    right: Points
    down: Points
    forward: Points
    focal: float
    centre: Points

    def project(self, points: Points) -> tuple[Points, Points]:
        """Pixels (n, 2) and distance along the optical axis (n,) [mm]."""
        local = points - self.place
        depth = local @ self.forward
        pixels = (
            self.centre + self.focal * np.stack([local @ self.right, local @ self.down], 1) / depth[:, None]
        )
        return pixels, depth


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Liberties:
    """Smooth inconsistency of a drawing: local scale errors up, across and sideways.

    knots : (k,) rows [px]. rise, widen, shift : (k,) displacement [px], factor, displacement [px].
    centre : column about which it widens [px].
    """

    knots: Points
    rise: Points
    widen: Points
    shift: Points
    centre: float

    def __call__(self, pixels: Points) -> Points:
        """Where the illustrator put what a camera would have put at (n, 2) pixels."""
        v = pixels[:, 1]
        u = self.centre + (pixels[:, 0] - self.centre) * np.interp(v, self.knots, self.widen)
        return np.stack(
            [u + np.interp(v, self.knots, self.shift), v + np.interp(v, self.knots, self.rise)], 1
        )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PictureView:
    """One picture. yaw : nominal, degrees walked from the front to the character's left.

    drawing : which drawing of this view it is, where there are several.
    """

    name: str
    view: str
    yaw: float
    size: tuple[int, int]
    camera: Camera
    liberties: Liberties | None
    drawing: str = ""

    def project(self, points: Points) -> tuple[Points, Points]:
        """Where points are drawn (n, 2) [px], and their distance (n,) [mm]."""
        pixels, depth = self.camera.project(points)
        return (pixels if self.liberties is None else self.liberties(pixels)), depth


NOMINAL_YAW = {"front": 0.0, "left": 90.0, "back": 180.0, "right": 270.0, "free": 37.0}


def take_picture(
    vertices: Points,
    view: str,
    rng: np.random.Generator,
    *,
    name: str = "",
    drawing: str = "",
    yaw: float | None = None,
    yaw_jitter: float = 3.0,
    roll_jitter: float = 1.0,
    distance: float | None = None,
    height: int | None = None,
    inconsistency: float = 0.0,
) -> PictureView:
    """A camera that keeps the whole character in the picture.

    distance : from the character's middle [mm]; 3 to 8 m at random when None. height : of the picture
    [px]; 1000 to 1400 at random. inconsistency : local scale error of the drawing, one sd as a share.
    """
    nominal = NOMINAL_YAW[view] if yaw is None else yaw
    turn = np.radians(nominal + yaw_jitter * rng.normal())
    away = rng.uniform(3000, 8000) if distance is None else distance
    tall = int(rng.integers(1000, 1401)) if height is None else height
    stature = float(np.ptp(vertices[:, 2]))
    middle = np.array([0.0, float(np.median(vertices[:, 1])), 0.5 * stature])
    flat = np.array([-np.sin(turn), np.cos(turn), 0.0])
    place = middle - away * flat
    place[2] = stature * rng.uniform(0.42, 0.62)
    forward = middle - place
    forward = forward / np.linalg.norm(forward)
    right = np.cross(forward, [0.0, 0.0, 1.0])
    right = right / np.linalg.norm(right)
    down = np.cross(forward, right)
    roll = np.radians(roll_jitter * rng.normal())
    right, down = (
        np.cos(roll) * right + np.sin(roll) * down,
        np.cos(roll) * down - np.sin(roll) * right,
    )
    trial = Camera(place=place, right=right, down=down, forward=forward, focal=1.0, centre=np.zeros(2))
    spread, _ = trial.project(vertices)
    low, high = spread.min(axis=0), spread.max(axis=0)
    focal = 0.9 * tall / (high[1] - low[1])
    wide = int(np.ceil((high[0] - low[0]) * focal + 0.1 * tall))
    centre = np.array([wide / 2, tall / 2]) - focal * (low + high) / 2
    camera = Camera(place=place, right=right, down=down, forward=forward, focal=float(focal), centre=centre)
    liberties = _liberties(rng, tall, wide, inconsistency) if inconsistency > 0 else None
    return PictureView(
        name=name or view,
        view=view,
        yaw=nominal,
        size=(wide, tall),
        camera=camera,
        liberties=liberties,
        drawing=drawing,
    )


def _liberties(rng: np.random.Generator, tall: int, wide: int, size: float) -> Liberties:
    knots = np.linspace(0, tall, 41)
    coarse = np.linspace(0, tall, 6)

    def smooth(sd: float) -> Points:
        from scipy.interpolate import CubicSpline

        curve: Points = CubicSpline(coarse, rng.normal(0, sd, len(coarse)))(knots)
        return curve

    stretch = smooth(size)
    step = knots[1] - knots[0]
    rise = np.concatenate([[0.0], np.cumsum(0.5 * (stretch[1:] + stretch[:-1]) * step)])
    return Liberties(
        knots=knots,
        rise=rise - rise.mean(),
        widen=1.0 + smooth(size),
        shift=smooth(size) * 0.06 * tall,
        centre=wide / 2,
    )
