"""What a pouch must hold: how it lies inside, how large that makes it, and whether each thing fits."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass

from layfigure.draft.pouch.options import ContentOptions, PouchOptions
from layfigure.errors import DraftError


@dataclass(frozen=True, slots=True, kw_only=True)
class Content:
    """One thing, upright: its breadth across, its depth front to back, its height [mm]."""

    name: str
    breadth: float
    depth: float
    height: float
    round: bool

    @property
    def girth(self) -> float:
        """Of a tape round it, level [mm]."""
        return math.pi * self.breadth if self.round else 2.0 * (self.breadth + self.depth)


@dataclass(frozen=True, slots=True, kw_only=True)
class Inside:
    """Room inside a pouch [mm], clearance counted."""

    width: float
    depth: float
    height: float


def every_content(options: Sequence[ContentOptions]) -> tuple[Content, ...]:
    """Each thing by itself, in order."""
    things = []
    for each in options:
        breadth = each.diameter or each.width or 0.0
        thing = Content(
            name=each.name,
            breadth=breadth,
            depth=each.diameter or each.thickness or 0.0,
            height=each.length,
            round=each.diameter is not None,
        )
        things += [thing] * each.count
    return tuple(things)


def inside_for(options: PouchOptions, things: Sequence[Content], where: str) -> Inside:
    """Room a box or flat pouch needs. Raises DraftError where neither contents nor sizes say."""
    given = (options.inside_width, options.inside_depth, options.inside_height)
    if not things and None in given:
        raise DraftError(
            "nothing says what must fit in it.",
            where=where,
            advice="List its contents, or give inside_width, inside_depth and inside_height.",
        )
    width, depth, height = _packed(options, things) if things else (0.0, 0.0, 0.0)
    room = options.clearance if things else 0.0
    return Inside(
        width=options.inside_width or width + room,
        depth=options.inside_depth or depth + room,
        height=options.inside_height or height + room,
    )


def _packed(options: PouchOptions, things: Sequence[Content]) -> tuple[float, float, float]:
    """Width, depth and height of the contents side by side or one before the other [mm]."""
    height = max(thing.height for thing in things)
    row = (sum(t.breadth for t in things), max(t.depth for t in things))
    stack = (max(t.breadth for t in things), sum(t.depth for t in things))
    if options.arrangement == "row":
        lying = row
    elif options.arrangement == "stack":
        lying = stack
    else:
        # The smaller footprint; among equals the flatter one, which lies better on a hip.
        lying = min(row, stack, key=lambda size: (round(size[0] * size[1], 3), size[1]))
    return (*lying, height)


def room_around(thing: Content, inside: Inside, *, soft: bool) -> float:
    """Least room a thing has by itself, turned as it fits best [mm]; negative where it does not go in.

    soft : a flat pouch bulges: what counts is the tape round thing and pouch.
    """
    if soft:
        around = 0.5 * (2.0 * (inside.width + inside.depth) - thing.girth)
        return min(around, inside.height - thing.height)
    sizes = (thing.breadth, thing.depth, thing.height)
    room = (inside.width, inside.depth, inside.height)
    turns = itertools.permutations(sizes)
    return max(min(r - s for r, s in zip(room, turned, strict=True)) for turned in turns)


def pocket_widths(things: Sequence[Content], clearance: float) -> tuple[float, ...]:
    """Width between the stitch lines of a roll's pockets, one for each thing [mm].

    Two layers sewn at both sides hold what a tape round them does: half its girth, and room.
    """
    return tuple(0.5 * thing.girth + clearance for thing in things)


def rolled_diameter(things: Sequence[Content], length: float, layers: float) -> float:
    """Thickness of a roll [mm], from the areas of what lies in it and of its cloth, loosely rolled.

    length : of the cloth rolled up. layers : thickness of all of it together [mm]. Round things side by
    side fill about three quarters of their place (common practice, no source).
    """
    held = sum(
        0.25 * math.pi * thing.breadth**2 if thing.round else thing.breadth * thing.depth for thing in things
    )
    return math.sqrt(4.0 / math.pi * (held / 0.75 + length * layers))
