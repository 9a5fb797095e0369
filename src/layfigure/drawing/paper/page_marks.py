"""What every page carries besides the pattern: frame, name, test square, and the marks that join it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import shapely
from numpy.typing import NDArray
from reportlab.pdfgen.canvas import Canvas

from layfigure.drawing.paper.pdf_pen import stroke, words_width, write
from layfigure.drawing.paper.tiling import Tile, Tiling
from layfigure.drawing.sheet import text_corners
from layfigure.told_lengths import told_in
from layfigure.units import LengthUnit

Points = NDArray[np.float64]

SQUARE = 100.0
"""Side of the test square [mm]: 1181 pixels at 300 dots per inch."""

DIAMOND = 5.0
"""Half the diagonal of a joining diamond [mm]."""


LOWER_SHARES = (0.25, 0.3, 0.2, 0.35, 0.15, 0.4)
UPPER_SHARES = (0.75, 0.7, 0.8, 0.65, 0.85, 0.6)
"""Where along a joining line its diamonds may stand, preferred first."""

WORDS_AT = (1.2, 97.0, 30.0, 60.0, 45.0, 75.0, 15.0)
"""Heights in the test square at which its words may stand, preferred first [mm]."""

SQUARE_STEP = 6.0
"""Distance of the places that are tried for the test square [mm]."""

CLEAREST = 12
"""Places for the test square at which its words are tried as well."""

UNDER_LINES, UNDER_WORDS, WORDS_WEIGH = 20.0, 40.0, 12.0
"""How much worse it is to meet the test square's lines, and its words, than to lie inside it, and how much
worse words are than a stretch of a line.
"""

STRETCH = 12
"""Steps of a line that are searched together."""

CROSS_WORDS = 1.7
"""Height of the words beside a diagonal's cross [mm]."""

CROSS_REACH = 45.0
"""How far those words reach from the cross into the page, at most [mm]."""

