"""An outline traced on a picture of something flat, with a sheet of known size lying beside it.

A small JSON file names the picture, the four corners of the sheet in it, and the outline point by point. The
sheet gives the scale and takes out the slant of the camera; it must lie in the plane of what is traced.
"""

from __future__ import annotations

import json
from itertools import pairwise
from pathlib import Path
from typing import Annotated, Any

import numpy as np
from numpy.typing import NDArray
from pydantic import BaseModel, Field, FiniteFloat
from scipy.interpolate import CubicSpline

from layfigure.errors import FileError, FileSyntaxError
from layfigure.files.drawn_path import DrawnPath
from layfigure.files.formats import up_to_date
from layfigure.files.quantities import Length
from layfigure.files.validation import validated
from layfigure.geometry.homography import homography, mapped

Points = NDArray[np.float64]
Place = tuple[FiniteFloat, FiniteFloat]

STEP = 2.0
"""Distance between points of the smooth line through traced ones [mm]."""
CHECKED = 0.01
"""A length that is known and read off the picture may differ by this share."""


class SheetFile(BaseModel, extra="forbid"):
    """A flat sheet in the picture. corners : upper left, upper right, lower right, lower left [pixels]."""

    width: Length
    height: Length
    corners: Annotated[list[Place], Field(min_length=4, max_length=4)]


class KnownFile(BaseModel, extra="forbid"):
    """A length that was measured on the thing itself, to check the picture by."""

    start: Place
    end: Place
    length: Length


class LineFile(BaseModel, extra="forbid"):
    """One traced line. corners : indices of the points that stay sharp."""

    name: Annotated[str, Field(max_length=60)] = ""
    group: Annotated[str, Field(max_length=60)] = ""
    points: Annotated[list[Place], Field(min_length=2, max_length=5000)]
    corners: list[Annotated[int, Field(ge=0)]] = []
    closed: bool = True


class TracedPictureFile(BaseModel, extra="forbid"):
    """The whole file but its ``format``."""

    picture: Annotated[str, Field(max_length=300)] = ""
    sheet: SheetFile
    known: list[KnownFile] = []
    lines: Annotated[list[LineFile], Field(min_length=1, max_length=200)]


def read_traced_picture(path: Path) -> tuple[DrawnPath, ...]:
    """Lines traced on a picture, in millimetres on the plane of its sheet.

    Raises FileError for a file that cannot be used, and where a known length reads otherwise than stated.
    """
    try:
        data: Any = json.loads(path.read_text(encoding="utf-8"))
    except OSError as error:
        raise FileError("the traced picture cannot be read.", where=path.name) from error
    except ValueError as error:
        raise FileSyntaxError("the traced picture is no JSON.", where=path.name) from error
    if not isinstance(data, dict):
        raise FileSyntaxError("the traced picture is no JSON object.", where=path.name)
    typed = validated(
        TracedPictureFile,
        up_to_date(data, "trace", where=path.name),
        where=lambda *keys: f"{path.name}, {'.'.join(map(str, keys))}",
    )
    width, height = typed.sheet.width, typed.sheet.height
    try:
        matrix = homography(
            np.array(typed.sheet.corners), [(0.0, height), (width, height), (width, 0.0), (0.0, 0.0)]
        )
        lines = tuple(_line(line, matrix, path.name) for line in typed.lines)
        for known in typed.known:
            start, end = mapped(matrix, [known.start, known.end])
            off = float(np.hypot(*(end - start))) / known.length - 1.0
            if abs(off) > CHECKED:
                raise FileError(
                    f"a length that is known reads {abs(off):.1%} too {'long' if off > 0 else 'short'}.",
                    where=path.name,
                    advice="Lay sheet and piece flat in one plane, step back, and zoom in instead.",
                )
    except ValueError as error:
        raise FileError(
            "the four corners of the sheet cannot be those of a sheet.",
            where=path.name,
            advice="Give them in turn: upper left, upper right, lower right, lower left.",
        ) from error
    return lines


def _line(line: LineFile, matrix: Points, name: str) -> DrawnPath:
    """A smooth line through the traced points, sharp at its corners."""
    places = mapped(matrix, line.points)
    count = len(places)
    if any(corner >= count for corner in line.corners):
        raise FileError(
            f"line {line.name!r} has a corner beyond its last point.",
            where=name,
            advice="Count its points from 0.",
        )
    corners = sorted(set(line.corners))
    if line.closed and count < 3:
        raise FileError(
            f"line {line.name!r} is closed and has fewer than three points.", where=name, advice="Trace more."
        )
    if line.closed and not corners:
        whole = np.vstack([places, places[:1]])
        knots = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(whole, axis=0), axis=1))])
        spline = CubicSpline(knots, whole, bc_type="periodic")
        smooth = spline(np.linspace(0.0, knots[-1], _steps(knots[-1]), endpoint=False))
        nodes = [0]
    else:
        if line.closed:
            places = np.roll(places, -corners[0], axis=0)
            stops = [corner - corners[0] for corner in corners] + [count]
            places = np.vstack([places, places[:1]])
        else:
            stops = sorted({0, *corners, count - 1})
        runs = [_run(places[a : b + 1]) for a, b in pairwise(stops)]
        smooth = np.concatenate([run[:-1] for run in runs])
        nodes = list(np.cumsum([0, *(len(run) - 1 for run in runs[:-1])]))
        if not line.closed:
            smooth = np.vstack([smooth, runs[-1][-1:]])
            nodes.append(len(smooth) - 1)
    groups = (line.group,) if line.group else ()
    return DrawnPath(
        name=line.name,
        groups=groups,
        points=smooth,
        closed=line.closed,
        nodes=np.array(nodes, dtype=np.int64),
    )


def _run(places: Points) -> Points:
    """A smooth line through points between two corners, both ends kept."""
    if len(places) == 2:
        return places
    knots = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(places, axis=0), axis=1))])
    spline = CubicSpline(knots, places, bc_type="natural")
    result: Points = spline(np.linspace(0.0, knots[-1], _steps(knots[-1])))
    result[0], result[-1] = places[0], places[-1]
    return result


def _steps(whole: float) -> int:
    return max(8, int(np.ceil(whole / STEP)) + 1)
