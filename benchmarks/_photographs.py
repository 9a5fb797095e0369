"""Photographs simulated from spectra: reflectances, lights, cameras, uneven light, tone curve, noise, JPEG.

Lights, two measured cameras and 99 measured reflectances (CIE 224:2017) come from colour-science 0.4.7
(BSD-3-Clause); skin is the two complexions of CIE 13.3 with more or less melanin (absorption falling with
wavelength to the power 3.46, from memory of Jacques 1998); the other cameras and mixtures are drawn at
random.
"""

from __future__ import annotations

import io
import warnings
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from layfigure.colour.cielab import SRGB_TO_XYZ, lab_of_xyz, srgb_encoded
from layfigure.colour.light import WAVES, on_waves, weights, xyz_of_reflectance

with warnings.catch_warnings():
    warnings.simplefilter("ignore")
    from colour.quality.cfi2017 import load_TCS_CIE2017

    import colour

Array = NDArray[np.float64]
SHAPE = colour.SpectralShape(380, 780, 5)
XYZ_TO_SRGB = np.linalg.inv(SRGB_TO_XYZ)

LIGHT_TABLES = {
    "daylight": ("D50", "D55", "D65", "D75"),
    "incandescent": ("A",),
    "fluorescent": ("FL1", "FL2", "FL4", "FL7"),
    "three_band": ("FL10", "FL11", "FL12"),
    "led": ("LED-B1", "LED-B2", "LED-B3", "LED-B4", "LED-B5"),
}


def light_power(table: str) -> Array:
    return np.array(colour.SDS_ILLUMINANTS[table].copy().align(SHAPE).values)


def measured_reflectances() -> Array:
    """(99, 81) the samples of CIE 224:2017."""
    return np.clip(load_TCS_CIE2017(SHAPE).values.T, 0.0, 1.0)


def skins(random: np.random.Generator, count: int) -> Array:
    """(count, 81) skin from fair to dark."""
    known = colour.quality.datasets.tcs.SDS_TCS
    samples = (known["CIE 1995"]["TCS13"], known["CIE 2024"]["TCS15"])
    base = [on_waves(sample.wavelengths, sample.values) for sample in samples]
    found = []
    for _ in range(count):
        share = random.uniform(0.0, 1.0)
        mixed = share * base[0] + (1.0 - share) * base[1]
        melanin = random.uniform(0.0, 0.9)
        found.append(mixed * np.exp(-melanin * (WAVES / 550.0) ** -3.46))
    return np.array(found)


def invented_reflectances(random: np.random.Generator, count: int) -> Array:
    """(count, 81) mixtures: two measured ones multiplied in shares, as dyes and pigments do."""
    base = measured_reflectances()
    found = []
    for _ in range(count):
        first, second = base[random.choice(len(base), 2, replace=False)]
        share = random.uniform(0.25, 0.75)
        found.append(np.exp(share * np.log(first + 1e-3) + (1.0 - share) * np.log(second + 1e-3)))
    return np.clip(np.array(found), 0.0, 1.0)


def greys(levels: list[float], random: np.random.Generator) -> Array:
    """(n, 81) greys that are nearly, not quite, alike at every wavelength."""
    tilt = random.normal(0.0, 0.01, len(levels))[:, None] * (WAVES - 560.0)[None, :] / 200.0
    return np.clip(np.array(levels)[:, None] * (1.0 + tilt), 0.0, 1.0)


@dataclass(frozen=True)
class Camera:
    """sensitivities (81, 3); look: how its own processing strays from the plain."""

    sensitivities: Array
    saturation: float = 1.0
    contrast: float = 0.0
    lift: float = 0.0
    profile_fault: Array = field(default_factory=lambda: np.zeros((3, 3)))


def random_camera(random: np.random.Generator) -> Camera:
    """One of two measured cameras or an invented one, with a random look."""
    measured = list(colour.MSDS_CAMERA_SENSITIVITIES.values())
    kind = int(random.integers(0, 4))
    if kind < len(measured):
        table = measured[kind]
        curves = np.column_stack([on_waves(table.wavelengths, table.values[:, k]) for k in range(3)])
        inside = (table.wavelengths[0] <= WAVES) & (table.wavelengths[-1] >= WAVES)
        curves *= inside[:, None]
    else:
        peaks = random.normal([598.0, 535.0, 458.0], [7.0, 6.0, 6.0])
        widths = random.normal([34.0, 38.0, 30.0], 4.0)
        curves = np.exp(-0.5 * ((WAVES[:, None] - peaks) / widths) ** 2)
        curves += random.uniform(0.02, 0.08, 3) * np.exp(-0.5 * ((WAVES[:, None] - 560.0) / 80.0) ** 2)
        curves *= (1.0 / (1.0 + np.exp((WAVES - 665.0) / 12.0)))[:, None]
    return Camera(
        sensitivities=np.maximum(curves, 0.0),
        saturation=float(random.uniform(0.95, 1.2)),
        contrast=float(random.uniform(0.0, 0.35)),
        lift=float(random.uniform(-0.12, 0.12)),
        profile_fault=random.normal(0.0, 0.02, (3, 3)),
    )


