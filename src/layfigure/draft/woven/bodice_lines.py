"""Lines a fitter reads on a bodice: bust, shoulder blade, waist and hips, and where a panel hangs plumb."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from layfigure.draft.woven.bodice_flat import HalfFlat
from layfigure.geometry.polyline import arc_lengths, points_at
from layfigure.piece.piece import InnerLine

Points = NDArray[np.float64]

CLEAR = 5.0
"""A line across a panel ends this far from its edges [mm]."""
CLEAR_OF_ARMHOLE = 25.0


def level_lines(half: HalfFlat, part: str) -> list[InnerLine]:
    """Balance lines of the panel at the centre, its centre line at x = 0."""
    at = half.corners
    side = float(at["underarm"][0]) - CLEAR_OF_ARMHOLE
    lines = []
    for name, height in _heights(half, part).items():
        end = min(side, 2.0 * float(at["tip"][0])) if name in ("bust", "shoulder blade") else side
        if half.princess is not None:
            end = float(_on_seam(half, height)[0][0]) - CLEAR
        curve = np.array([[CLEAR, height], [end, height]])
        if name == _at_tip(part):
            # What is level on the body is not quite square to the centre line.
            tip = at["tip"]
            slope = float(tip[1] - half.abreast) / float(tip[0])
            stop = min(end, float(tip[0]))
            curve = np.array([[x, half.abreast + slope * x] for x in (CLEAR, stop)])
            if end > stop:
                curve = np.vstack([curve, [end, height]])
        lines.append(InnerLine(kind="balance", curve=curve, label=name))
    return lines


def side_lines(half: HalfFlat, part: str) -> list[InnerLine]:
    """Balance lines of the panel at the side of a princess seam, from where the other panel's meet it, and
    the plumb line it hangs by.
    """
    at = half.side_corners
    assert at is not None
    assert half.princess is not None
    ups, lines = dict(half.levels), []
    for name, height in _heights(half, part).items():
        if name not in ups:
            continue
        at_seam = _on_seam(half, height)[1]
        at_side = at["side_waist"] + ups[name] * (at["underarm"] - at["side_waist"])
        way = (at_side - at_seam) / np.linalg.norm(at_side - at_seam)
        lines.append(
            InnerLine(
                kind="balance", curve=np.array([at_seam + CLEAR * way, at_side - CLEAR * way]), label=name
            )
        )
    foot = 0.5 * (half.princess[1][0] + at["side_waist"])
    top = float(at["underarm"][1])
    plumb = np.array([[foot[0], foot[1] + 10.0], [foot[0], foot[1] + 0.85 * (top - float(foot[1]))]])
    lines.append(InnerLine(kind="centre", curve=plumb, label="middle of the panel, hangs plumb"))
    return lines


def _at_tip(part: str) -> str:
    """The level of the point that darts are aimed at."""
    return "bust" if part == "front" else "shoulder blade"


def _heights(half: HalfFlat, part: str) -> dict[str, float]:
    """Height of every level at the centre line, by name [mm]: in front the bust is at the tip, behind the
    shoulder blade is.
    """
    at = half.corners
    tip = {_at_tip(part): float(at["tip"][1])}
    rise = float(at["underarm"][1] - at["side_waist"][1])
    return {name: float(at["side_waist"][1]) + up * rise for name, up in half.levels} | tip


def _on_seam(half: HalfFlat, height: float) -> tuple[Points, Points]:
    """One place of a princess seam on both panels: as far up it as a height on the panel at the centre."""
    assert half.princess is not None
    centre, side = half.princess
    along = float(np.interp(height, centre[:, 1], arc_lengths(centre)))
    return points_at(centre, [along])[0], points_at(side, [along])[0]
