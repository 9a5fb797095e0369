"""CIELAB and linear sRGB, from X, Y, Z and back."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from layfigure.colour.light import white_point

Array = NDArray[np.float64]

WHITE = "D65"
"""All colours inside are as seen in this daylight."""

_EDGE = 6.0 / 29.0

SRGB_TO_XYZ = np.array(
    [
        [0.4123907993, 0.3575843394, 0.1804807884],
        [0.2126390059, 0.7151686788, 0.0721923154],
        [0.0193308187, 0.1191947798, 0.9505321522],
    ]
)
"""Linear sRGB to X, Y, Z under D65, from the primaries of IEC 61966-2-1:1999."""
XYZ_TO_SRGB = np.linalg.inv(SRGB_TO_XYZ)

_BRADFORD = np.array([[0.8951, 0.2664, -0.1614], [-0.7502, 1.7135, 0.0367], [0.0389, -0.0685, 1.0296]])
"""Cone-like responses in which a change of white scales each; ICC.1:2022 annex E."""


def lab_of_xyz(xyz: ArrayLike, white: str = WHITE) -> Array:
    """(…, 3) L*, a*, b* of X, Y, Z relative to a white. Source: CIE 015:2018, equations 8.3 to 8.11."""
    t = np.asarray(xyz, dtype=np.float64) / white_point(white)
    f = np.where(t > _EDGE**3, np.cbrt(t), t / (3.0 * _EDGE**2) + 4.0 / 29.0)
    fx, fy, fz = f[..., 0], f[..., 1], f[..., 2]
    return np.stack([116.0 * fy - 16.0, 500.0 * (fx - fy), 200.0 * (fy - fz)], axis=-1)


def xyz_of_lab(lab: ArrayLike, white: str = WHITE) -> Array:
    """(…, 3) X, Y, Z of L*, a*, b*, the inverse of ``lab_of_xyz``."""
    lab = np.asarray(lab, dtype=np.float64)
    fy = (lab[..., 0] + 16.0) / 116.0
    f = np.stack([fy + lab[..., 1] / 500.0, fy, fy - lab[..., 2] / 200.0], axis=-1)
    t = np.where(f > _EDGE, f**3, 3.0 * _EDGE**2 * (f - 4.0 / 29.0))
    result: Array = t * white_point(white)
    return result


def adapted(xyz: ArrayLike, start: str, end: str = WHITE) -> Array:
    """(…, 3) X, Y, Z with the same look under another white: linear Bradford, ICC.1:2022 annex E."""
    if start == end:
        return np.asarray(xyz, dtype=np.float64)
    scale = (_BRADFORD @ white_point(end)) / (_BRADFORD @ white_point(start))
    result: Array = np.asarray(xyz) @ (np.linalg.inv(_BRADFORD) @ np.diag(scale) @ _BRADFORD).T
    return result


def srgb_decoded(codes: ArrayLike) -> Array:
    """Linear light of sRGB codes, 0 to 1. Source: IEC 61966-2-1:1999."""
    c = np.asarray(codes, dtype=np.float64)
    result: Array = np.where(c <= 0.04045, c / 12.92, ((np.maximum(c, 0.0) + 0.055) / 1.055) ** 2.4)
    return result


def srgb_encoded(linear: ArrayLike) -> Array:
    """Codes, 0 to 1, of linear light; what does not fit is cut off."""
    v = np.clip(np.asarray(linear, dtype=np.float64), 0.0, 1.0)
    result: Array = np.where(v <= 0.0031308, 12.92 * v, 1.055 * v ** (1.0 / 2.4) - 0.055)
    return result


def shown(lab: ArrayLike) -> str:
    """``#rrggbb`` nearest to a colour, for a swatch on a screen."""
    codes = srgb_encoded(xyz_of_lab(lab) @ XYZ_TO_SRGB.T)
    return "#" + "".join(f"{round(255 * value):02x}" for value in codes)
