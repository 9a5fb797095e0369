"""What a study found, as the pages for looking and marking show it: words, and lines over the pictures."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from layfigure.design.marks import Marks
from layfigure.pipeline.study_data import study_as_data
from layfigure.study.seen_figure import SeenFigure, seen_figure

if TYPE_CHECKING:
    from layfigure.study.reading import StudyResult

PERSON = 1650.0
"""Stature on which shares are said as lengths [mm]; nobody's own."""

SURE = 2.0
"""Standard deviations within which nearly all readings lie: "sure to"."""


def study_shown(result: StudyResult | None, marks: Marks) -> dict[str, Any]:
    """For a page: ``study`` as ``layfigure study --json`` says it, ``lines`` and ``messages`` in words,
    ``next`` clicks with their places [px], ``pictures`` with the figure's lines in pixels of each, and
    ``waiting``: pictures with too little on them to count yet.
    """
    if result is None:
        names = [picture.name for picture in marks.pictures]
        return {
            "study": None,
            "lines": [],
            "messages": [],
            "next": [],
            "pictures": {},
            "waiting": names,
        }
    studied = [sight.picture.name for sight in result.fit.sights]
    return {
        "study": finite(study_as_data(result)),
        "lines": lines_in_words(result),
        "messages": list(result.messages),
        "next": [
            {
                "picture": click.picture,
                "words": click.words,
                "landmark": click.landmark,
                "region": click.region,
                "place": np.round(click.place, 1).tolist(),
            }
            for click in result.next_clicks
        ],
        "pictures": {name: _drawn(seen_figure(result.fit, view)) for view, name in enumerate(studied)},
        "waiting": [picture.name for picture in marks.pictures if picture.name not in studied],
    }


def lines_in_words(result: StudyResult) -> list[dict[str, Any]]:
    """Every traced line: ``slug``, ``words`` that say how sure it is, and ``advice`` for its marks."""
    found = []
    slugs = dict.fromkeys([*result.edges, *(reading.slug for reading in result.readings)])
    for slug in slugs:
        points = result.edges.get(slug, ())
        own = [reading for reading in result.readings if reading.slug == slug]
        refused = sum(reading.refused for reading in own)
        spreads = [PERSON * SURE * float(np.hypot(p.spread_along, p.spread_around)) for p in points]
        found.append(
            {
                "slug": slug,
                "words": _how_sure(spreads, refused, len(own)),
                "advice": list(dict.fromkeys(reading.advice for reading in own if reading.advice)),
            }
        )
    return found


def _how_sure(spreads: list[float], refused: int, marks: int) -> str:
    """``sure to 7 mm on a person 1.65 m tall``; the middling point, and the worst where it is far off."""
    if not spreads:
        return "cannot be read yet"
    middling, worst = round(float(np.median(spreads))), round(max(spreads))
    words = f"sure to {max(middling, 1)} mm on a person {PERSON / 1000:.2f} m tall"
    if worst > 1.5 * middling:
        words += f", to {worst} mm where it is least sure"
    if refused:
        words += f"; {refused} of its {marks} marks cannot be read"
    return words


def _drawn(seen: SeenFigure) -> dict[str, Any]:
    return {
        "outlines": [np.round(ring, 1).tolist() for ring in seen.outlines],
        "levels": [
            {"region": region, "level": level, "points": _every_other(line)}
            for (region, level), line in seen.levels.items()
        ],
    }


def _every_other(line: NDArray[np.float64]) -> list[Any]:
    kept = np.unique(np.r_[0 : len(line) : 2, len(line) - 1])
    listed: list[Any] = np.round(line[kept], 1).tolist()
    return listed


def finite(data: Any) -> Any:
    """Plain data with null for what is not a finite number: JSON has no word for it."""
    if isinstance(data, dict):
        return {key: finite(value) for key, value in data.items()}
    if isinstance(data, list):
        return [finite(value) for value in data]
    return None if isinstance(data, float) and not np.isfinite(data) else data
