"""In which order a layout is cut. Common practice, no source: folded cloth first, large pieces before small,
mates one after the other, and single pieces once the cloth is opened.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from layfigure.lay.layout import Layout, Section
from layfigure.lay.part import Part

_SIDE = re.compile(r"(?:^|_)(left|right|l|r|[0-9]+)(?=_|$)")


@dataclass(frozen=True, slots=True, kw_only=True)
class CutStep:
    """One cut. number : on the drawing, from 1, through all sections. section, laid : which part it is.
    words : what to do, for the maker.
    """

    number: int
    section: int
    laid: int
    words: str


def cutting_order(layout: Layout) -> list[CutStep]:
    """Every laid part in the order of cutting."""
    steps: list[CutStep] = []
    for index, section in _in_order(layout):
        parts = section.by_slug
        largest: dict[str, float] = {}
        for one in section.laid:
            group = _mates(one.part)
            largest[group] = max(largest.get(group, 0.0), parts[one.part].area)
        rows = sorted(
            range(len(section.laid)),
            key=lambda row: (
                -largest[_mates(section.laid[row].part)],
                _mates(section.laid[row].part),
                section.laid[row].part,
                section.laid[row].copy,
            ),
        )
        for row in rows:
            words = _words(parts[section.laid[row].part], section, section.laid[row].mirrored)
            steps.append(CutStep(number=len(steps) + 1, section=index, laid=row, words=words))
    return steps


def _in_order(layout: Layout) -> list[tuple[int, Section]]:
    rank = {"sheet": 0, "hide": 0, "fold": 1, "single": 2}
    return sorted(enumerate(layout.sections), key=lambda one: (rank[one[1].kind], one[0]))


def _mates(slug: str) -> str:
    """What is sewn together or worn on both sides shares a name but for its side."""
    return _SIDE.sub("", slug.split("+")[0].split("/")[0])


def _words(part: Part, section: Section, mirrored: bool) -> str:
    if part.on_fold:
        return f"{part.label}: on the fold, opens out whole"
    if section.kind == "fold":
        return f"{part.label}: both layers"
    if mirrored:
        return f"{part.label}: pattern turned over"
    return part.label
