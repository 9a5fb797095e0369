"""Outlines from DXF drawings, as another program or a digitiser writes them."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from layfigure.errors import FileError, FileSyntaxError
from layfigure.files.drawn_path import DrawnPath
from layfigure.files.svg_paths import FLATNESS, LARGEST
from layfigure.geometry.bezier import flattened_bezier

Points = NDArray[np.float64]

MILLIMETRES = {0: 1.0, 1: 25.4, 2: 304.8, 4: 1.0, 5: 10.0, 6: 1000.0}
"""Length of a unit by the header's ``$INSUNITS`` [mm] (DXF reference); 0 is unsaid, taken as millimetres."""
CURVES = "LINE LWPOLYLINE POLYLINE ARC CIRCLE ELLIPSE SPLINE"


def read_dxf(path: Path) -> tuple[DrawnPath, ...]:
    """Every run of line of a file, blocks put in place; the layer is the last of its groups.

    A unit that the file does not say is a millimetre. Raises FileError for a file that is missing or far too
    large, that is no DXF, or that draws nothing.
    """
    from ezdxf.filemanagement import readfile
    from ezdxf.lldxf.const import DXFError

    try:
        if path.stat().st_size > LARGEST:
            raise FileError(
                "the drawing is far larger than an outline needs.",
                where=path.name,
                advice="Save the outline alone.",
            )
        drawing = readfile(path)
    except (DXFError, ValueError, LookupError, TypeError, AttributeError, StopIteration) as error:
        raise FileSyntaxError(
            "the file is no DXF that can be read.", where=path.name, advice="Save it again as DXF."
        ) from error
    except OSError as error:
        raise FileError(
            "the drawing cannot be read.", where=path.name, advice="Save it again as DXF."
        ) from error
    scale = MILLIMETRES.get(int(drawing.header.get("$INSUNITS", 0)))
    if scale is None:
        raise FileError(
            "the drawing's unit is not one of millimetre, centimetre, metre, inch and foot.",
            where=path.name,
            advice="Save it in millimetres.",
        )
    found = tuple(_paths(drawing.modelspace(), (), scale))
    if not found:
        raise FileError(
            "the drawing has no outline in it.", where=path.name, advice="Draw a line or a polyline."
        )
    return found


def _paths(entities: Iterable[Any], blocks: tuple[str, ...], scale: float) -> Iterable[DrawnPath]:
    from ezdxf.path import make_path

    for entity in entities:
        if entity.dxftype() == "INSERT":
            yield from _paths(entity.virtual_entities(), (*blocks, str(entity.dxf.name)), scale)
        elif entity.dxftype() in CURVES.split():
            path = make_path(entity)
            pieces = [path] if path.has_sub_paths is False else list(path.sub_paths())
            for piece in pieces:
                drawn = _drawn(piece, (*blocks, str(entity.dxf.layer)), scale)
                if drawn is not None:
                    yield drawn


def _drawn(path: Any, groups: tuple[str, ...], scale: float) -> DrawnPath | None:
    """One path flattened; None for one without length."""
    places = [np.array([[path.start.x, path.start.y]])]
    nodes = [0]
    start = path.start
    for command in path.commands():
        controls = [getattr(command, name) for name in ("ctrl", "ctrl1", "ctrl2") if hasattr(command, name)]
        corners = np.array([[place.x, place.y] for place in (start, *controls, command.end)])
        places.append(flattened_bezier(corners, FLATNESS / scale))
        nodes.append(nodes[-1] + len(places[-1]))
        start = command.end
    points = np.concatenate(places)
    closed = len(points) > 2 and bool(np.linalg.norm(points[-1] - points[0]) * scale < 1e-3)
    if closed:
        points, nodes = points[:-1], nodes[:-1]
    if len(points) < 2 or np.ptp(points, axis=0).max() * scale < 1e-3:
        return None
    name = groups[0] if len(groups) > 1 else ""
    return DrawnPath(
        name=name, groups=groups, points=points * scale, closed=closed, nodes=np.array(nodes, dtype=np.int64)
    )
