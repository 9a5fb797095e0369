"""What can be cut from two layers at once, with the cloth folded lengthwise, and what is cut singly after it.

Common practice, no source: left and right are cut together from two layers, a piece alike on both sides is
cut
on the fold from its half, and whatever has no mate is cut from one layer when the fold is opened.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Polygon

from layfigure.lay.layout import least_length
from layfigure.lay.part import Part

Points = NDArray[np.float64]

ALIKE = 0.5
"""Two outlines are one when they are nowhere farther apart than this [mm]: as well as shears follow a
line.
"""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FoldPlan:
    """Parts for the folded stretch, each copy cutting two layers, and for the single layer after it."""

    folded: tuple[Part, ...]
    single: tuple[Part, ...]


def plan_fold(parts: Sequence[Part], half_width: float) -> FoldPlan:
    """Share parts out between folded and single cloth. half_width : of the folded cloth, selvedge off [mm].

    A piece drafted on the fold, and any other that is its own mirror image along the grain, is cut on the
    fold from its half; two of those, and a piece with its mirror image, are cut from two layers.
    """
    folded: list[Part] = []
    single: list[Part] = []
    # What of each part is still to be cut: lying as drawn, and turned over.
    left: dict[str, list[int]] = {}
    for part in parts:
        left[part.slug] = [part.count - part.mirrored, part.mirrored]
        own = symmetric_half(part)
        if own is not None:
            _cut_alike(part, own, half_width, left, folded)
    asymmetric = [part for part in parts if sum(left[part.slug]) and _fits(part, half_width)]
    for index, part in enumerate(asymmetric):
        _cut_pairs(part, asymmetric[index:], left, folded)
    for part in parts:
        plain, over = left[part.slug]
        if plain + over:
            single.append(replace(part, count=plain + over, mirrored=over))
    return FoldPlan(folded=tuple(folded), single=tuple(single))


def _cut_alike(
    part: Part, half: Points, half_width: float, left: dict[str, list[int]], folded: list[Part]
) -> None:
    """Lay a part that is its own mirror image: two at once from two layers, an odd one on the fold."""
    pairs, odd = divmod(sum(left[part.slug]), 2)
    cuts = part.cuts or (part.slug,)
    if pairs and _fits(part, half_width):
        folded.append(replace(part, slug=f"{part.slug}+", count=pairs, mirrored=0, cuts=cuts * 2))
        left[part.slug] = [odd, 0]
    on_fold = replace(
        part,
        slug=f"{part.slug}/2",
        outline=half,
        count=sum(left[part.slug]),
        mirrored=0,
        on_fold=True,
        cuts=cuts,
    )
    if on_fold.count and part.turns is not None and _fits(on_fold, half_width):
        # Turned round it would lie on the wrong side of the fold.
        folded.append(replace(on_fold, turns=(0.0,)))
        left[part.slug] = [0, 0]


def _cut_pairs(part: Part, others: Sequence[Part], left: dict[str, list[int]], folded: list[Part]) -> None:
    """Lay a part together with its mirror images: its own turned copies first, then other parts."""
    plain, over = left[part.slug]
    own = min(plain, over)
    cuts: Counter[str] = Counter()
    if own:
        cuts[part.slug] = own
        left[part.slug] = [plain - own, over - own]
        folded.append(
            replace(part, slug=f"{part.slug}+", count=own, mirrored=0, cuts=(part.cuts or (part.slug,)) * 2)
        )
    for other in others:
        if other.slug == part.slug or other.turns != part.turns or other.match != part.match:
            continue
        # As drawn they are mirror images; then one of each comes out of two layers.
        shared = min(left[part.slug][0], left[other.slug][0])
        if shared and alike(part.outline, other.outline * [1.0, -1.0]):
            left[part.slug][0] -= shared
            left[other.slug][0] -= shared
            both = (*(part.cuts or (part.slug,)), *(other.cuts or (other.slug,)))
            folded.append(
                replace(
                    part,
                    slug=f"{part.slug}+{other.slug}",
                    label=f"{part.label} and {other.label}",
                    count=shared,
                    mirrored=0,
                    cuts=both,
                )
            )


def _fits(part: Part, half_width: float) -> bool:
    return bool(np.isfinite(least_length(part, half_width)))


def alike(first: Points, second: Points) -> bool:
    """Whether two outlines laid box on box are one, within ``ALIKE``."""
    if np.abs(np.ptp(first, axis=0) - np.ptp(second, axis=0)).max() > 2.0 * ALIKE:
        return False
    one, two = (Polygon(outline - outline.min(axis=0)) for outline in (first, second))
    if abs(float(one.area) - float(two.area)) > ALIKE * float(one.length):
        return False
    return _apart(one, two) <= ALIKE and _apart(two, one) <= ALIKE


def _apart(one: Polygon, other: Polygon) -> float:
    """How far the corners of one outline lie from another at most [mm]."""
    corners = shapely.points(shapely.get_coordinates(one.exterior))
    return float(shapely.distance(corners, other.exterior).max())


def symmetric_half(part: Part) -> Points | None:
    """The half of a part that is its own mirror image along the grain, its middle line at y = 0; else
    None.
    """
    outline = part.outline
    if not alike(outline, outline * [1.0, -1.0]):
        return None
    middle = 0.5 * float(outline[:, 1].min() + outline[:, 1].max())
    west, east = float(outline[:, 0].min()) - 1.0, float(outline[:, 0].max()) + 1.0
    upper = shapely.intersection(
        Polygon(outline), shapely.box(west, middle, east, float(outline[:, 1].max()) + 1.0)
    )
    if not isinstance(upper, Polygon) or upper.interiors:
        return None
    ring = shapely.get_coordinates(shapely.orient_polygons(upper).exterior)[:-1]
    half: Points = np.asarray(ring, dtype=np.float64) - [0.0, middle]
    half[:, 1] = np.maximum(half[:, 1], 0.0)
    return half
