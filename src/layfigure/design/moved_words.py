"""Words for an edge that was moved on a body: the same words with other numbers, as a maker would write them.

An edge is held by its *grips*: the whole line, its height at one side, a point, or where it begins and ends.
What is not moved keeps the maker's own words.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from layfigure.design.relative_words import RelativeEdge
from layfigure.design.words import ALONG, ROUND, Height, WordEdge, height_of
from layfigure.design.words_on_body import LEAST_ALONG, Ruler
from layfigure.errors import PlacementError
from layfigure.units import format_length, format_share

Points = NDArray[np.float64]
Unit = Literal["cm", "in"]

LEAST: dict[Unit, float] = {"cm": 0.5, "in": 25.4 / 32}
"""Half of the smallest length that is written [mm]: what is less is nothing."""

NAMED_WAY = 0.002
"""A line no further round than this from front, back or a side is said by it [share of the girth]."""

_POINT = re.compile(r"(pointing|with a point) (up|down) (.+?) (at|on) (the )?(\w+)( side)?", re.IGNORECASE)
_SLANT = re.compile(r"(.+?) (higher|lower) (at|on|in) (the )?(\w+)( side)?", re.IGNORECASE)
_BETWEEN = re.compile(r"(.+?)( of the way)? (from|between) (.+)", re.IGNORECASE)
_END = re.compile(r"(.*?)\b((?:the )?(?:top|bottom) of .+)", re.IGNORECASE)


@dataclass(frozen=True, slots=True, kw_only=True)
class Grip:
    """A place where an edge can be held.

    name : ``line``, ``slant back``, ``lift 0`` (of the points and slants said), ``first`` or ``last``;
    ``top`` or ``bottom`` of a line along a limb. at : way round where it sits, or along such a line the
    share of the way down it. moves : down and up the limb, or round it. said : in plain words.
    """

    name: str
    at: float
    moves: Literal["down", "round"]
    said: str


def grips(edge: WordEdge | RelativeEdge) -> tuple[Grip, ...]:
    """Where an edge can be held."""
    if isinstance(edge, WordEdge) and edge.bottom is not None:
        return (
            Grip(name="line", at=0.5, moves="round", said="the whole line"),
            Grip(name="top", at=0.0, moves="down", said="its upper end"),
            Grip(name="bottom", at=1.0, moves="down", said="its lower end"),
        )
    # Right round, the whole line is held between two sides, which have a height of their own.
    middle = 0.5 * sum(edge.span) % 1.0 if edge.span else 0.125
    found = [Grip(name="line", at=middle, moves="down", said="the whole line")]
    if isinstance(edge, RelativeEdge) and edge.way != "level":
        return tuple(found)
    for number, lift in enumerate(edge.lifts):
        what = f"its {'point' if lift.sharp else 'height'} at the {_direction(lift.at, edge.side)}"
        found.append(Grip(name=f"lift {number}", at=lift.at, moves="down", said=what))
    for word in _directions(edge.side):
        if edge.span is None and not any(abs(lift.at - ROUND[word]) < 1e-6 for lift in edge.lifts):
            said = f"its height at the {word}"
            found.append(Grip(name=f"slant {word}", at=ROUND[word], moves="down", said=said))
    if edge.span is not None:
        ends = zip(("first", "last"), edge.span, ("where it begins", "where it ends"), strict=True)
        found += [Grip(name=name, at=at % 1.0, moves="round", said=said) for name, at, said in ends]
    return tuple(found)


def moved(
    edge: WordEdge | RelativeEdge, grip: str, by: float, ruler: Ruler, *, unit: Unit, reach: float = 0.0
) -> str:
    """Words for the edge with one grip moved.

    by : further down the limb [mm], or where a grip moves round further round [share of the girth]. ruler :
    of the limb it lies on. reach : of a line between two, how far down the limb the other lies from the
    edge it is said from [mm]. Raises PlacementError where words cannot follow.
    """
    parts = _parts(edge.text)
    if isinstance(edge, WordEdge) and edge.bottom is not None:
        return _along_moved(edge, parts[0], grip, by, ruler, unit)
    if grip == "line":
        parts = _line_moved(edge, parts, by, ruler, unit, reach)
    elif grip in ("first", "last"):
        parts = _end_moved(edge, parts, grip, by)
    elif grip.startswith("lift "):
        parts = _lift_moved(edge, parts, int(grip.removeprefix("lift ")), by, unit)
    elif grip.startswith("slant ") and grip.removeprefix("slant ") in ROUND:
        if abs(by) >= LEAST[unit]:
            parts.append(_slant(-by, grip.removeprefix("slant "), unit))
    else:
        raise PlacementError(f"an edge has no {grip!r} to be held by.")
    return ", ".join(parts)


def both_ways(edge: WordEdge, ruler: Ruler, *, unit: Unit) -> dict[str, str]:
    """The edge said by a length from the nearest level, and by a share between two: ``length``, ``share``.

    Nothing for a line along a limb.
    """
    if edge.bottom is not None:
        return {}
    position, rest = ruler.position(edge.top), _parts(edge.text)[1:]
    said = {"length": by_length(position, ruler, unit=unit), "share": by_share(position, ruler)}
    return {way: ", ".join([words, *rest]) for way, words in said.items()}


def by_length(position: float, ruler: Ruler, *, unit: Unit, level: str = "") -> str:
    """A height [mm down the ruler] said from a level, by default the nearest: ``12 cm above the knee``."""
    name = level or ruler.names[int(np.argmin(np.abs(ruler.down - position)))]
    below = position - float(ruler.down[ruler.names.index(name)])
    if abs(below) < LEAST[unit]:
        return f"at the {_level(name)}"
    return f"{format_length(abs(below), unit)} {'below' if below > 0.0 else 'above'} the {_level(name)}"


def by_share(position: float, ruler: Ruler) -> str:
    """A height said as a share between the levels on either side: ``38 % from crotch to knee``."""
    last = int(np.clip(np.searchsorted(ruler.down, position), 1, len(ruler.down) - 1))
    above, below = float(ruler.down[last - 1]), float(ruler.down[last])
    share = float(np.clip((position - above) / (below - above), 0.0, 1.0))
    return f"{format_share(share)} from {_level(ruler.names[last - 1])} to {_level(ruler.names[last])}"


def nearest_words(
    positions: Points, around: Points, ruler: Ruler, side: str, *, unit: Unit
) -> tuple[str, float]:
    """Words for a level or slanted line nearest to one that runs right round, and how far off it is at most.

    positions, around : (n,) of the line, down the ruler [mm] and way round. Returns words and [mm].
    """
    angle = 2.0 * np.pi * around
    columns = np.stack([np.ones(len(angle)), np.cos(angle), np.sin(angle)], axis=1)
    (level, front, outside), *_ = np.linalg.lstsq(columns, positions, rcond=None)
    parts: list[str] = []
    turned = 0.0
    for amount, (toward, away) in ((front, ("front", "back")), (outside, _sides(side))):
        # A slant lifts its own side by all of it and the other by nothing.
        if 2.0 * abs(amount) >= LEAST[unit]:
            parts.append(_slant(2.0 * abs(amount), toward if amount < 0.0 else away, unit))
            turned += abs(amount)
    position = float(level + turned)
    miss = float(np.abs(columns @ (level, front, outside) - positions).max())
    return ", ".join([by_share(position, ruler), *parts]), miss


def nearest_along(positions: Points, around: Points, ruler: Ruler, side: str, *, unit: Unit) -> str:
    """Words for a line along a limb nearest to an open one: its own two ends, at the mean way round.

    positions, around : (n,) of the line in order, down the ruler [mm] and way round as ``ruler`` counts it.
    Raises PlacementError for a line that the limb has no room for.
    """
    low, high = float(ruler.down[0]), float(ruler.down[-1])
    ends = sorted(float(np.clip(end, low, high)) for end in (positions[0], positions[-1]))
    if ends[1] - ends[0] < LEAST_ALONG:
        raise PlacementError("its two ends lie at one height.", advice="Move it where it was traced.")
    # A stretch counts by how far it leads down: what turns aside at an end tells little of the way.
    weight = np.abs(np.diff(positions))
    turn = np.exp(2j * np.pi * around)
    mean = weight @ (turn[1:] + turn[:-1])
    way = float(np.angle(mean) / (2.0 * np.pi)) % 1.0
    said = [by_length(end, ruler, unit=unit).removeprefix("at the ") for end in ends]
    return f"along {_way(way, side)} from {said[0]} to {said[1]}"


def _line_moved(
    edge: WordEdge | RelativeEdge, parts: list[str], by: float, ruler: Ruler, unit: Unit, reach: float
) -> list[str]:
    if isinstance(edge, RelativeEdge):
        return _relative_moved(edge, parts, by, unit, reach)
    top = edge.top
    position = ruler.position(top) + by
    if top.first != top.last:
        ends = [float(ruler.down[ruler.names.index(name)]) for name in (top.first, top.last)]
        share = (position - ends[0]) / (ends[1] - ends[0])
        if 0.0 <= share <= 1.0:
            return [f"{format_share(share)} from {_level(top.first)} to {_level(top.last)}", *parts[1:]]
        return [by_length(position, ruler, unit=unit), *parts[1:]]
    ruler.place(position)
    return [by_length(position, ruler, unit=unit, level=_level_kept(top, position, ruler)), *parts[1:]]


def _level_kept(height: Height, position: float, ruler: Ruler) -> str:
    """The level a height was said from; none beyond the next, as nobody would measure from it any more."""
    here = ruler.names.index(height.last)
    low, high = ruler.down[max(here - 1, 0)], ruler.down[min(here + 1, len(ruler.down) - 1)]
    return height.last if low <= position <= high else ""


def _along_moved(edge: WordEdge, words: str, grip: str, by: float, ruler: Ruler, unit: Unit) -> str:
    """A line along a limb taken round it, or one of its ends moved."""
    found = ALONG.fullmatch(words)
    assert found is not None
    assert edge.bottom is not None
    way = f"the {found['way']}" if found["way"] else f"{found['share']} round"
    ends = {"first": found["first"], "last": found["last"]}
    if grip == "line":
        way = _way((edge.around + by) % 1.0, edge.side)
    elif grip in ("top", "bottom"):
        heights = {"top": edge.top, "bottom": edge.bottom}
        downs = {name: ruler.position(height) for name, height in heights.items()}
        downs[grip] += by
        ruler.place(downs[grip])
        if downs["bottom"] - downs["top"] < LEAST_ALONG:
            raise PlacementError("its two ends would meet.", advice="Move the other end first.")
        # Words may name the lower end first.
        downward = replace(height_of(ends["first"].lower()), chain=edge.top.chain) == edge.top
        which = "first" if (grip == "top") == downward else "last"
        level = _level_kept(heights[grip], downs[grip], ruler)
        ends[which] = by_length(downs[grip], ruler, unit=unit, level=level).removeprefix("at the ")
    else:
        raise PlacementError(f"an edge has no {grip!r} to be held by.")
    return f"{found['how']} {way} from {ends['first']} to {ends['last']}"


def _relative_moved(edge: RelativeEdge, parts: list[str], by: float, unit: Unit, reach: float) -> list[str]:
    if edge.way == "between":
        found = _BETWEEN.fullmatch(parts[0])
        if found is None or abs(reach) < 1.0:
            raise PlacementError("the two lie at one height.", advice="Say the edge from one of them.")
        share = edge.share + by / reach
        if not 0.0 <= share <= 1.0:
            raise PlacementError(
                "it would leave what it lies between.",
                advice="Say it from one of the two, as '2 cm below …'.",
            )
        # Words that name the edge second count from the other end.
        share = 1.0 - share if _named_second(edge, parts[0]) else share
        return [f"{format_share(share)} {found[3]} {found[4]}", *parts[1:]]
    below = edge.below + by
    little = abs(below) < LEAST[unit]
    off = f"{format_length(abs(below), unit)} {'below' if below > 0.0 else 'above'}"
    if edge.way == "level":
        found = _END.fullmatch(parts[0])
        assert found is not None
        return [f"{'level with' if little else off} {found[2]}", *parts[1:]]
    along = re.fullmatch(r"along .+", parts[0], re.IGNORECASE)
    if along is not None:
        return [parts[0], *([] if little else [off])]
    base = re.split(r"\b(?:above|below|over|under)\b", parts[0], maxsplit=1, flags=re.IGNORECASE)[1].strip()
    return [f"along {base}" if little else f"{off} {base}"]


def _named_second(edge: RelativeEdge, words: str) -> bool:
    """Whether the edge a line is said from was named last: ``20 % from knee to shin_top``."""
    if isinstance(edge.other, str):
        return False
    name = re.escape(edge.base.removesuffix("_left").removesuffix("_right")).replace("_", "[ _]")
    return re.search(rf"\b(?:to|and)\b (?:the )?{name}", words, re.IGNORECASE) is not None


def _end_moved(edge: WordEdge | RelativeEdge, parts: list[str], grip: str, by: float) -> list[str]:
    assert edge.span is not None
    ends = [edge.span[0] + (by if grip == "first" else 0.0), edge.span[1] + (by if grip == "last" else 0.0)]
    if not 0.01 <= ends[1] - ends[0] <= 0.99:
        raise PlacementError(
            "its two ends would meet.", advice="Leave out how far round it runs to let it run right round."
        )
    said = f"from {format_share(ends[0] % 1.0)} to {format_share(ends[1] % 1.0)} round"
    ranges = [said if re.match(r"(only )?from ", part, re.IGNORECASE) else part for part in parts[1:]]
    return [parts[0], *ranges]


def _lift_moved(
    edge: WordEdge | RelativeEdge, parts: list[str], number: int, by: float, unit: Unit
) -> list[str]:
    lifting = [k for k, part in enumerate(parts) if k and (_POINT.fullmatch(part) or _SLANT.fullmatch(part))]
    if number >= len(edge.lifts) or len(lifting) != len(edge.lifts):
        raise PlacementError("the edge has no such point.", advice="Look at it again.")
    lift, place = edge.lifts[number], lifting[number]
    up = lift.up - by
    if abs(up) < LEAST[unit]:
        return [part for k, part in enumerate(parts) if k != place]
    point = _POINT.fullmatch(parts[place])
    if point is not None:
        way = "up" if up > 0.0 else "down"
        new = f"{point[1]} {way} {format_length(abs(up), unit)} {point[4]} the {point[6]}"
    else:
        new = _slant(up, _direction(lift.at, edge.side), unit)
    return [new if k == place else part for k, part in enumerate(parts)]


def _slant(up: float, word: str, unit: Unit) -> str:
    return f"{format_length(abs(up), unit)} {'higher' if up > 0.0 else 'lower'} at the {word}"


def _parts(text: str) -> list[str]:
    """The maker's words between commas, as she wrote them."""
    return [part.strip() for part in re.split(r",(?!\d)", re.sub(r"\s+", " ", text.strip()))]


def _level(name: str) -> str:
    return name.replace("_", " ")


def _sides(side: str) -> tuple[str, str]:
    return ("left", "right") if side == "middle" else ("outside", "inside")


def _directions(side: str) -> Sequence[str]:
    return ("front", _sides(side)[0], "back", _sides(side)[1])


def _way(around: float, side: str) -> str:
    """A way round in words: ``the outside``, ``30 % round``."""
    near = _direction(around, side)
    named = abs((ROUND[near] - around + 0.5) % 1.0 - 0.5) < NAMED_WAY
    return f"the {near}" if named else f"{format_share(around)} round"


def _direction(at: float, side: str) -> str:
    return min(_directions(side), key=lambda word: abs((ROUND[word] - at + 0.5) % 1.0 - 0.5))
