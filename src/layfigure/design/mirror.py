"""The same edge on the other side of the body."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from layfigure.body.chart import ChartPoint
from layfigure.body.levels import Side, region_name, split_region
from layfigure.design.design import EdgePoint


def mirrored_points(points: Sequence[EdgePoint]) -> tuple[EdgePoint, ...]:
    """The points on the other side, in the same order.

    On a limb the numbers stay, because the way round of a paired region counts outward; on the trunk, neck
    and head the way round turns about.
    """
    return tuple(replace(point, at=mirrored_place(point.at)) for point in points)


def mirrored_place(at: ChartPoint) -> ChartPoint:
    """The place on the other side."""
    definition, side = split_region(at.region)
    if side == "middle":
        return replace(at, around=-at.around % 1.0)
    return replace(at, region=region_name(definition.name, other_side(side)))


def other_side(side: Side) -> Side:
    """Right for left, left for right."""
    sides: dict[Side, Side] = {"left": "right", "right": "left", "middle": "middle"}
    return sides[side]


def side_of_points(points: Sequence[EdgePoint]) -> Side:
    """The one side all points lie on; ``middle`` when they lie on the trunk or on both."""
    sides = {split_region(point.at.region)[1] for point in points} - {"middle"}
    return sides.pop() if len(sides) == 1 else "middle"
