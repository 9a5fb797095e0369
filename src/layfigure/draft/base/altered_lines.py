"""Alterations drawn on a traced piece: lines to cut along, how far to spread or overlap, and which way."""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import LineString, Polygon

from layfigure.draft.base.alter import Alteration, CrossCut
from layfigure.draft.base.lie import Lie
from layfigure.piece.piece import InnerLine

Points = NDArray[np.float64]

ARROW, HEAD = 14.0, 4.0
"""Half the length of an arrow across a line, and of its head [mm]."""

BESIDE = 8.0
"""Kept between a line to cut and the edges that it ends at [mm]."""


def alteration_lines(alteration: Alteration) -> list[InnerLine]:
    """What to draw on a piece as it is; nothing where it stays as it is."""
    lines: list[InnerLine] = []
    for cut in alteration.cuts:
        lines += _across(alteration, cut)
    if any(move.by for move in alteration.moves):
        lines += _upright(alteration)
    return lines


def _across(alteration: Alteration, cut: CrossCut) -> list[InnerLine]:
    outline = Polygon(alteration.lie.outline)
    level = LineString([(-1e4, cut.height), (1e4, cut.height)])
    ends = shapely.get_coordinates(outline.intersection(level))
    if len(ends) < 2:
        return []
    left, right = float(ends[:, 0].min()), float(ends[:, 0].max())
    line = np.array([[left + BESIDE, cut.height], [right - BESIDE, cut.height]])
    # Short, for it stands among many lines; which measure it is for, the notes say.
    words = f"{'spread' if cut.by > 0.0 else 'fold out'} {_cm(cut.by)}"
    arrows = [_arrow(np.array([left + share * (right - left), cut.height]), cut.by) for share in (0.2, 0.8)]
    return [InnerLine(kind="slit", curve=line, label=words), *arrows]


def _upright(alteration: Alteration) -> list[InnerLine]:
    """A line from the lowest level to the highest, halfway out, on each side that has a seam.

    On trunk and leg in one that of the inner leg begins at the crotch.
    """
    lie, moves = alteration.lie, alteration.moves
    lines = []
    for side in (-1.0, 1.0):
        inner = bool(lie.half) and side != lie.half
        own = [move for move in moves if not inner or lie.on_leg(move.height)]
        if not any(move.by for move in own):
            continue
        top = alteration.inner_steps()[0][0] if inner else own[0].height
        bottom = own[-1].height
        if top - bottom < 40.0:
            top, bottom = top + 40.0, bottom - 40.0
        slash = _slash(lie, side, np.linspace(top, bottom, 24))
        if len(slash) < 2:
            continue
        words = ", ".join(
            f"{'spread' if move.by > 0.0 else 'overlap'} {_cm(move.by)}"
            + (f" at the {move.level.replace('_', ' ')}" if len(own) > 1 else "")
            for move in own
            if move.by
        )
        lines.append(InnerLine(kind="slit", curve=slash, label=words))
        lines += [
            _arrow(_at(slash, move.height), move.by, across=True)
            for move in own
            if move.by and slash[-1, 1] - 1.0 <= move.height <= slash[0, 1] + 1.0
        ]
    return lines


def _slash(lie: Lie, side: float, levels: Points) -> Points:
    """A line halfway out to one side at those levels, (n, 2); a quarter of the way across trunk and leg."""
    if lie.leg is None:
        reach = np.array([lie.widths(float(y))[0 if side < 0.0 else 1] for y in levels])
        inside = reach > 4.0 * BESIDE
        return np.column_stack([lie.centre + side * 0.5 * reach[inside], levels[inside]])
    ends = [(y, lie.ends(float(y))) for y in levels]
    wide = [(y, *found) for y, found in ends if found is not None and found[1] - found[0] > 8.0 * BESIDE]
    return np.array([(0.5 * (a + b) + side * 0.25 * (b - a), y) for y, a, b in wide]).reshape(-1, 2)


def _at(slash: Points, height: float) -> Points:
    return np.array([float(np.interp(-height, -slash[:, 1], slash[:, 0])), height])


def _cm(by: float) -> str:
    return f"{abs(by) / 10.0:.1f} cm"


def _arrow(place: Points, by: float, *, across: bool = False) -> InnerLine:
    """A double arrow over a line: heads outward where it is spread, inward where it is taken in."""
    along = np.array([1.0, 0.0]) if across else np.array([0.0, 1.0])
    aside = np.array([along[1], -along[0]])
    way = 1.0 if by > 0.0 else -1.0
    parts = []
    for side in (1.0, -1.0):
        tip = place + side * along * (ARROW if way > 0.0 else 0.35 * ARROW)
        barb = tip - side * way * HEAD * along
        parts += [tip, barb + 0.6 * HEAD * aside, tip, barb - 0.6 * HEAD * aside, tip]
        parts.append(place + side * along * (0.35 * ARROW if way > 0.0 else ARROW))
        parts.append(place if side > 0.0 else tip)
    return InnerLine(kind="placement", curve=np.stack(parts[:-1]), label="")
