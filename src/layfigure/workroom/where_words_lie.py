"""Where a placement in words lies, said back in plain words, so that the maker sees what was understood."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from layfigure.body.levels import Side
from layfigure.design.costume_tables import FileSide
from layfigure.design.relative_words import RelativeEdge, parse_placement

PERSON = 1650.0
"""Stature of the body that places are said on [mm]; nobody's own."""

REGION_WORDS = {
    "torso": "the trunk",
    "upper_arm": "the upper arm",
    "forearm": "the forearm",
    "hand": "the hand",
    "thigh": "the thigh",
    "shank": "the lower leg",
    "foot": "the foot",
    "neck": "the neck",
    "head": "the head",
}


def where_words_lie(words: str, side: FileSide, edges: Mapping[str, str]) -> dict[str, Any]:
    """``says`` where words lie, ``regions`` they lie on, whether the line is ``closed``.

    edges : lines they may be said from. Raises PlacementError with what could be said instead.
    """
    from layfigure.design.words_on_body import resolve_words
    from layfigure.pipeline.stages import neutral_body

    one: Side = "left" if side == "both" else side
    edge = parse_placement(words, edges=edges, side=one)
    if isinstance(edge, RelativeEdge):
        bases = " and ".join(base.replace("_", " ") for base in edge.bases)
        return {"says": f"Follows {bases}, wherever it lies.", "regions": [], "closed": True}
    body = neutral_body()
    placed = resolve_words(edge, body.charts, body.level_heights)
    regions = list(dict.fromkeys(point.at.region for point in placed.points))
    heights = [
        float(
            body.charts[point.at.region].points(np.array([point.at.station]), np.array([point.at.around]))[
                0, 2
            ]
        )
        for point in placed.points
    ]
    scale = PERSON / float(np.ptp(body.standing.vertices[:, 2])) / 10.0
    low, high = round(min(heights) * scale), round(max(heights) * scale)
    spot = f"{low} cm" if high - low < 2 else f"{low} to {high} cm"
    spoken = " and ".join(spoken_region(region, side) for region in regions)
    how = "Right round" if placed.closed else ("Down" if edge.bottom is not None else "Part of the way round")
    return {
        "says": f"{how} {spoken}, {spot} above the floor on a person {PERSON / 1000:.2f} m tall who stands.",
        "regions": regions,
        "closed": placed.closed,
    }


def spoken_region(region: str, side: FileSide = "middle") -> str:
    """``thigh_left`` as ``the left thigh``. side : both for ``either thigh``."""
    stem = region.removesuffix("_left").removesuffix("_right")
    words = REGION_WORDS[stem]
    if stem == region:
        return words
    if side == "both":
        return words.replace("the ", "either ", 1)
    return words.replace("the ", f"the {region.removeprefix(stem)[1:]} ", 1)
