"""Outlines from SVG drawings: motifs, artwork, and pieces traced from paper.

SVG 2 (W3C): shapes, transforms and units are resolved by ``svgelements``; curves are flattened here.
"""

from __future__ import annotations

import io
import math
from pathlib import Path
from typing import Any
from xml.etree.ElementTree import ParseError

import numpy as np
from numpy.typing import NDArray

from layfigure.errors import FileError, FileSyntaxError
from layfigure.files.drawn_path import DrawnPath
from layfigure.geometry.bezier import flattened_bezier

Points = NDArray[np.float64]

FLATNESS = 0.02
"""How far a flattened curve may run from the true one [mm]."""
LARGEST = 20_000_000
"""No drawing of an outline needs more bytes."""
MOST_POINTS = 400_000
CSS_PIXELS = 96.0
"""Pixels an inch (CSS Values and Units 3)."""


def read_svg(path: Path) -> tuple[DrawnPath, ...]:
    """Every outline of a file. Raises FileError for one that is missing, far too large or no SVG."""
    try:
        size = path.stat().st_size
        if size > LARGEST:
            raise FileError(
                "the drawing is far larger than an outline needs.",
                where=path.name,
                advice="Save the outline alone, without pictures in it.",
            )
        text = path.read_text(encoding="utf-8-sig")
    except (OSError, UnicodeDecodeError) as error:
        raise FileError(
            "the drawing cannot be read.", where=path.name, advice="Save it again as plain SVG."
        ) from error
    return svg_paths(text, name=path.name)


def svg_paths(text: str, *, name: str) -> tuple[DrawnPath, ...]:
    """Every outline of an SVG text, in drawing order.

    A document without a unit of its own is read at 96 pixels an inch. Hidden things and definitions that
    nothing uses are passed over. name : for messages. Raises FileSyntaxError, or FileError for a drawing
    without any line.
    """
    from svgelements import SVG, Path, Shape

    if "<!ENTITY" in text:
        # Entities that stand for entities can fill the memory; no drawing program writes them for outlines.
        raise FileSyntaxError("the drawing declares entities.", where=name, advice="Save it as plain SVG.")
    try:
        drawing = SVG.parse(io.StringIO(text), ppi=CSS_PIXELS, reify=True)
    except (ParseError, ValueError, LookupError, TypeError, AttributeError, RecursionError) as error:
        raise FileSyntaxError(
            "the file is no SVG that can be read.", where=name, advice="Save it again as plain SVG."
        ) from error
    scale = 25.4 / CSS_PIXELS
    found: list[DrawnPath] = []
    total = 0
    for element, groups in _drawn(drawing, ()):
        if not isinstance(element, Shape):
            continue
        for points, closed, nodes in _runs(Path(element), FLATNESS / scale):
            total += len(points)
            if total > MOST_POINTS:
                raise FileError(
                    "the drawing has far more points than an outline needs.",
                    where=name,
                    advice="Save the outline alone.",
                )
            flipped = points * (scale, -scale)
            identity = element.id if isinstance(element.id, str) else ""
            found.append(DrawnPath(name=identity, groups=groups, points=flipped, closed=closed, nodes=nodes))
    if not found:
        raise FileError(
            "the drawing has no outline in it.",
            where=name,
            advice="Draw a path, and turn letters and pictures into paths.",
        )
    return tuple(found)


def path_data(d: str, *, where: str) -> tuple[DrawnPath, ...]:
    """Outlines of one path as typed, such as ``M0 0 L10 0 L5 8 Z``, in millimetres and y up.

    Raises FileSyntaxError for what is no path data of SVG 2.
    """
    from svgelements import Path

    try:
        path = Path(d)
    except (ValueError, IndexError, TypeError, AttributeError) as error:
        raise FileSyntaxError(
            "this is no SVG path.", where=where, advice="Write it like 'M0 0 L10 0 L5 8 Z'."
        ) from error
    runs = [
        DrawnPath(name="", groups=(), points=points * (1.0, -1.0), closed=closed, nodes=nodes)
        for points, closed, nodes in _runs(path, FLATNESS)
    ]
    if not runs:
        raise FileSyntaxError(
            "this SVG path draws nothing.", where=where, advice="Write it like 'M0 0 L10 0 L5 8 Z'."
        )
    return tuple(runs)


