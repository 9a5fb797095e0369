"""Which lines of a tracing are outlines, cut-outs and inner lines, and where an outline has its corners."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Polygon

from layfigure.errors import DraftError
from layfigure.files.drawn_path import DrawnPath
from layfigure.geometry.corners import cut_at_corners, signed_area
from layfigure.piece.piece import LineKind

Points = NDArray[np.float64]

SMALLEST = 100.0
"""An outline of less area is a slip of the pen [mm²]."""
SEWN, BOUNDARY = "14", "1"
"""Layers of ASTM D6673 (numbers from memory): where both are drawn, the sewn line is the outline."""
_KINDS: tuple[tuple[str, LineKind], ...] = (
    ("balance", "balance"),
    ("centre", "centre"),
    ("center", "centre"),
    ("fold", "fold"),
    ("slit", "slit"),
    ("stitch", "stitch"),
)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class TracedOutline:
    """One piece of a tracing.

    edges : curves from corner to corner, counter-clockwise, each (n, 2) [mm]. windows : closed cut-outs.
    lines : inner lines by kind. grain : (2, 2) ends of the traced grain line, or None.
    """

    name: str
    edges: tuple[Points, ...]
    windows: tuple[tuple[str, Points], ...]
    lines: tuple[tuple[LineKind, str, Points], ...]
    grain: Points | None


def traced_outlines(lines: Sequence[DrawnPath], *, mirrored: bool, where: str) -> tuple[TracedOutline, ...]:
    """Pieces of a tracing: every closed line that lies in no other, with what lies in it.

    mirrored : turned over, for the other side. Raises DraftError where no line is closed, or an outline
    crosses itself.
    """
    closed = [line for line in lines if line.closed and abs(signed_area(line.points)) > SMALLEST]
    if any(SEWN in line.groups for line in closed):
        closed = [line for line in closed if BOUNDARY not in line.groups]
    if not closed:
        raise DraftError(
            "the tracing holds no closed line that could be an outline.",
            where=where,
            advice="Join the outline's ends, and fill nothing but lines.",
        )
    areas = [Polygon(line.points) for line in closed]
    for line, area in zip(closed, areas, strict=True):
        if not area.is_valid:
            raise DraftError(
                f"outline {line.name or 'without a name'} crosses itself.", where=where, advice="Redraw it."
            )
    outer = [
        k
        for k, area in enumerate(areas)
        if not any(j != k and other.contains(area) for j, other in enumerate(areas))
    ]
    found = []
    for number, k in enumerate(sorted(outer, key=lambda k: (closed[k].name, k)), start=1):
        inside = [j for j in range(len(closed)) if j != k and areas[k].contains(areas[j])]
        open_lines = [
            line
            for line in lines
            if not line.closed and areas[k].buffer(1.0).contains(shapely.LineString(line.points))
        ]
        found.append(
            _outline(
                closed[k],
                [closed[j] for j in inside],
                open_lines,
                name=_slug(closed[k].name) or f"part_{number}",
                mirrored=mirrored,
            )
        )
    return tuple(found)


def _outline(
    outline: DrawnPath,
    inside: Sequence[DrawnPath],
    open_lines: Sequence[DrawnPath],
    *,
    name: str,
    mirrored: bool,
) -> TracedOutline:
    flip = np.array([-1.0, 1.0]) if mirrored else np.array([1.0, 1.0])
    points, nodes = outline.points * flip, outline.nodes
    if signed_area(points) < 0.0:
        points = points[::-1]
        nodes = np.sort((len(points) - 1 - nodes) % len(points))
    grain: Points | None = None
    lines: list[tuple[LineKind, str, Points]] = []
    for line in open_lines:
        spoken = " ".join((*line.groups, line.name)).lower()
        if "grain" in spoken or line.groups[-1:] == ("7",):
            grain = line.points[[0, -1]] * flip
            continue
        kind: LineKind = next((kind for word, kind in _KINDS if word in spoken), "placement")
        lines.append((kind, line.name.replace("_", " "), line.points * flip))
    return TracedOutline(
        name=name,
        edges=tuple(cut_at_corners(points, nodes)),
        windows=tuple(
            (_slug(line.name) or f"cut_out_{k}", line.points * flip) for k, line in enumerate(inside, 1)
        ),
        lines=tuple(lines),
        grain=grain,
    )


def _slug(name: str) -> str:
    kept = "".join(letter if letter.isalnum() and letter.isascii() else "_" for letter in name.lower())
    return kept.strip("_")
