"""Lines drawn on a panel and notches across its seams, both where levels of the body lie."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from layfigure.body.form import Form
from layfigure.draft.flatten.panel import FlatPanel, Panel, PanelEdge
from layfigure.draft.knit.garment import Level
from layfigure.draft.panels.arrangement import undirected_sides
from layfigure.draft.panels.edge_fields import beyond, edge_curve, ring
from layfigure.geometry.polyline import arc_lengths
from layfigure.piece.piece import InnerLine, Notch

Points = NDArray[np.float64]

NOTCH_GAP = 180.0
"""A seam longer than this without a notch gets more, evenly [mm]."""
NEAR_LEVEL = 40.0
"""A level line is followed within this distance [mm]."""
NOTCH_END = 25.0
"""No notch nearer to a corner than this [mm]."""


@dataclass(frozen=True, slots=True, eq=False)
class LevelRing:
    """A level's line round the drafting pose: curve (k, 3) [mm], and the unit direction past it, (3,).

    low, high : corners of a box round all that is near it, (3,).
    """

    curve: Points
    axis: Points
    near: cKDTree
    low: Points
    high: Points


@lru_cache(maxsize=32)
def _level_ring(form: Form, level: Level) -> LevelRing:
    """Made once for a garment, whose every seam asks for it."""
    curve = edge_curve(form, ring(level.region, level.station), closed=True)
    chart = form.drafting_charts[level.region]
    ends = (max(level.station - 0.2, float(chart.stations[0])), level.station + 0.2)
    first, last = (chart.section(station).mean(axis=0) for station in ends)
    axis = last - first
    low, high = curve.min(axis=0) - NEAR_LEVEL, curve.max(axis=0) + NEAR_LEVEL
    return LevelRing(curve, axis / np.linalg.norm(axis), cKDTree(curve), low, high)


def level_field(form: Form, level: Level, places: Points) -> Points:
    """How far past a level each place lies down the body or limb, (n,) [mm]; NaN far from it, as the plane
    of a knee cuts the other leg as well.
    """
    at = _level_ring(form, level)
    field = np.full(len(places), np.nan)
    beside = np.flatnonzero(((places > at.low) & (places < at.high)).all(axis=1))
    if not beside.size:
        return field
    off, _ = at.near.query(places[beside], distance_upper_bound=NEAR_LEVEL)
    beside = beside[off < NEAR_LEVEL]
    if beside.size:
        field[beside] = beyond(places[beside], at.curve, at.axis)
    return field


def drawn_fields(form: Form, levels: Sequence[Level], panel: Panel) -> tuple[tuple[Level, Points], ...]:
    """Every level that is drawn, and how far past it each vertex of a panel lies; see ``level_field``."""
    return tuple((level, level_field(form, level, panel.vertices)) for level in levels if level.drawn)


def balance_lines(flat: FlatPanel, fields: Sequence[tuple[Level, Points]]) -> tuple[InnerLine, ...]:
    """Levels of the body drawn right across the panel, where they cross it. fields : ``drawn_fields``."""
    lines = []
    for level, field in fields:
        curve = zero_line(flat, field)
        if curve is not None:
            lines.append(InnerLine(kind="balance", curve=curve, label=level.label))
    return tuple(lines)


def centre_line(flat: FlatPanel, label: str) -> InnerLine | None:
    """The wearer's middle drawn on a panel that lies on both sides of it."""
    across = flat.panel.vertices[:, 0]
    if across.min() > -NOTCH_END or across.max() < NOTCH_END:
        return None
    curve = zero_line(flat, across)
    return None if curve is None else InnerLine(kind="centre", curve=curve, label=label)


def zero_line(flat: FlatPanel, field: Points) -> Points | None:
    """Where a field vanishes across a panel, in its flat plane, (k, 2); None where it hardly crosses it."""
    corners = field[flat.panel.faces]
    # On the outline alone (a centre seam) a field is 0 all along without crossing anything.
    crossed = (corners * corners[:, [1, 2, 0]] < 0.0).any(axis=1)
    if not crossed.any():
        return None
    sides = undirected_sides(flat.panel.faces[crossed])
    low, high = field[sides[:, 0]], field[sides[:, 1]]
    crossing = low * high < 0.0
    if crossing.sum() < 6:
        return None
    t = (low[crossing] / (low[crossing] - high[crossing]))[:, None]
    at = (1.0 - t) * flat.vertices[sides[crossing, 0]] + t * flat.vertices[sides[crossing, 1]]
    middle = at.mean(axis=0)
    _, _, axes = np.linalg.svd(at - middle, full_matrices=False)
    along = (at - middle) @ axes[0]
    order = np.argsort(along)
    spread = np.ptp(along)
    if spread < 30.0:
        return None
    # Even points through the crossings: a drawn line needs no corner at every triangle.
    count = max(3, int(spread / 10.0))
    wanted = np.linspace(along[order][0], along[order][-1], count)
    across = (at - middle) @ axes[1]
    smooth = np.interp(wanted, along[order], across[order])
    line: Points = middle + wanted[:, None] * axes[0] + smooth[:, None] * axes[1]
    return line


def seam_notches(
    panel: Panel, edge: PanelEdge, curve: Points, fields: Sequence[tuple[Level, Points]], *, seam: str
) -> tuple[Notch, ...]:
    """Notches of one use of a seam: where levels cross it, and evenly between where none do.

    fields : ``drawn_fields`` of the panel. Both uses have the same vertices and corresponding samples, so
    each finds the same places.
    """
    rows = edge.vertices[::-1] if edge.against else edge.vertices
    share = arc_lengths(panel.vertices[rows])
    whole = share[-1]
    marks: list[tuple[float, str]] = []
    for level, of_panel in fields:
        field = of_panel[rows]
        crossing = np.flatnonzero(field[:-1] * field[1:] < 0.0)
        if crossing.size == 1:
            i = int(crossing[0])
            t = field[i] / (field[i] - field[i + 1])
            marks.append((float(share[i] + t * (share[i + 1] - share[i])), level.label))
    marks = [m for m in sorted(marks) if NOTCH_END < m[0] < whole - NOTCH_END]
    marks = [m for k, m in enumerate(marks) if k == 0 or m[0] - marks[k - 1][0] > NOTCH_END]
    filled: list[tuple[float, str]] = []
    stops = [0.0, *(m[0] for m in marks), whole]
    for start, end in pairwise(stops):
        extra = int((end - start) // NOTCH_GAP)
        filled += [(start + (end - start) * (j + 1) / (extra + 1), "") for j in range(extra)]
    if not marks and not filled and whole > 3 * NOTCH_END:
        filled = [(0.5 * whole, "")]
    lengths = arc_lengths(curve)
    notches = []
    for number, (at, label) in enumerate(sorted(marks + filled), start=1):
        k = round(at / whole * (len(curve) - 1))
        k = len(curve) - 1 - k if edge.against else k
        name = f"{seam} {label or number}"
        notches.append(Notch(name=name, distance=float(lengths[k]), count=2 if label else 1))
    return tuple(sorted(notches, key=lambda notch: notch.distance))
