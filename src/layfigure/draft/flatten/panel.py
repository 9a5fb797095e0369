"""A panel of cloth on the body, before and after it is made flat."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Points = NDArray[np.float64]
Indices = NDArray[np.int64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PanelEdge:
    """One edge of a panel's outline, corner to corner.

    slug : name on this panel. vertices : (k,) indices along the loop, both corners included.
    seam : identity shared by its mate; None for an opening. against : this use runs against the seam.
    straight : must be straight when flat (a fold).
    """

    slug: str
    vertices: Indices
    seam: str | None = None
    against: bool = False
    straight: bool = False


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Panel:
    """A meshed panel lying on the Form in the drafting pose.

    vertices : (n, 3) [mm]. faces : (m, 3), counter-clockwise from outside the body.
    outline : edges in loop order, counter-clockwise from outside; each starts at the corner where the one
        before ends. No face has three outline vertices.
    around : (m, 3) unit vectors in each face, the direction round the body (greatest stretch is laid there).
    side_lengths : (m, 3) lengths of the face's sides opposite each corner along the true surface
        (curvature-corrected) [mm], or None to use the chords.
    """

    slug: str
    vertices: Points
    faces: Indices
    outline: tuple[PanelEdge, ...]
    around: Points
    side_lengths: Points | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Ease:
    """What is added to the body's size, as a share: negative for knits, round the body and along it."""

    around: float
    along: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FlatPanel:
    """A panel made flat.

    panel : as it lies on the body. vertices : (n, 2) flat [mm], faces as on the panel, none flipped.
    curves : edge slug to (k, 2) its trued stitch line, finely sampled, in loop order [mm]; mates have
        equal arc length between every pair of notches.
    stretch : (m, 2) smallest and greatest stretch of each face from flat to worn, less the ease asked for
        (0 is exact). corner_angles : as cut, (number of corners,) [rad].
    """

    panel: Panel
    vertices: Points
    curves: dict[str, Points]
    stretch: Points
    corner_angles: Points
