"""Where each patch of a chart lies in a photograph."""

from __future__ import annotations

import numpy as np

from layfigure.colour.area import Rectangle
from layfigure.colour.colours import ChartInPicture
from layfigure.errors import FileError
from layfigure.geometry.homography import homography, mapped

INSIDE = 0.5
"""Share of a patch's width that is read: edges are blurred, and a grid of clicks is not exact."""


def patch_rectangles(chart: ChartInPicture, names: tuple[str, ...], where: str) -> dict[str, Rectangle]:
    """Rectangles by the patch's name; a grid is read row by row in the order of the chart's file.

    Raises FileError where the grid and the file have not as many patches, or the corners are none of a chart.
    """
    if chart.corners is None:
        return dict(chart.patches)
    if chart.columns * chart.rows != len(names):
        raise FileError(
            f"the chart has {len(names)} patches in its file and {chart.columns * chart.rows} here.",
            where=where,
            advice="Count columns and rows of its patches again, as the file lists them, row by row.",
        )
    unit = [(0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0)]
    try:
        matrix = homography(np.array(unit), chart.corners)
    except ValueError as error:
        raise FileError(
            "these four corners cannot be those of a chart.",
            where=where,
            advice="Give them in turn: upper left, upper right, lower right, lower left.",
        ) from error
    found: dict[str, Rectangle] = {}
    for number, name in enumerate(names):
        row, column = divmod(number, chart.columns)
        middle = np.array([(column + 0.5) / chart.columns, (row + 0.5) / chart.rows])
        half = 0.5 * np.array([1.0 / chart.columns, 1.0 / chart.rows])
        sides = [middle + half * step for step in ((-1, 0), (1, 0), (0, -1), (0, 1))]
        (x, y), *ends = mapped(matrix, [tuple(middle), *(tuple(side) for side in sides)])
        # The chart may stand or lie on its side: whichever ends are the ones beside and above.
        away = np.abs(np.array(ends) - [x, y])
        width, height = INSIDE * np.minimum(np.maximum(away[0], away[2]), np.maximum(away[1], away[3]))
        found[name] = (round(x - width), round(y - height), round(2 * width), round(2 * height))
    return found