SQUARE_SAYS: Mapping[LengthUnit, str] = {
    "cm": "test square: 10 cm by 10 cm, or print again at 100 %",
    "in": "test square: 3 15/16 in each way, or print again at 100 %",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Join:
    """A diamond on a line where two pages meet. at : its middle on the joined sheet [mm].
    pages : the names of the two, the one on top first.
    """

    at: tuple[float, float]
    pages: tuple[str, str]


@dataclass(frozen=True, slots=True, kw_only=True)
class Diagonal:
    """Two crosses on the joined sheet and how far apart they must be [mm]."""

    start: tuple[float, float]
    end: tuple[float, float]
    pages: tuple[str, str]

    @property
    def length(self) -> float:
        """Distance of the crosses [mm]."""
        return float(np.hypot(self.end[0] - self.start[0], self.end[1] - self.start[1]))


@lru_cache(maxsize=4)
def joins(tiling: Tiling) -> tuple[Join, ...]:
    """Two diamonds on every line where two printed pages meet: the right and lower edges are trimmed.

    Each stands where it covers least of the pattern, on its own half of the line.
    """
    pattern = shapely.STRtree(pattern_things(tiling))
    found = []
    for tile in tiling.tiles:
        beside = tiling.at(tile.row, tile.column + 1)
        below = tiling.at(tile.row + 1, tile.column)
        for shares in (LOWER_SHARES, UPPER_SHARES):
            if beside:
                places = [(tile.right, tile.bottom + s * (tile.top - tile.bottom)) for s in shares]
                found.append(Join(at=_clearest(places, pattern), pages=(tile.name, beside.name)))
            if below:
                places = [(tile.left + s * (tile.right - tile.left), tile.bottom) for s in shares]
                found.append(Join(at=_clearest(places, pattern), pages=(tile.name, below.name)))
    return tuple(found)


def _clearest(places: list[tuple[float, float]], pattern: shapely.STRtree) -> tuple[float, float]:
    """The first of some places at which a diamond and its two names cover least."""
    x, y = np.array(places).T
    boxes = shapely.box(x - 11.0, y - DIAMOND - 1.0, x + 11.0, y + DIAMOND + 1.0)
    covered = np.bincount(pattern.query(boxes, predicate="intersects")[0], minlength=len(places))
    return places[int(covered.argmin())]


def diagonals(tiling: Tiling) -> tuple[Diagonal, ...]:
    """The two longest checks across the joined sheet, from corner page to corner page; none for one page."""
    if len(tiling.tiles) < 2:
        return ()
    found = []
    for sx, sy in ((1, 1), (1, -1)):
        ends: list[tuple[Tile, tuple[float, float]]] = []
        for sign in (-1, 1):
            tile = max(tiling.tiles, key=lambda t: sign * (sx * t.left + sy * t.bottom))
            x = tile.right - 6.0 if sign * sx > 0 else tile.left + 6.0
            y = tile.top - 6.0 if sign * sy > 0 else tile.bottom + 6.0
            ends.append((tile, (x, y)))
        (first, start), (last, end) = ends
        if first is not last:
            found.append(Diagonal(start=start, end=end, pages=(first.name, last.name)))
    return tuple(found)


def draw_joins(canvas: Canvas, tiling: Tiling, shade: float, unit: LengthUnit = "cm") -> None:
    """Diamonds, and the line on which the page before is laid, in joined-sheet coordinates."""
    for join in joins(tiling):
        _diamond(canvas, join.at, shade)
        x, y = join.at
        write(canvas, join.pages[0], (x - 8.5, y + 3.0), height=1.8, anchor="middle", shade=shade)
        write(canvas, join.pages[1], (x + 8.5, y - 4.8), height=1.8, anchor="middle", shade=shade)
    for tile in tiling.tiles:
        beside, above = tiling.at(tile.row, tile.column - 1), tiling.at(tile.row - 1, tile.column)
        lines = []
        if beside:
            lines.append(np.array([[beside.right, tile.bottom], [beside.right, tile.top]]))
        if above:
            lines.append(np.array([[tile.left, above.bottom], [tile.right, above.bottom]]))
        for line in lines:
            stroke(canvas, line, width=0.12, dash=(0.5, 3.0), shade=shade)
    pattern = shapely.STRtree(pattern_things(tiling))
    for diagonal in diagonals(tiling):
        for here, there, name in (
            (diagonal.start, diagonal.end, diagonal.pages[1]),
            (diagonal.end, diagonal.start, diagonal.pages[0]),
        ):
            far = told_in(unit, f"{diagonal.length:.1f} mm to the cross on {name}")
            _cross(canvas, here, there, far, shade, pattern)


def cross_areas(tiling: Tiling) -> list[shapely.Geometry]:
    """Places of the diagonals' crosses and their words, for what should stand clear of them."""
    areas = []
    for diagonal in diagonals(tiling):
        for (x, y), mate in ((diagonal.start, diagonal.end), (diagonal.end, diagonal.start)):
            into = 1.0 if mate[0] > x else -1.0
            ends = sorted([x - 4.0 * into, x + CROSS_REACH * into])
            areas.append(shapely.box(ends[0], y - 4.0, ends[1], y + 4.0))
    return areas


def draw_frame(canvas: Canvas, tile: Tile, tiling: Tiling) -> None:
    """The page's frame in joined-sheet coordinates: solid where it is trimmed, dotted where it lies under."""
    left, right, bottom, top = tile.left, tile.right, tile.bottom, tile.top
    sides = [
        ((right, bottom), (right, top), tiling.at(tile.row, tile.column + 1) is not None),
        ((left, bottom), (right, bottom), tiling.at(tile.row + 1, tile.column) is not None),
        ((left, bottom), (left, top), False),
        ((left, top), (right, top), False),
    ]
    for start, end, trimmed in sides:
        dash = () if trimmed else (0.4, 1.6)
        stroke(canvas, np.array([start, end]), width=0.25 if trimmed else 0.15, dash=dash)


def draw_test_square(
    canvas: Canvas,
    corner: tuple[float, float],
    *,
    words_at: float = 1.2,
    shade: float = 0.0,
    unit: LengthUnit = "cm",
) -> None:
    """The test square, its lower left corner given, with what to do about it ``words_at`` above its foot."""
    x, y = corner
    ring = np.array([[x, y], [x + SQUARE, y], [x + SQUARE, y + SQUARE], [x, y + SQUARE]])
    stroke(canvas, ring, width=0.15, closed=True, shade=shade)
    write(canvas, SQUARE_SAYS[unit], (x + 3.0, y + words_at), height=1.7, shade=shade)


def place_test_square(tile: Tile, things: shapely.STRtree) -> tuple[tuple[float, float], float]:
    """Where on a page the test square is clearest of the pattern, and where in it its words are.

    things : what is drawn, lines as lines and words as the areas they cover. Words must not lie under the
    square's own lines, nor lines under its words; then it crosses as few lines as can be, and has as little
    inside it. Returns the square's lower left corner and ``words_at``.
    """
    gap = 1.0
    # Corners first: of equally clear places, a maker finds those soonest.
    across = _from_ends(tile.left + gap, tile.right - gap - SQUARE)
    along = _from_ends(tile.bottom + gap, tile.top - gap - SQUARE)
    x, y = (grid.ravel() for grid in np.meshgrid(across, along))
    squares = shapely.box(x, y, x + SQUARE, y + SQUARE)
    cost = UNDER_LINES * _weight_of_things(things, shapely.boundary(squares))
    cost += _weight_of_things(things, squares)
    best: tuple[float, int, float] | None = None
    # Words are tried at the clearest squares only: there are hundreds.
    for index in np.argsort(cost, kind="stable")[:CLEAREST].tolist():
        foots = y[index] + np.array(WORDS_AT)
        labels = shapely.box(x[index] + 2.0, foots - 0.8, x[index] + 66.0, foots + 2.2)
        whole = cost[index] + UNDER_WORDS * _weight_of_things(things, labels)
        pick = int(whole.argmin())
        if best is None or whole[pick] < best[0]:
            best = float(whole[pick]), index, WORDS_AT[pick]
    assert best is not None
    _, index, words_at = best
    return (float(x[index]), float(y[index])), words_at


def _from_ends(first: float, last: float) -> Points:
    """Places between two ends, both ends before all others [mm]."""
    places = np.linspace(first, last, max(2, round((last - first) / SQUARE_STEP) + 1))
    return np.concatenate([places[[0, -1]], places[1:-1]])


def _weight_of_things(things: shapely.STRtree, areas: NDArray[np.object_]) -> Points:
    """How much of what is drawn each area meets, words counting more than lines."""
    area, thing = things.query(areas, predicate="intersects")
    words = shapely.get_dimensions(things.geometries[thing]) == 2
    weights: Points = np.bincount(area, np.where(words, WORDS_WEIGH, 1.0), minlength=len(areas)).astype(
        np.float64
    )
    return weights


@lru_cache(maxsize=4)
def pattern_things(tiling: Tiling) -> list[shapely.Geometry]:
    """Lines and word boxes on the joined sheet, long lines in short stretches."""
    stretches: list[Points] = []
    boxes: list[Points] = []
    for drawn, offset in tiling.sheet.placed:
        for line in drawn.lines:
            points = line.points + np.array(offset)
            starts = range(0, len(points) - 1, STRETCH)
            stretches += [points[k : k + STRETCH + 1] for k in starts]
        boxes += [text_corners(text) + np.array(offset) for text in drawn.texts]
    owner = np.repeat(np.arange(len(stretches)), [len(points) for points in stretches])
    lines = shapely.linestrings(np.concatenate(stretches), indices=owner)
    return [*lines, *(shapely.polygons(np.stack(boxes)) if boxes else ())]


def _diamond(canvas: Canvas, at: tuple[float, float], shade: float) -> None:
    """A diamond in quarters, two of them filled: its middle is exact to the eye and to a camera."""
    x, y = at
    tips = np.array([[x + DIAMOND, y], [x, y + DIAMOND], [x - DIAMOND, y], [x, y - DIAMOND]])
    stroke(canvas, tips, width=0.2, closed=True, shade=shade)
    canvas.setFillGray(shade)
    for a, b in ((1, 2), (3, 0)):
        path = canvas.beginPath()
        path.moveTo(x, y)
        path.lineTo(*tips[a].tolist())
        path.lineTo(*tips[b].tolist())
        path.close()
        canvas.drawPath(path, stroke=0, fill=1)


def _cross(
    canvas: Canvas,
    at: tuple[float, float],
    toward: tuple[float, float],
    words: str,
    shade: float,
    pattern: shapely.STRtree,
) -> None:
    """A cross, a line toward its mate, and level words above or below it, where they cover least."""
    x, y = at
    for dx, dy in ((3.0, 0.0), (0.0, 3.0)):
        stroke(canvas, np.array([[x - dx, y - dy], [x + dx, y + dy]]), width=0.25, shade=shade)
    along = np.array(toward) - np.array(at)
    along = along / np.linalg.norm(along)
    line = np.array([np.array(at) + 4.0 * along, np.array(at) + 20.0 * along])
    stroke(canvas, line, width=0.15, dash=(2.0, 1.0), shade=shade)
    # From the cross into the page, never off it.
    width = words_width(words, CROSS_WORDS)
    start = x + 4.5 if along[0] > 0.0 else x - 4.5 - width
    foots = np.array([y - 2.9, y + 1.2] if along[1] > 0.0 else [y + 1.2, y - 2.9])
    boxes = shapely.box(start, foots - 0.5, start + width, foots + CROSS_WORDS + 0.3)
    covered = np.bincount(pattern.query(boxes, predicate="intersects")[0], minlength=len(boxes))
    write(canvas, words, (start, float(foots[covered.argmin()])), height=CROSS_WORDS, shade=shade)
