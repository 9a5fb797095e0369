"""What a picture's codes mean: the three curves and the matrix of a plain RGB profile."""

from __future__ import annotations

import struct
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from layfigure.colour.cielab import SRGB_TO_XYZ, adapted, srgb_decoded

Array = NDArray[np.float64]
Curve = Callable[[Array], Array]

_MOST_POINTS = 65_536


@dataclass(frozen=True, slots=True)
class Profile:
    """curves : code (0 to 1) to linear light, one a channel. matrix : (3, 3) to X, Y, Z (D65)."""

    curves: tuple[Curve, Curve, Curve]
    matrix: Array

    def linear(self, codes: NDArray[np.uint8]) -> Array:
        """(…, 3) linear light of (…, 3) codes."""
        steps = np.arange(256) / 255.0
        return np.stack([self.curves[k](steps)[codes[..., k]] for k in range(3)], axis=-1)


SRGB = Profile((srgb_decoded, srgb_decoded, srgb_decoded), SRGB_TO_XYZ)


def read_profile(data: bytes) -> Profile | None:
    """The profile of three curves and a matrix, or None for one made otherwise, or broken.

    Source: ICC.1:2022, 7.2 to 7.3 (header and tag table), 10.6 (curves), 10.18 (parametric), 10.31 (XYZ).
    """
    try:
        tags = _tags(data)
        columns = [_xyz(tags[name]) for name in (b"rXYZ", b"gXYZ", b"bXYZ")]
        curves = tuple(_curve(tags[name]) for name in (b"rTRC", b"gTRC", b"bTRC"))
    except (KeyError, ValueError, IndexError, struct.error):
        return None
    matrix = adapted(np.array(columns), "D50").T
    if not np.isfinite(matrix).all() or np.linalg.cond(matrix) > 1e4:
        return None
    return Profile((curves[0], curves[1], curves[2]), matrix)


def _tags(data: bytes) -> dict[bytes, bytes]:
    if data[36:40] != b"acsp" or data[16:20] != b"RGB " or data[20:24] != b"XYZ ":
        raise ValueError("not a profile of RGB to XYZ")
    (count,) = struct.unpack_from(">I", data, 128)
    found = {}
    for k in range(min(count, 100)):
        name, start, size = struct.unpack_from(">4sII", data, 132 + 12 * k)
        found[name] = data[start : start + size]
    return found


def _xyz(tag: bytes) -> tuple[float, float, float]:
    x, y, z = struct.unpack_from(">3i", tag, 8)
    return x / 65536.0, y / 65536.0, z / 65536.0


def _curve(tag: bytes) -> Curve:
    if tag[:4] == b"para":
        return _parametric(tag)
    if tag[:4] != b"curv":
        raise ValueError("no curve")
    (count,) = struct.unpack_from(">I", tag, 8)
    if count == 0:
        return lambda codes: codes
    if count > _MOST_POINTS:
        raise ValueError("too many points")
    values = np.array(struct.unpack_from(f">{count}H", tag, 12), dtype=np.float64)
    if count == 1:
        return lambda codes: codes ** (values[0] / 256.0)
    return lambda codes: np.interp(codes, np.linspace(0.0, 1.0, count), values / 65535.0)


def _parametric(tag: bytes) -> Curve:
    (form,) = struct.unpack_from(">H", tag, 8)
    count = (1, 3, 4, 5, 7)[form]
    given = [value / 65536.0 for value in struct.unpack_from(f">{count}i", tag, 12)]
    # Written in the fullest form: (a x + b)^g + e from d on, c x + f below.
    g, a, b, c, d, e, f = (given + [0.0] * 7)[:7]
    if form == 0:
        a, b, c, d, e, f = 1.0, 0.0, 0.0, 0.0, 0.0, 0.0
    elif form in (1, 2):
        e = f = given[3] if form == 2 else 0.0
        c, d = 0.0, -b / a
    elif form == 3:
        e = f = 0.0

    def curve(codes: Array) -> Array:
        high = np.maximum(a * codes + b, 0.0) ** g + e
        result: Array = np.where(codes >= d, high, c * codes + f)
        return result

    return curve
