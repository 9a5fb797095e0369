"""``marks.json``: what the maker marked on every picture.

Places are in pixels of the picture as it is seen, upright, right and down from its upper left corner.
A landmark given as ``null`` is an answer too: it cannot be seen in that picture.
"""

from __future__ import annotations

import json
import re
from collections.abc import Collection, Mapping
from pathlib import Path
from typing import Annotated, Any

import numpy as np
from numpy.typing import NDArray
from pydantic import BaseModel, Field, FiniteFloat

from layfigure.body.levels import all_region_names
from layfigure.design.mark_names import LANDMARK_NAMES
from layfigure.design.marks import EdgeMarks, Marks, OutlineMarks, PictureMarks, View
from layfigure.errors import FileSyntaxError, MarkError
from layfigure.files.formats import CURRENT, up_to_date
from layfigure.files.inside import refuse_outside
from layfigure.files.nearest import did_you_mean
from layfigure.files.picture import picture_size
from layfigure.files.quantities import Angle
from layfigure.files.toml import read_text_file
from layfigure.files.validation import validated

Points = NDArray[np.float64]
Place = tuple[FiniteFloat, FiniteFloat]
Slug = Annotated[str, Field(pattern=r"^[a-z][a-z0-9_]*$", max_length=60)]


class OutlineFile(BaseModel, extra="forbid"):
    """Points on the visible edge of one region of the body."""

    region: str
    points: Annotated[list[Place], Field(min_length=1, max_length=5000)]
    hidden: bool = False


class StretchFile(BaseModel, extra="forbid"):
    """One stretch of an edge as seen in this picture, points in order."""

    points: Annotated[list[Place], Field(min_length=1, max_length=5000)]
    corners: list[int] = []
    closed: bool = False
    regions: list[str] = []


class PictureFile(BaseModel, extra="forbid"):
    """One picture and what is marked on it."""

    name: Annotated[str, Field(min_length=1, max_length=80)]
    view: View
    file: Annotated[str, Field(max_length=300)] = ""
    size: tuple[Annotated[int, Field(gt=1)], Annotated[int, Field(gt=1)]] | None = None
    yaw: Angle | None = None
    photograph: bool = False
    landmarks: dict[str, Place | None] = {}
    outlines: list[OutlineFile] = []
    edges: dict[Slug, list[StretchFile]] = {}


class MarksFile(BaseModel, extra="forbid"):
    """The whole of ``marks.json`` but its ``format``."""

    pictures: Annotated[list[PictureFile], Field(min_length=1, max_length=40)]


def read_marks(path: Path, *, edges: Collection[str] | None = None) -> Marks:
    """Read and check the marks, and the pictures beside them that are there.

    edges : slugs the costume has; a marked one that is not among them is refused. Raises FileError for a
    file or picture that cannot be used, and MarkError for a mark that makes no sense.
    """
    text = read_text_file(path, what="the marks file")
    return parse_marks(text, name=path.name, folder=path.parent, edges=edges)


def parse_marks(
    text: str, *, name: str = "marks.json", folder: Path | None = None, edges: Collection[str] | None = None
) -> Marks:
    """Marks from the text of a file; raises as ``read_marks``. Without a folder no picture is opened."""
    data = _parsed(text, name)

    def where(*path: str | int) -> str:
        return _spoken(data, name, path)

    typed = validated(MarksFile, up_to_date(data, "marks", where=name), where=where)
    _refuse_twins([picture.name for picture in typed.pictures], name)
    pictures: list[PictureMarks] = []
    missing: list[str] = []
    for picture in typed.pictures:
        place = f"{name}, picture {picture.name!r}"
        size = picture.size
        refuse_outside(picture.file, where=place)
        if folder is not None and picture.file:
            if (folder / picture.file).is_file():
                size = _checked_size(folder / picture.file, picture.size, place)
            else:
                missing.append(picture.file)
        if size is None:
            raise MarkError(
                "the picture is not there and its size is not stated.",
                where=place,
                advice='Put the picture back, or write "size": [width, height].',
            )
        pictures.append(_picture(picture, size, place, edges))
    return Marks(pictures=tuple(pictures), missing=tuple(missing))


def marks_text(marks: Marks) -> str:
    """The text of a file that reads back as these marks.

    A place takes one line, so that one moved mark is one changed line.
    """
    pictures = [picture_as_data(picture) for picture in marks.pictures]
    text = json.dumps({"format": CURRENT["marks"], "pictures": pictures}, indent=1)
    return re.sub(r"\[\s+(-?[\d.]+),\s+(-?[\d.]+)\s+\]", r"[\1, \2]", text) + "\n"


def picture_as_data(picture: PictureMarks) -> dict[str, Any]:
    """One picture as the file has it."""
    edges: dict[str, list[dict[str, Any]]] = {}
    for edge in picture.edges:
        edges.setdefault(edge.slug, []).append(
            {
                "points": _listed(edge.points),
                "corners": sorted(edge.corners),
                "closed": edge.closed,
                "regions": list(edge.regions),
            }
        )
    entry: dict[str, Any] = {"name": picture.name, "view": picture.view, "size": list(picture.size)}
    if picture.file:
        entry["file"] = picture.file
    if picture.yaw is not None:
        entry["yaw"] = f"{picture.yaw:g} deg"
    if picture.photograph:
        entry["photograph"] = True
    entry["landmarks"] = {
        **{landmark: _listed(at) for landmark, at in picture.landmarks.items()},
        **dict.fromkeys(sorted(picture.unseen)),
    }
    entry["outlines"] = [
        {"region": outline.region, "points": _listed(outline.points), "hidden": outline.hidden}
        for outline in picture.outlines
    ]
    entry["edges"] = edges
    return entry


