"""A hide as its maker traced it: the outline, its flaws, and zones of lesser quality, from a drawing."""

from __future__ import annotations

import re
from pathlib import Path

import numpy as np
import shapely
from shapely import Polygon

from layfigure.errors import FileError
from layfigure.files.drawn_path import DrawnPath
from layfigure.files.traced import read_traced
from layfigure.lay.layout import Surface, Zone, polygon_area

FLAW = re.compile(r"\b(flaw|hole|scar|brand|cut)", re.IGNORECASE)
ZONE = re.compile(r"\bzone\D*([1-9])", re.IGNORECASE)
_ADVICE = "Name the groups 'outline', 'flaws', and 'zone 2' or 'zone 3' for poorer leather."


def read_hide(path: Path) -> Surface:
    """A hide from an SVG, a DXF or a traced picture, in millimetres.

    The largest closed line is the outline. Lines whose own name or group says flaw, hole, scar, brand or cut
    are flaws, those that say zone with a number are of that quality; others lie inside and are flaws too, to
    be safe. Raises FileError.
    """
    lines = [line for line in read_traced(path) if line.closed and len(line.points) >= 3]
    if not lines:
        raise FileError(
            "the drawing has no closed line, so there is no hide.", where=path.name, advice=_ADVICE
        )
    outline = max(lines, key=lambda line: polygon_area(line.points))
    area = shapely.make_valid(Polygon(outline.points))
    low = outline.points.min(axis=0)
    flaws, zones = [], []
    for line in lines:
        if line is outline or not area.intersects(shapely.make_valid(Polygon(line.points))):
            continue
        zone = ZONE.search(_said(line))
        if zone and not FLAW.search(_said(line)):
            # Drawn past the edge, as one does by hand, it is poorer leather up to the edge.
            zones += [
                Zone(quality=int(zone[1]), outline=shapely.get_coordinates(part.exterior)[:-1] - low)
                for part in shapely.get_parts(area.intersection(shapely.make_valid(Polygon(line.points))))
                if isinstance(part, Polygon)
            ]
        else:
            flaws.append(np.asarray(line.points - low))
    largest = max(shapely.get_parts(area), key=lambda part: float(part.area))
    ring = shapely.get_coordinates(largest.exterior)[:-1] - low
    return Surface(name=path.stem, outline=ring, flaws=tuple(flaws), zones=tuple(zones))


def _said(line: DrawnPath) -> str:
    return " ".join([*line.groups, line.name]).replace("_", " ").replace("-", " ")
