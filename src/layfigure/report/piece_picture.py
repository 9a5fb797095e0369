"""A small picture of a piece for the report: the true shape, its edges and notches, without the words."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from layfigure.piece.piece import Piece

Points = NDArray[np.float64]

_LINE_DASH = {
    "balance": "6 2 1 2",
    "centre": "9 2 2 2",
    "fold": "3 3",
    "trim": "2 2",
    "placement": "1 2",
    "slit": "",
    "stitch": "4 2",
}


def piece_svg(piece: Piece, *, width: int = 300, height: int = 260) -> str:
    """The piece as an SVG element fitted into a box, y up. Colours come from the page's style sheet."""
    outline = piece.stitch_line
    low, high = outline.min(axis=0), outline.max(axis=0)
    size = np.maximum(high - low, 1.0)
    scale = float(min((width - 24) / size[0], (height - 24) / size[1]))
    shift = np.array([12.0 - low[0] * scale, 12.0 + high[1] * scale])

    def path(points: Points, *, closed: bool) -> str:
        places = points * [scale, -scale] + shift
        text = "M" + " L".join(f"{x:.1f} {y:.1f}" for x, y in places)
        return text + " Z" if closed else text

    seams = [edge for edge in piece.edges if edge.seam is not None]
    parts = [
        f'<path class="outline" d="{path(outline, closed=True)}"/>',
        *[f'<path class="seam" d="{path(edge.curve, closed=False)}"/>' for edge in seams],
        *[f'<path class="window" d="{path(window.curve, closed=True)}"/>' for window in piece.windows],
    ]
    for line in piece.lines:
        dash = _LINE_DASH[line.kind]
        parts.append(
            f'<path class="inner" stroke-dasharray="{dash}" d="{path(line.curve, closed=line.closed)}"/>'
        )
    arrow = np.array([piece.grainline.start, piece.grainline.end])
    parts.append(f'<path class="grain" d="{path(arrow, closed=False)}"/>')
    drawn_width, drawn_height = size * scale + 24
    return (
        f'<svg class="piece" viewBox="0 0 {drawn_width:.0f} {drawn_height:.0f}" '
        f'width="{drawn_width:.0f}" height="{drawn_height:.0f}" role="img">{"".join(parts)}</svg>'
    )
