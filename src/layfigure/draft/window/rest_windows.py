"""Windows cut so that they have the wanted outline when the panel is worn stretched.

A hole in a stretched sheet gapes: nothing holds its edge against the pull, so it opens wider than the cloth
around it stretches. The rest shape that opens to exactly the wanted outline is found backwards: the worn
sheet with the wanted holes is meshed, and the rest places of its vertices are sought at which no force is
left on the holes' edges. Where a backing holds the edge, the window only stretches with the cloth.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import shapely
from numpy.typing import NDArray

from layfigure.draft.flatten.panel import Ease, FlatPanel
from layfigure.draft.flatten.stitch_line import stitch_line
from layfigure.draft.window.membrane import equilibrium
from layfigure.draft.window.membrane_law import NOMINAL, RANGE, MembraneLaw
from layfigure.draft.window.window_mesh import COARSE, sampled_hole, sampled_outline, sheet_with_holes
from layfigure.draft.window.worn_plane import grain_axes, worn_plane
from layfigure.errors import DraftError
from layfigure.piece.piece import Window

Points = NDArray[np.float64]
Indices = NDArray[np.int64]
WantedWindow = tuple[str, Points]

GREATEST_EASE = 0.15
"""Negative ease beyond which the opening of an unbacked window cannot be foretold."""
LEAST_STRIP = 15.0
"""Narrowest strip of cloth beside a window [mm]: narrower ones roll up (common practice, no source)."""
TIP_RADII = (2.0, 4.0, 8.0)
"""Sharp tips of unbacked windows are rounded by the first of these that will do [mm]: the tension at a true
tip tears the cloth, and under much ease even a slit opens wider than a sharp tip should be."""
LEAST_NECK = 0.6


@dataclass(frozen=True, slots=True, kw_only=True)
class WindowSpread:
    """How far a window's worn edge may lie from the wanted one because cloths differ.

    slug : of the window. p95, greatest : over its edge and over the range of ``membrane_law.RANGE`` [mm].
    """

    slug: str
    p95: float
    greatest: float


def rest_windows(
    flat: FlatPanel, windows: Sequence[WantedWindow], ease: Ease, *, backing: bool, law: MembraneLaw = NOMINAL
) -> list[Window]:
    """Windows as they must be cut, in the panel's flat plane.

    windows : slug and (k, 2) closed outline as wanted when worn, counter-clockwise or not, in the worn flat
        plane: the flat plane stretched by the ease, ``worn_plane(flat, ease)`` times flat points.
    ease : as the panel was flattened with. backing : cloth behind holds the edges.
    Returns a window each, its ``curve`` to cut and, point for point, where it lies ``worn``: the wanted
        outline, its tips rounded where no backing holds them.
    Raises DraftError for windows that leave the panel, cross, leave strips too narrow, or, without
    backing, need more than 15 % negative ease.
    """
    to_worn = worn_plane(flat, ease)
    outline = stitch_line(flat) @ to_worn.T
    _refuse(flat, outline, windows)
    to_rest = np.linalg.inv(to_worn)
    slack = max(ease.around, ease.along) >= 0.0 and min(ease.around, ease.along) >= 0.0
    if backing or slack or not windows:
        return [Window(slug=slug, curve=wanted @ to_rest.T, worn=wanted) for slug, wanted in windows]
    if min(ease.around, ease.along) < -GREATEST_EASE - 1e-9:
        raise DraftError(
            f"a window without backing gapes too far to foretell at {-min(ease.around, ease.along):.0%} "
            "negative ease.",
            where=f"{flat.panel.slug}, window {windows[0][0]}",
            advice=f"Give it a backing, or use at most {GREATEST_EASE:.0%}.",
        )
    sheet = _sheet(flat, windows, ease, law)
    return [
        Window(slug=slug, curve=sheet.rest[own] @ sheet.axes, worn=sheet.worn[own] @ sheet.axes)
        for (slug, _), own in zip(windows, sheet.holes, strict=True)
    ]


def window_spreads(flat: FlatPanel, windows: Sequence[WantedWindow], ease: Ease) -> list[WindowSpread]:
    """How far worn edges of unbacked windows stray for cloths other than the nominal one.

    windows, ease : as for :func:`rest_windows`, which is solved again.
    """
    sheet = _sheet(flat, windows, ease)
    moves = np.zeros((len(RANGE), len(sheet.rest)))
    for row, law in enumerate(RANGE):
        worn = equilibrium(
            sheet.rest, sheet.worn, sheet.faces, sheet.free, law.stiffness(), sought="worn", tolerance=0.02
        )
        if worn is None:
            raise DraftError(
                "how far cloths differ in opening the window could not be worked out.",
                where=f"{flat.panel.slug}, window {windows[0][0]}",
                advice="Give it a backing, or use less negative ease.",
            )
        moves[row] = np.linalg.norm(worn - sheet.worn, axis=1)
    return [
        WindowSpread(
            slug=slug, p95=float(np.quantile(moves[:, own], 0.95)), greatest=float(moves[:, own].max())
        )
        for (slug, _), own in zip(windows, sheet.holes, strict=True)
    ]


@dataclass(frozen=True, slots=True, eq=False)
class _Sheet:
    """The panel with its holes, worn and at rest, turned so that x runs round the body.

    axes : (2, 2) rows are the directions round and along in the flat plane. shares : (2,) stretch round and
    along, worn over rest. free : vertices not on the
    outline. holes : vertices of each hole.
    """

    axes: Points
    worn: Points
    rest: Points
    faces: Indices
    free: Indices
    holes: list[Indices]


def _sheet(
    flat: FlatPanel, windows: Sequence[WantedWindow], ease: Ease, law: MembraneLaw = NOMINAL
) -> _Sheet:
    """Solve for the rest shape, with the sharpest tips that can be cut."""
    for radius in TIP_RADII:
        sheet = _solved_sheet(flat, windows, ease, law, radius)
        if sheet is not None:
            return sheet
    raise DraftError(
        "no outline was found that opens to the wanted window: a mere slit would open wider.",
        where=f"{flat.panel.slug}, window {windows[0][0]}",
        advice="Give it a backing, make it wider or its tips blunter, or use less negative ease.",
    )


def _solved_sheet(
    flat: FlatPanel, windows: Sequence[WantedWindow], ease: Ease, law: MembraneLaw, radius: float
) -> _Sheet | None:
    """The sheet for one rounding of tips; None where there is none or its holes would overlap themselves."""
    axes = grain_axes(flat)
    shares = 1.0 / (1.0 + np.array([ease.around, ease.along]))
    # Worn plane in the cloth's own axes: flat points turned, then stretched.
    outline, _ = sampled_outline(stitch_line(flat) @ axes.T * shares, COARSE)
    holes = [
        sampled_hole(_rounded_tips(wanted @ axes.T, radius, f"{flat.panel.slug}, window {slug}"))
        for slug, wanted in windows
    ]
    worn, faces = sheet_with_holes(outline, holes)
    starts = np.cumsum([len(outline), *(len(hole) for hole in holes)])
    free = np.arange(len(outline), len(worn))
    rest = equilibrium(worn / shares, worn, faces, free, law.stiffness(), sought="rest")
    own = [np.arange(a, b) for a, b in pairwise(starts.tolist())]
    if rest is None or not all(_can_be_cut(rest[hole]) for hole in own):
        return None
    return _Sheet(axes=axes, worn=worn, rest=rest, faces=faces, free=free, holes=own)


def _can_be_cut(hole: Points) -> bool:
    """Whether an outline is simple and without a neck thinner than scissors can follow."""
    shape = shapely.Polygon(hole)
    return bool(shape.is_valid and shape.buffer(-0.5 * LEAST_NECK).geom_type == "Polygon")


def _rounded_tips(wanted: Points, radius: float, where: str) -> Points:
    """A window with its tips rounded. Raises DraftError for a slit."""
    shape = shapely.Polygon(wanted)
    blunt = shape.buffer(-radius, quad_segs=8).buffer(radius, quad_segs=8)
    if blunt.geom_type != "Polygon" or blunt.area < 0.7 * shape.area:
        raise DraftError(
            f"the window is hardly wider than {2 * radius:.0f} mm: it is a slit.",
            where=where,
            advice="Widen it, or draw it as a slit.",
        )
    return np.asarray(shapely.geometry.polygon.orient(blunt).exterior.coords)[:-1]


def _refuse(flat: FlatPanel, outline: Points, windows: Sequence[WantedWindow]) -> None:
    """Refuse what cannot be cut: crossing, leaving the panel, strips too narrow."""
    panel = shapely.Polygon(outline)
    shapes: list[tuple[str, shapely.Polygon]] = []
    for slug, wanted in windows:
        where = f"{flat.panel.slug}, window {slug}"
        shape = shapely.Polygon(wanted) if len(wanted) >= 3 else shapely.Polygon()
        if not shape.is_valid or shape.area < 1.0:
            raise DraftError(
                "the window's outline crosses itself or is empty.",
                where=where,
                advice="Draw it again, larger, and clear of where the limb it lies on ends.",
            )
        low, high = shape.bounds[0], shape.bounds[2]
        if not panel.contains(shape):
            trouble = (
                "is wider than its panel"
                if high - low >= panel.bounds[2] - panel.bounds[0]
                else "leaves its panel"
            )
            raise DraftError(
                f"the window {trouble}.", where=where, advice="Make it smaller, or move the seam it crosses."
            )
        if panel.exterior.distance(shape) < LEAST_STRIP:
            raise DraftError(
                f"less than {LEAST_STRIP:.0f} mm of cloth is left between the window and the panel's edge.",
                where=where,
                advice="Move the window, or end the panel at it.",
            )
        for other, before in shapes:
            if before.distance(shape) < LEAST_STRIP:
                raise DraftError(
                    f"less than {LEAST_STRIP:.0f} mm of cloth is left between this window and {other!r}.",
                    where=where,
                    advice="Move them apart, or make one of both.",
                )
        shapes.append((slug, shape))
