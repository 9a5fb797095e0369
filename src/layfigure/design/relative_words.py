"""Placement in words relative to another edge of the costume: ``2 cm below shin_top``.

What can be said, NAME being an edge or motif of the same costume::

    the same line moved             2 cm below shin_top · along belt, 3 cm below · along belt
    between two                     halfway between guard_top and wrist · 30 % from shin_top to shin_bottom
    a level line at its end         level with the bottom of window_3 · 2 cm above the top of belt

A word for a level of the body always means the body. Words stay a rule until a wearer is known
(``design.relative_on_body``).
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from layfigure.body.levels import Side
from layfigure.design.words import (
    Height,
    Lift,
    WordEdge,
    height_of,
    is_level,
    modifiers,
    parse_words,
    parts_of,
    share_of,
)
from layfigure.errors import PlacementError, UnitError
from layfigure.units import parse_length

Way = Literal["moved", "between", "level"]


@dataclass(frozen=True, slots=True, kw_only=True)
class RelativeEdge:
    """An edge said relative to another, before a wearer is known.

    way : the other's line moved, a line between it and something, or a level line at its top or bottom.
    base : slug of the other edge. other : what ``between`` ends at, an edge's slug or a level. share : of the
    way there. below : further down the limb [mm]. at_bottom : the level is that of its lowest point.
    span, lifts : of a level line, as in ``WordEdge``.
    """

    slug: str
    text: str
    side: Side
    way: Way
    base: str
    other: str | Height | None = None
    share: float = 0.0
    below: float = 0.0
    at_bottom: bool = False
    span: tuple[float, float] | None = None
    lifts: tuple[Lift, ...] = ()

    @property
    def bases(self) -> tuple[str, ...]:
        """Every edge it is said from."""
        return (self.base, self.other) if isinstance(self.other, str) else (self.base,)


def parse_placement(
    text: str, *, edges: Mapping[str, str], slug: str = "", side: Side = "middle", where: str = ""
) -> WordEdge | RelativeEdge:
    """Read a placement in words, on the body alone or relative to another edge.

    edges : the costume's edges, name as written to slug on this side. Raises PlacementError with what could
    be said instead.
    """
    try:
        relative = _relative(text, parts_of(text), slug, side, edges)
    except (PlacementError, UnitError) as error:
        place = where or (f"edge {slug}" if slug else "")
        advice = error.advice or "Say, for example, '2 cm below shin_top'."
        raise PlacementError(error.what, where=place, advice=advice) from None
    return relative or parse_words(text, slug=slug, side=side, where=where, others=edges)


def _relative(
    text: str, parts: list[str], slug: str, side: Side, edges: Mapping[str, str]
) -> RelativeEdge | None:
    """Words that name another edge; None where they name none."""
    known = {name.replace("_", " "): target for name, target in edges.items() if not is_level(name)}

    def named(words: str) -> str | None:
        return known.get(words.strip().removeprefix("the ").replace("_", " "))

    end = re.fullmatch(r"(.*?)\b(?:the )?(top|bottom) of (.+)", parts[0])
    if end and (base := named(end[3])):
        span, lifts = modifiers(parts[1:], side)
        return RelativeEdge(
            slug=slug,
            text=text,
            side=side,
            way="level",
            base=base,
            at_bottom=end[2] == "bottom",
            below=_offset(end[1].strip()),
            span=span,
            lifts=lifts,
        )
    between = re.fullmatch(r"(.+?) (?:of the way )?(?:from|between) (.+?) (?:to|and) (.+)", parts[0])
    if between:
        first, last = named(between[2]), named(between[3])
        if first or last:
            _refuse_more(parts[1:])
            share = share_of(between[1])
            turned = first is None
            other = last if first and last else height_of(between[2] if turned else between[3])
            return RelativeEdge(
                slug=slug,
                text=text,
                side=side,
                way="between",
                base=first or last or "",
                other=other,
                share=1.0 - share if turned else share,
            )
    along = re.fullmatch(r"along (.+)", parts[0])
    if along and (base := named(along[1])):
        _refuse_more(parts[2:])
        below = _offset(parts[1]) if parts[1:] else 0.0
        return RelativeEdge(slug=slug, text=text, side=side, way="moved", base=base, below=below)
    off = re.fullmatch(r"(.+? (?:above|below|over|under)) (.+)", parts[0])
    if off and (base := named(off[2])):
        _refuse_more(parts[1:])
        return RelativeEdge(slug=slug, text=text, side=side, way="moved", base=base, below=_offset(off[1]))
    return None


def _offset(words: str) -> float:
    """How far down ``3 cm below`` is [mm]; nothing, or ``level with``, is 0."""
    if words in ("", "at", "on", "level with"):
        return 0.0
    off = re.fullmatch(r"(.+?) (above|below|over|under)", words)
    if off is None:
        raise PlacementError(
            f"{words!r} is no distance from another edge.", advice="Say '3 cm below' or '2 cm above'."
        )
    return parse_length(off[1]) * (1.0 if off[2] in ("below", "under") else -1.0)


def _refuse_more(parts: list[str]) -> None:
    if parts:
        raise PlacementError(
            f"{parts[0]!r} does not go with a line taken from another edge.",
            advice="Leave it out, or say a level line: 'level with the bottom of …'.",
        )
