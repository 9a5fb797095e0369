"""The joined sheet as a small drawing: how pages are joined, and what lies on them."""

from __future__ import annotations

import numpy as np
import shapely

from layfigure.drawing.paper.tiling import Tiling


def tile_preview(tiling: Tiling) -> str:
    """An SVG document in mm of the joined sheet: every page with its name, every piece filled.

    What things look like is left to the page that shows it, by class: ``page``, ``blank``, ``piece``,
    ``name``.
    """
    every = [*tiling.tiles, *tiling.blank]
    left, right = min(tile.left for tile in every), max(tile.right for tile in every)
    bottom, top = min(tile.bottom for tile in every), max(tile.top for tile in every)
    corner = np.array([left, top])
    parts = []
    for drawn, offset in tiling.sheet.placed:
        outline = next(line.points for line in drawn.lines if line.ink == "boundary")
        simple = shapely.simplify(shapely.Polygon(outline + np.array(offset)), 0.5)
        places = (shapely.get_coordinates(simple) - corner) * [1.0, -1.0]
        steps = " ".join(f"{x:.1f},{y:.1f}" for x, y in places.tolist())
        parts.append(f'<path class="piece" d="M {steps} Z"/>')
    size = 0.2 * min(every[0].right - every[0].left, every[0].top - every[0].bottom)
    for tile, kind in [*((t, "page") for t in tiling.tiles), *((t, "blank") for t in tiling.blank)]:
        x, y, width, height = tile.left - left, top - tile.top, tile.right - tile.left, tile.top - tile.bottom
        box = f'x="{x:.1f}" y="{y:.1f}" width="{width:.1f}" height="{height:.1f}"'
        parts.append(f'<rect class="{kind}" {box}/>')
        if kind == "page" and not tiling.paper.grows:
            middle = f'x="{x + 0.5 * width:.1f}" y="{y + 0.5 * height + 0.35 * size:.1f}"'
            parts.append(f'<text class="name" {middle} font-size="{size:.1f}">{tile.name}</text>')
    view = f'viewBox="0 0 {right - left:.1f} {top - bottom:.1f}"'
    return f'<svg xmlns="http://www.w3.org/2000/svg" {view}>{"".join(parts)}</svg>\n'
