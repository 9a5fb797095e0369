"""What the maker marked on every picture, as plain arrays.

Pixels run right and down from the upper left corner of the picture as it is seen, upright.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from layfigure.errors import MarkError

Points = NDArray[np.float64]
View = Literal["front", "back", "left", "right", "free"]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class OutlineMarks:
    """Points on the visible edge of one region, (k, 2) [px].

    hidden : it is the costume's edge (hair, skirt, armour); the body lies somewhere inside.
    """

    region: str
    points: Points
    hidden: bool = False


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class EdgeMarks:
    """One stretch of an edge of the costume as seen in one picture, (k, 2) [px] in order.

    regions : the regions it lies on, empty for whichever is met. closed : seen whole, back to its first
    point. corners : points that must stay sharp.
    """

    slug: str
    points: Points
    regions: tuple[str, ...] = ()
    closed: bool = False
    corners: frozenset[int] = frozenset()


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PictureMarks:
    """Everything marked on one picture.

    file : as written, relative to the costume's folder, empty where only the marks are kept. view : what it
    shows; ``free`` is anything but straight. size : width and height [px]. landmarks : name to (2,) [px].
    unseen : landmarks the maker cannot see here. yaw : of a free view [degrees] from the front toward the
    character's left. photograph : of a person, so left out when the design is shared.
    """

    name: str
    view: View
    size: tuple[int, int]
    file: str = ""
    landmarks: Mapping[str, Points] = field(default_factory=dict)
    unseen: frozenset[str] = frozenset()
    outlines: tuple[OutlineMarks, ...] = ()
    edges: tuple[EdgeMarks, ...] = ()
    yaw: float | None = None
    photograph: bool = False

    def check(self) -> None:
        """Raise MarkError for marks that are no places, or lie outside the picture."""
        width, height = self.size
        if width <= 0 or height <= 0:
            raise MarkError("the picture has no size.", where=self.name, advice="Load the picture again.")
        named = [(f"landmark {name}", np.atleast_2d(place)) for name, place in self.landmarks.items()]
        named += [(f"outline of {outline.region}", outline.points) for outline in self.outlines]
        named += [(f"edge {edge.slug}", edge.points) for edge in self.edges]
        for what, points in named:
            if points.ndim != 2 or points.shape[1] != 2 or not np.isfinite(points).all():
                raise MarkError(f"{what} is not a list of (x, y) places.", where=self.name)
            outside = (points < 0).any(axis=1) | (points > np.array([width, height])).any(axis=1)
            if outside.any():
                x, y = points[outside][0]
                raise MarkError(
                    f"{what} has a mark at ({x:.0f}, {y:.0f}), outside the picture"
                    f" ({width} by {height} pixels).",
                    where=self.name,
                    advice="Place the mark again, or remove it if it cannot be seen.",
                )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Marks:
    """All marked pictures. missing : picture files that are not there, which the marks do without."""

    pictures: tuple[PictureMarks, ...]
    missing: tuple[str, ...] = ()

    def edge_slugs(self) -> tuple[str, ...]:
        """Every edge marked anywhere, in order of appearance."""
        slugs = (edge.slug for picture in self.pictures for edge in picture.edges)
        return tuple(dict.fromkeys(slugs))
