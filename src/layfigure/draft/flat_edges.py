"""Edges of flat pieces whose shape is drawn, not unrolled: straight runs, bows, and outlines by corners."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from layfigure.draft.wrap.outline import straight
from layfigure.piece.piece import EdgeRole, Grainline, InnerLine, LineKind, Notch, PieceEdge

Points = NDArray[np.float64]
Place = tuple[float, float]


def straight_edge(
    slug: str,
    start: Place | Points,
    end: Place | Points,
    role: EdgeRole,
    allowance: float,
    *,
    seam: str | None = None,
    against: bool = False,
    notches: tuple[Notch, ...] = (),
) -> PieceEdge:
    """A straight edge from corner to corner [mm]."""
    return PieceEdge(
        slug=slug,
        curve=straight(np.asarray(start, dtype=np.float64), np.asarray(end, dtype=np.float64)),
        role=role,
        allowance=allowance,
        seam=seam,
        against=against,
        notches=notches,
    )


def rectangle(
    width: float,
    height: float,
    *,
    bottom: tuple[EdgeRole, float],
    right: tuple[EdgeRole, float],
    top: tuple[EdgeRole, float],
    left: tuple[EdgeRole, float],
) -> tuple[PieceEdge, ...]:
    """A rectangle from the origin [mm]; each side with its role and allowance."""
    corners: Sequence[Place] = ((0.0, 0.0), (width, 0.0), (width, height), (0.0, height))
    sides = (("bottom", bottom), ("right", right), ("top", top), ("left", left))
    return tuple(
        straight_edge(slug, corners[k], corners[(k + 1) % 4], role, allowance)
        for k, (slug, (role, allowance)) in enumerate(sides)
    )


def inner(kind: LineKind, start: Place, end: Place, label: str = "") -> InnerLine:
    """A straight line drawn on a piece."""
    return InnerLine(kind=kind, curve=np.array([start, end]), label=label)


def grain(start: Place, end: Place, *, has_grain: bool = True) -> Grainline:
    """Along the selvedge, or for a sheet without a direction just which way it is drawn."""
    return Grainline(start=start, end=end, kind="grain" if has_grain else "any")
