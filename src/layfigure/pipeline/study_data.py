"""What a study found, as plain data for a program to read: what ``layfigure study --json`` prints."""

from __future__ import annotations

from typing import Any

import numpy as np

from layfigure.pipeline.as_data import chart_point_as_data
from layfigure.study.reading import StudyResult


def study_as_data(result: StudyResult) -> dict[str, Any]:
    """Every mark with where it lies and how sure, every edge, the cameras, and what should come next.

    Spreads are one standard deviation as a share of the character's stature.
    """
    refused = [reading for reading in result.readings if reading.refused]
    edges: dict[str, Any] = {}
    for slug, points in result.edges.items():
        spreads = [float(np.hypot(p.spread_along, p.spread_around)) for p in points]
        edges[slug] = {
            "regions": sorted({point.at.region for point in points}),
            "spread": max(spreads, default=0.0),
            "refused": sum(reading.slug == slug for reading in refused),
            "points": [
                {
                    **chart_point_as_data(point.at),
                    "spread_along": round(point.spread_along, 6),
                    "spread_around": round(point.spread_around, 6),
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
                "spread_along": round(float(reading.spread_along), 6),
                "spread_around": round(float(reading.spread_around), 6),
                "refused": bool(reading.refused),
                "advice": reading.advice,
            }
            for reading in result.readings
        ],
        "messages": list(result.messages),
        "next_clicks": [{"words": click.words, "gain": click.gain} for click in result.next_clicks],
    }
