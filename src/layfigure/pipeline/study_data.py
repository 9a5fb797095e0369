"""What a study found, as plain data for a program to read: what ``layfigure study --json`` prints."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from layfigure.pipeline.as_data import chart_point_as_data
from layfigure.study.reading import StudyResult


def study_as_data(result: StudyResult) -> dict[str, Any]:
    """Every mark with where it lies and how sure, every edge, the cameras, and what should come next.

    Spreads are one standard deviation as a share of the character's stature; None, and a word under ``sure``,
    where nothing fixes a place.
    """
    refused = [reading for reading in result.readings if reading.refused]
    edges: dict[str, Any] = {}
    for slug, points in result.edges.items():
        spreads = [float(np.hypot(p.spread_along, p.spread_around)) for p in points]
        edges[slug] = {
            "regions": sorted({point.at.region for point in points}),
            **_sure(spread=max(spreads, default=0.0)),
            "refused": sum(reading.slug == slug for reading in refused),
            "points": [
                {
                    **chart_point_as_data(point.at),
                    **_sure(spread_along=point.spread_along, spread_around=point.spread_around),
                    "corner": point.corner,
                }
                for point in points
            ],
        }
    return {
        "edges": edges,
        "marks": [
            {
                "edge": reading.slug,
                "picture": reading.picture,
                "index": reading.index,
                "region": reading.region,
                "station": round(float(reading.station), 5),
                "around": round(float(reading.around), 5),
                **_sure(spread_along=reading.spread_along, spread_around=reading.spread_around),
                "refused": bool(reading.refused),
                "advice": reading.advice,
            }
            for reading in result.readings
        ],
        "messages": list(result.messages),
        "next_clicks": [{"words": click.words, "gain": click.gain} for click in result.next_clicks],
    }


def _sure(**spreads: float) -> dict[str, float | str | None]:
    """Spreads to a millionth. JSON has no infinity: what nothing bounds is None, with a word beside it."""
    told: dict[str, float | str | None] = {
        name: round(float(value), 6) if math.isfinite(value) else None for name, value in spreads.items()
    }
    return told | ({"sure": "nothing says where it lies"} if None in told.values() else {})