def raw(camera: Camera, reflectances: Array, power: Array) -> Array:
    """(n, 3) sensor light, white = 1."""
    weighted = camera.sensitivities * power[:, None]
    return reflectances @ weighted / weighted.sum(axis=0)


def raw_to_srgb(camera: Camera, power: Array, random: np.random.Generator) -> Array:
    """(3, 3) the camera's own profile for a light near this one: fitted on other samples, white kept."""
    near = power * np.exp(random.normal(0.0, 0.05) * (WAVES - 560.0) / 200.0)
    samples = np.vstack([measured_reflectances()[::3], np.ones((1, len(WAVES)))])
    target = xyz_of_reflectance(samples, "D65") @ XYZ_TO_SRGB.T
    matrix, *_ = np.linalg.lstsq(raw(camera, samples, near), target, rcond=None)
    matrix = matrix.T + camera.profile_fault
    return matrix / matrix.sum(axis=1, keepdims=True)


@dataclass(frozen=True)
class Picture:
    """codes (h, w, 3); rectangles by name."""

    codes: NDArray[np.uint8]
    rectangles: dict[str, tuple[int, int, int, int]]

    def jpeg(self, quality: int = 90) -> bytes:
        written = io.BytesIO()
        Image.fromarray(self.codes).save(written, format="JPEG", quality=quality)
        return written.getvalue()


def photograph(
    things: dict[str, Array],
    rectangles: dict[str, tuple[int, int, int, int]],
    size: tuple[int, int],
    camera: Camera,
    power: Array,
    random: np.random.Generator,
    *,
    exposure: float = 0.8,
    slope: tuple[float, float] = (0.0, 0.0),
    bowl: float = 0.0,
    balance: float = 0.03,
    texture: float = 0.03,
    noise: float = 0.006,
    second: tuple[Array, float] | None = None,
    quality: int = 90,
    table: Array | None = None,
) -> Picture:
    """Rectangles of things on a table, lit, seen, processed and pressed into JPEG.

    slope : log of the light from the middle to half the diagonal, x and y. second : another light, and how
    much its share changes from left to right.
    """
    width, height = size
    y, x = np.mgrid[0:height, 0:width]
    half = np.hypot(width, height) / 2.0
    x, y = (x - width / 2.0) / half, (y - height / 2.0) / half
    field_of_light = np.exp(slope[0] * x + slope[1] * y - bowl * (x**2 + y**2))
    ground = np.full(len(WAVES), 0.35) if table is None else table
    reflectances = np.array([ground, *things.values()])
    index = np.zeros((height, width), dtype=int)
    for number, name in enumerate(things, start=1):
        left, top, w, h = rectangles[name]
        index[top : top + h, left : left + w] = number
    own = raw(camera, reflectances, power)[index]
    if second is not None:
        other, share = second
        weighted = camera.sensitivities
        first_light, other_light = power @ weighted, other @ weighted
        other_light = other_light / other_light[1] * first_light[1]
        second_raw = raw(camera, reflectances, other)[index] * (other_light / first_light)
        mix = np.clip(0.5 + share * x, 0.0, 1.0)[..., None]
        own = own * (1.0 - mix) + second_raw * mix
    grain = np.exp(texture * random.standard_normal((height, width)))[..., None]
    light = own * field_of_light[..., None] * grain * exposure
    light += noise * np.sqrt(np.maximum(light, 0.0)) * random.standard_normal(light.shape)
    light *= np.exp(random.normal(0.0, balance, 3) * np.array([1.0, 0.3, 1.0]))
    linear = light @ raw_to_srgb(camera, power, random).T
    luma = linear @ np.array([0.2126, 0.7152, 0.0722])
    linear = luma[..., None] + camera.saturation * (linear - luma[..., None])
    code = srgb_encoded(linear)
    code = code + code * (1.0 - code) * (camera.lift - camera.contrast * (1.0 - 2.0 * code))
    eight = np.clip(np.round(code * 255.0), 0, 255).astype(np.uint8)
    written = io.BytesIO()
    Image.fromarray(eight).save(written, format="JPEG", quality=quality)
    return Picture(np.asarray(Image.open(written).convert("RGB")), rectangles)


def daylight_lab(reflectances: Array) -> Array:
    return lab_of_xyz(reflectances @ weights("D65"))