def _listed(points: Points) -> list[Any]:
    """Coordinates to a hundredth of a pixel."""
    listed: list[Any] = np.round(points, 2).tolist()
    return listed


def _parsed(text: str, name: str) -> dict[str, Any]:
    try:
        data = json.loads(text)
    except json.JSONDecodeError as error:
        raise FileSyntaxError(
            f"this line cannot be read: {error.msg[:1].lower()}{error.msg[1:]}.",
            where=f"{name}, line {error.lineno}",
            advice="JSON needs double quotes round names, and commas between items but none after the last.",
        ) from None
    except RecursionError:
        raise FileSyntaxError("the file is nested far too deep.", where=name) from None
    if not isinstance(data, dict):
        raise FileSyntaxError("the file is not an object in braces.", where=name)
    return data


def _spoken(data: Mapping[str, Any], name: str, path: tuple[str | int, ...]) -> str:
    """``marks.json, picture 'front'``: JSON carries no line numbers, so name the picture."""
    if len(path) >= 2 and path[0] == "pictures" and isinstance(path[1], int):
        picture = data["pictures"][path[1]]
        title = picture.get("name") if isinstance(picture, dict) else None
        return f"{name}, picture {title!r}" if isinstance(title, str) else f"{name}, picture {path[1] + 1}"
    return name


def _refuse_twins(names: list[str], where: str) -> None:
    for k, picture in enumerate(names):
        if picture in names[:k]:
            raise MarkError(f"two pictures are called {picture!r}.", where=where, advice="Rename one.")


def _checked_size(path: Path, stated: tuple[int, int] | None, where: str) -> tuple[int, int]:
    size = picture_size(path)
    if stated is not None and tuple(stated) != size:
        raise MarkError(
            f"the marks were made on a picture of {stated[0]} by {stated[1]} pixels, "
            f"and {path.name} has {size[0]} by {size[1]}.",
            where=where,
            advice="Put the same picture back, or mark the new one.",
        )
    return size


def _picture(
    typed: PictureFile, size: tuple[int, int], where: str, known_edges: Collection[str] | None
) -> PictureMarks:
    for landmark in typed.landmarks:
        if landmark not in LANDMARK_NAMES:
            raise MarkError(
                f"there is no landmark {landmark!r}.",
                where=where,
                advice=did_you_mean(landmark, LANDMARK_NAMES)
                or "See 'layfigure schema marks' for the names.",
            )
    if typed.yaw is not None and typed.view != "free":
        raise MarkError("yaw goes with a free view only.", where=where, advice='Write "view": "free".')
    landmarks = {
        name: _inside([place], size, where, f"landmark {name}")[0]
        for name, place in typed.landmarks.items()
        if place is not None
    }
    outlines = tuple(
        OutlineMarks(
            region=_region(outline.region, where),
            points=_inside(outline.points, size, where, f"outline of {outline.region}"),
            hidden=outline.hidden,
        )
        for outline in typed.outlines
    )
    edges = tuple(
        _stretch(slug, stretch, size, where, known_edges)
        for slug, stretches in typed.edges.items()
        for stretch in stretches
    )
    return PictureMarks(
        name=typed.name,
        view=typed.view,
        size=size,
        file=typed.file,
        landmarks=landmarks,
        unseen=frozenset(name for name, place in typed.landmarks.items() if place is None),
        outlines=outlines,
        edges=edges,
        yaw=typed.yaw,
        photograph=typed.photograph,
    )


def _stretch(
    slug: str,
    typed: StretchFile,
    size: tuple[int, int],
    where: str,
    known_edges: Collection[str] | None,
) -> EdgeMarks:
    what = f"edge {slug}"
    if known_edges is not None and slug not in known_edges:
        raise MarkError(
            f"the costume has no edge {slug!r}.",
            where=where,
            advice=did_you_mean(slug, known_edges) or "Add it to costume.toml, or take its marks out.",
        )
    for corner in typed.corners:
        if not 0 <= corner < len(typed.points):
            raise MarkError(
                f"{what}: corner {corner} is not one of its {len(typed.points)} points.",
                where=where,
                advice="Corners count from 0.",
            )
    if typed.closed and len(typed.points) < 3:
        raise MarkError(
            f"{what} is closed and has fewer than three points.", where=where, advice="Mark more of it."
        )
    return EdgeMarks(
        slug=slug,
        points=_inside(typed.points, size, where, what),
        regions=tuple(_region(region, where) for region in typed.regions),
        closed=typed.closed,
        corners=frozenset(typed.corners),
    )


def _region(name: str, where: str) -> str:
    known = all_region_names()
    if name not in known:
        raise MarkError(
            f"there is no region {name!r}.",
            where=where,
            advice=did_you_mean(name, known) or f"Regions: {', '.join(known)}.",
        )
    return name


def _inside(places: list[Place], size: tuple[int, int], where: str, what: str) -> Points:
    """The places as (k, 2), refused when one lies outside the picture."""
    points = np.array(places, dtype=np.float64)
    outside = (points < 0.0).any(axis=1) | (points > np.array(size)).any(axis=1)
    if outside.any():
        x, y = points[outside][0]
        raise MarkError(
            f"{what} has a mark at ({x:.0f}, {y:.0f}), outside the picture ({size[0]} by {size[1]} pixels).",
            where=where,
            advice="Place it again, or write null for a landmark that cannot be seen.",
        )
    return points