def _drawn(group: Any, ids: tuple[str, ...]) -> list[tuple[Any, tuple[str, ...]]]:
    """Shapes in order with the ids of their groups; what is hidden is left out."""
    from svgelements import Group

    found: list[tuple[Any, tuple[str, ...]]] = []
    for element in group:
        values = getattr(element, "values", None) or {}
        if values.get("display") == "none" or values.get("visibility") == "hidden":
            continue
        if isinstance(element, Group):
            own = element.id if isinstance(element.id, str) else ""
            found += _drawn(element, (*ids, own) if own else ids)
        else:
            found.append((element, ids))
    return found


def _runs(path: Any, flatness: float) -> list[tuple[Points, bool, NDArray[np.int64]]]:
    """Subpaths flattened, in the path's own units: points, closed, nodes."""
    from svgelements import Close, Move

    runs: list[tuple[Points, bool, NDArray[np.int64]]] = []
    points: list[Points] = []
    nodes: list[int] = []

    def finish(closed: bool) -> None:
        nonlocal points, nodes
        if points:
            run = np.concatenate(points)
            keep = np.ones(len(run), dtype=bool)
            keep[1:] = np.linalg.norm(np.diff(run, axis=0), axis=1) > 1e-9
            place = np.cumsum(keep) - 1
            ends = np.unique(place[nodes])
            run = run[keep]
            if closed and len(run) > 1 and np.linalg.norm(run[-1] - run[0]) <= 1e-6:
                run, ends = run[:-1], ends[ends < len(run) - 1]
            if len(run) > 1:
                runs.append((run, closed, ends.astype(np.int64)))
        points, nodes = [], []

    for segment in path:
        if isinstance(segment, Move):
            finish(closed=_meets_its_start(points))
            points, nodes = [np.array([[segment.end.x, segment.end.y]])], [0]
        elif isinstance(segment, Close):
            start = points[0][:1] if points else None
            finish(closed=True)
            if start is not None:
                points, nodes = [start], [0]
        else:
            points.append(_flattened(segment, flatness))
            nodes.append(sum(len(part) for part in points) - 1)
    finish(closed=_meets_its_start(points))
    return runs


def _meets_its_start(points: list[Points]) -> bool:
    """Whether a run that was never closed in so many words ends where it began."""
    if sum(len(part) for part in points) < 4:
        return False
    return bool(np.linalg.norm(points[-1][-1] - points[0][0]) <= 1e-6)


def _flattened(segment: Any, flatness: float) -> Points:
    """Points along a segment after its start, its end among them, (k, 2)."""
    from svgelements import Arc, CubicBezier, QuadraticBezier

    if isinstance(segment, CubicBezier):
        corners = _corners(segment.start, segment.control1, segment.control2, segment.end)
        return flattened_bezier(corners, flatness)
    if isinstance(segment, QuadraticBezier):
        return flattened_bezier(_corners(segment.start, segment.control, segment.end), flatness)
    if isinstance(segment, Arc):
        radius = max(abs(segment.rx), abs(segment.ry), 1e-12)
        step = 2.0 * math.acos(max(0.0, 1.0 - flatness / radius)) if radius > flatness else math.pi / 4.0
        count = max(1, math.ceil(abs(segment.sweep) / step))
        return np.array([[p.x, p.y] for p in (segment.point((k + 1) / count) for k in range(count))])
    return np.array([[segment.end.x, segment.end.y]])


def _corners(*places: Any) -> Points:
    return np.array([[place.x, place.y] for place in places])
