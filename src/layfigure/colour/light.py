"""Lights to judge under, and what a reflectance looks like in each."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from types import MappingProxyType
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]
LightName = Literal["daylight", "incandescent", "fluorescent", "three_band", "led"]
White = Literal["D50", "D65"]

WAVES = np.arange(380.0, 781.0, 5.0)
"""Wavelengths of every reflectance inside [nm]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Light:
    """A light costumes are seen in. table : the illuminant's name in CIE 015:2018. words : as makers say."""

    name: LightName
    table: str
    words: str


LIGHTS: Mapping[LightName, Light] = MappingProxyType(
    {
        light.name: light
        for light in (
            Light(name="daylight", table="D65", words="daylight"),
            Light(name="incandescent", table="A", words="incandescent lamps"),
            Light(name="fluorescent", table="FL2", words="plain fluorescent tubes"),
            Light(name="three_band", table="FL11", words="three-band fluorescent tubes"),
            Light(name="led", table="LED-B3", words="white LED lamps"),
        )
    }
)
"""The lights that TRADE.md section 10 asks to judge in, and the LED that replaced most hall lamps."""


@cache
def weights(table: str) -> Array:
    """(81, 3) what each wavelength of a reflectance adds to X, Y, Z; a perfect white has Y = 1.

    table : an illuminant of data/lights.csv. Source: CIE 015:2018, 1931 observer of 2 degrees, every 5 nm.
    """
    observer, powers = _table("observer.csv"), _table("lights.csv")
    product = observer.values * powers.values[:, powers.names.index(table)][:, None]
    result: Array = product / product[:, 1].sum()
    result.flags.writeable = False
    return result


@cache
def white_point(table: str) -> Array:
    """(3,) X, Y, Z of a perfect white, Y = 1."""
    result: Array = weights(table).sum(axis=0)
    result.flags.writeable = False
    return result


def xyz_of_reflectance(reflectance: ArrayLike, table: str) -> Array:
    """(…, 3) X, Y, Z of (…, 81) reflectances under an illuminant, Y = 1 for a perfect white."""
    result: Array = np.asarray(reflectance, dtype=np.float64) @ weights(table)
    return result


def on_waves(waves: ArrayLike, values: ArrayLike) -> Array:
    """(81,) a spectrum measured at other wavelengths [nm]; ends are held beyond what was measured."""
    result: Array = np.interp(WAVES, np.asarray(waves), np.asarray(values))
    return result


@dataclass(frozen=True, slots=True)
class _Table:
    names: list[str]
    values: Array


@cache
def _table(name: str) -> _Table:
    lines = files("layfigure.colour").joinpath(f"data/{name}").read_text(encoding="utf-8").split()
    values = np.array([[float(cell) for cell in line.split(",")] for line in lines[1:]])
    assert np.array_equal(values[:, 0], WAVES)
    return _Table(lines[0].split(",")[1:], values[:, 1:])
