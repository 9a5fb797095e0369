"""Where a costume stands and what comes next, in a maker's words."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from layfigure.body.wearer import Wearer
from layfigure.errors import LayfigureError
from layfigure.pipeline.folder import CostumeFolder
from layfigure.pipeline.review import review

FIRST_MARKS = 16
"""Points that fix the figure of one front picture well enough to begin with."""

FIRST_TAPES = 4
"""Stature, bust or chest, waist, hip."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """How far a costume is. marks : points of the body set on pictures. tapes : taken, by wearer.

    moment : of the page that comes next. words : what to do there. remarks : what may want mending.
    """

    pictures: int
    marks: int
    tapes: Mapping[str, int]
    edges: int
    pieces: int
    moment: str
    words: str
    remarks: tuple[str, ...]

    def as_data(self) -> dict[str, Any]:
        """For a page."""
        return {
            "pictures": self.pictures,
            "marks": self.marks,
            "tapes": dict(self.tapes),
            "edges": self.edges,
            "pieces": self.pieces,
            "next": {"moment": self.moment, "words": self.words},
            "remarks": list(self.remarks),
        }


def standing(folder: CostumeFolder) -> Standing:
    """How far a costume is. Raises DraftError for its pieces; a wearer who cannot be read is a remark."""
    marks = folder.marks
    pictures = marks.pictures if marks is not None else ()
    points = sum(len(picture.landmarks) for picture in pictures)
    wearers: list[Wearer] = []
    troubles: list[str] = []
    for name in folder.wearers:
        try:
            wearers.append(folder.wearer(name))
        except LayfigureError as error:
            troubles.append(str(error))
    found = review(folder, wearers)
    tapes = {wearer.name: len(wearer.measures) for wearer in wearers}
    moment, words = _next(
        pictures=len(pictures),
        points=points,
        marked=bool(folder.costume.marked_slugs()),
        edges=found.edges,
        pieces=found.pieces,
        tapes=max(tapes.values(), default=0),
    )
    return Standing(
        pictures=len(pictures),
        marks=points,
        tapes=tapes,
        edges=found.edges,
        pieces=found.pieces,
        moment=moment,
        words=words,
        remarks=(*troubles, *found.remarks),
    )


def _next(
    *, pictures: int, points: int, marked: bool, edges: int, pieces: int, tapes: int
) -> tuple[str, str]:
    """The moment that comes next, and what to do there."""
    if not pictures and not edges:
        return "look", "Drop in a picture of the character."
    if marked and points < FIRST_MARKS:
        return "look", f"Set {FIRST_MARKS - points} more points of the body on a picture."
    if tapes < FIRST_TAPES:
        return "measure", f"Take {FIRST_TAPES - tapes} more tapes: stature, bust or chest, waist, hip."
    if not pieces:
        return "costume", "Say what the costume is made of: add a first piece."
    return "cut", "Everything can be drafted: look at the pieces, then print."
