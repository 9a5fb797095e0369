"""What the maker marked on one picture, as plain arrays: the study's whole input.

Pixel coordinates run right and down from the picture's upper left corner, as pictures are stored.
``left`` and ``right`` are always the character's own, never the picture's.
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
    """Points on the visible edge of one region.

    region : full name, such as ``thigh_left``. points : (k, 2) [px].
    hidden : the outline is the costume's (hair, skirt, armour), and the body lies somewhere inside it.
    """

    region: str
    points: Points
    hidden: bool = False


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class EdgeMarks:
    """One edge of the costume, or one stretch of it, as seen in one picture.

    slug : the edge's name in the design. points : (k, 2) [px], in order along the edge.
    regions : full names of the regions the edge lies on; empty means whichever the ray meets first.
    closed : the last point runs back to the first *within this picture* (a window seen whole).
    corners : indices of points that must stay sharp.
    """

    slug: str
    points: Points
    regions: tuple[str, ...] = ()
    closed: bool = False
    corners: frozenset[int] = frozenset()


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PictureMarks:
    """Everything marked on one picture.

    name : the picture's name, for messages. view : ``front`` shows the character's front, ``left`` the
    character's left side, ``free`` anything else (three-quarter). size : width and height [px].
    landmarks : name (see ``study.landmarks``) to (2,) place [px].
    yaw : for a free view, roughly how far the camera was walked round from the front toward the
        character's left side [degrees], when the maker says so.
    """

    name: str
    view: View
    size: tuple[int, int]
    landmarks: Mapping[str, Points] = field(default_factory=dict)
    outlines: tuple[OutlineMarks, ...] = ()
    edges: tuple[EdgeMarks, ...] = ()
    yaw: float | None = None

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
