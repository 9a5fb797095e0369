"""A still picture of a body with a tape on it, for a browser that cannot draw in space."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, get_args

import numpy as np
from numpy.typing import NDArray

from layfigure.geometry.mesh import TriangleMesh
from layfigure.report.body_picture import View, picture_of

if TYPE_CHECKING:
    from layfigure.workroom.body_data import DrawnLine

Points = NDArray[np.float64]

TAPE, EDGE = "#b4560a", "#1f5673"
"""Thread orange and ink blue of the workroom, on the pale body of the picture in light and dark."""


def best_view(lines: Sequence[DrawnLine], skin: Points) -> View:
    """The side from which most of an open tape is seen; the front for a tape that runs round."""
    tapes = [line for line in lines if line.kind == "tape"]
    if not tapes or any(line.closed for line in tapes):
        return "front"
    # From the axis of the body at the tape's own height, so that an arm's tape is seen from its side.
    points = np.concatenate([line.points for line in tapes])
    near = np.abs(skin[:, 2] - points[:, 2].mean()) < 0.5 * np.ptp(points[:, 2]) + 40.0
    across, back = (points.mean(axis=0) - skin[near].mean(axis=0))[:2]
    if abs(back) >= 0.5 * abs(across) or len(tapes) > 1:
        return "front" if back <= 0.0 else "back"
    return "left" if across > 0.0 else "right"


def still_picture(skin: TriangleMesh, lines: Iterable[DrawnLine], view: View | None = None) -> str:
    """SVG of the body from one side, with its lines. view : None for the one that shows the tape."""
    lines = list(lines)
    picture = picture_of(skin, view or best_view(lines, skin.vertices))
    assert picture.view in get_args(View)
    drawn = [
        f'<image href="{picture.data_address()}" width="{picture.width}" height="{picture.height}"/>',
        *(_drawn(line, picture.pixels(line.points)) for line in lines),
    ]
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {picture.width} {picture.height}">'
        f"{''.join(drawn)}</svg>"
    )


def _drawn(line: DrawnLine, pixels: Points) -> str:
    points = " ".join(f"{x:.1f},{y:.1f}" for x, y in pixels)
    tape = line.kind == "tape"
    return (
        f'<{"polygon" if line.closed else "polyline"} points="{points}" fill="none" stroke-linejoin="round" '
        f'stroke-linecap="round" stroke="{TAPE if tape else EDGE}" stroke-width="{4 if tape else 1.5}"/>'
    )
