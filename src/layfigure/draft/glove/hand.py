"""One hand as a glove sees it: how long and how round each digit is, and where the webs between them lie.

The Form's charts stop at a tube round the fingers, so the digits are cut here, square to their own bones, on
the template's surface. Tips and webs are vertices of the template, chosen by looking at it; on the other hand
their mirror images.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache

import numpy as np
from numpy.polynomial import Polynomial
from numpy.typing import ArrayLike, NDArray
from scipy.sparse import coo_matrix
from scipy.sparse.csgraph import connected_components

from layfigure.body.chart import RegionChart
from layfigure.body.form import Form
from layfigure.body.template import load_template
from layfigure.errors import DraftError
from layfigure.geometry.planar_hulls import hull_loops
from layfigure.geometry.polyline import arc_lengths
from layfigure.geometry.table import read_rows

Points = NDArray[np.float64]
Indices = NDArray[np.int64]

DIGITS = ("thumb", "index", "middle", "ring", "little")
_TIPS = {"thumb": 9348, "index": 8598, "middle": 8787, "ring": 9091, "little": 9282}
_WEBS = (10298, 8772, 8972, 9164)  # between neighbours, the thumb's first

SECTIONS = 10
RING = 16
CLEAR = 3.0
"""From the web to the first section that is a finger and nothing else [mm]."""


@dataclass(frozen=True, kw_only=True, eq=False)
class Digit:
    """One digit. length : from its base, level with the mean of its webs, to the tip [mm].

    along, girths : (k,) distances from the base and what a tape reads there [mm].
    rings : (k, n, 3) the sections in space, standing; empty for a traced hand.
    """

    name: str
    length: float
    along: Points
    girths: Points
    rings: Points

    def girth(self, along: ArrayLike) -> Points:
        """Girth at distances from the base, smooth, as at the first or last section beyond them [mm]."""
        return np.asarray(self._smooth(np.clip(along, self.along[0], self.along[-1])), dtype=np.float64)

    @cached_property
    def _smooth(self) -> Polynomial:
        smooth: Polynomial = Polynomial.fit(self.along, self.girths, 3)
        return smooth


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class HandShape:
    """A hand and forearm laid along one line, 0 at the wrist, up to the fingers [mm].

    digits : thumb to little finger. webs : (4,) heights of the webs, the thumb's first.
    heights, girths : (m,) what a tape without the thumb reads, from the elbow (below 0) to the webs.
    """

    digits: tuple[Digit, ...]
    webs: Points
    heights: Points
    girths: Points

    def girth(self, height: ArrayLike) -> Points:
        """Girth of arm or palm at heights [mm]."""
        result: Points = np.interp(np.asarray(height, dtype=np.float64), self.heights, self.girths)
        return result


def hand_of(form: Form, side: str) -> HandShape:
    """The hand of a Form on the template's surface. side : ``left`` or ``right``.

    Raises DraftError for a Form whose surface is not the template's.
    """
    if len(form.standing.vertices) != load_template().vertex_count:
        raise DraftError(
            "this body has no fingers to draft a glove from.",
            advice="Fit a body to the tapes, or give a traced hand.",
        )
    hand, forearm = form.charts[f"hand_{side}"], form.charts[f"forearm_{side}"]
    surface = form.standing.vertices
    parts = digit_parts(side)
    stations, _, _ = hand.locate(surface[list(parts.webs)])
    webs = np.interp(stations, hand.stations, _distances(hand))
    arm = _distances(forearm)
    up_to = hand.stations <= stations[1:].max()
    return HandShape(
        digits=_digits(surface, parts),
        webs=webs,
        heights=np.concatenate([(arm - arm[-1])[:-1], _distances(hand)[up_to]]),
        girths=np.concatenate([forearm.girths[:-1], hand.girths[up_to]]),
    )


@dataclass(frozen=True, slots=True, eq=False)
class DigitParts:
    """Vertices of one hand's tips and webs, and by digit the mesh edges beyond its webs and its root ring."""

    tips: dict[str, int]
    webs: tuple[int, ...]
    edges: dict[str, Indices]
    roots: dict[str, Indices]


@lru_cache(maxsize=2)
def digit_parts(side: str) -> DigitParts:
    """The digits of the template's hand, told apart once on its mean body."""
    template = load_template()
    vertex = (lambda v: v) if side == "left" else (lambda v: int(template.mirror[v]))
    tips = {name: vertex(v) for name, v in _TIPS.items()}
    webs = tuple(vertex(v) for v in _WEBS)
    surface = template.mean[: template.vertex_count]
    pairs = np.unique(np.sort(template.faces[:, [0, 1, 1, 2, 2, 0]].reshape(-1, 2), axis=1), axis=0)
    edges, roots = {}, {}
    for number, name in enumerate(DIGITS):
        tip, own = tips[name], [webs[k] for k in _webs_beside(number)]
        axis = surface[tip] - surface[own].mean(axis=0)
        for _ in range(3):  # the root ring gives a better axis than the webs, which lie aside of it
            axis = axis / np.linalg.norm(axis)
            beyond = surface @ axis > (surface[own] @ axis).max()
            beyond[own] = False
            inside = _connected(beyond, pairs, tip)
            crossing = pairs[inside[pairs].sum(axis=1) == 1]
            roots[name] = np.unique(crossing[inside[crossing]])
            axis = surface[tip] - surface[roots[name]].mean(axis=0)
        edges[name] = pairs[inside[pairs].any(axis=1)]
    return DigitParts(tips, webs, edges, roots)


def _webs_beside(digit: int) -> list[int]:
    """Webs next to a digit; of the index finger not the thumb's, which lies far down its side."""
    return {0: [0], 1: [1], 4: [3]}.get(digit, [digit - 1, digit])


def _connected(chosen: NDArray[np.bool_], pairs: Indices, start: int) -> NDArray[np.bool_]:
    """Chosen vertices that hang together with one of them, by mesh edges."""
    kept = pairs[chosen[pairs].all(axis=1)]
    graph = coo_matrix((np.ones(len(kept)), (kept[:, 0], kept[:, 1])), shape=(len(chosen),) * 2)
    _, label = connected_components(graph, directed=False)
    result: NDArray[np.bool_] = chosen & (label == label[start])
    return result


def _distances(chart: RegionChart) -> Points:
    """Distance along the middle of a chart's sections, from its first [mm]."""
    return arc_lengths(chart.sections.mean(axis=1))


def _digits(surface: Points, parts: DigitParts) -> tuple[Digit, ...]:
    """Thumb to little finger."""
    tips = surface[[parts.tips[name] for name in DIGITS]]
    axes = tips - [surface[parts.roots[name]].mean(axis=0) for name in DIGITS]
    axes /= np.linalg.norm(axes, axis=1, keepdims=True)
    cut = [_sections(surface, parts, *each) for each in zip(DIGITS, tips, axes, strict=True)]
    across = np.repeat(np.linalg.svd(axes[:, None])[2][:, 1:], SECTIONS, axis=0)
    taut, girths = _taut_round([one for _, own in cut for one in own], across)
    digits = []
    for name, tip, (first, _), rings, girth in zip(
        DIGITS, tips, cut, np.split(taut, len(DIGITS)), np.split(girths, len(DIGITS)), strict=True
    ):
        along = arc_lengths(np.vstack([rings.mean(axis=1), tip])) + first
        digits.append(Digit(name=name, length=float(along[-1]), along=along[:-1], girths=girth, rings=rings))
    return tuple(digits)


def _sections(
    surface: Points, parts: DigitParts, name: str, tip: Points, axis: Points
) -> tuple[float, list[Points]]:
    """Where edges of a digit cross planes square to its axis, (c, 3) each, and how far the first of them is
    from the digit's base [mm].
    """
    webs = surface[[parts.webs[k] for k in _webs_beside(DIGITS.index(name))]]
    base, first = float((webs @ axis).mean()), float((webs @ axis).max()) + CLEAR
    levels = first + (float(tip @ axis) - first) * np.linspace(0.0, 0.92, SECTIONS)
    ends = surface[parts.edges[name].T]
    start, end = ends @ axis
    section, edge = np.nonzero((start - levels[:, None]) * (end - levels[:, None]) < 0.0)
    share = ((levels[section] - start[edge]) / (end[edge] - start[edge]))[:, None]
    places = (1.0 - share) * ends[0, edge] + share * ends[1, edge]
    return first - base, np.split(places, section.searchsorted(np.arange(1, SECTIONS)))


def _taut_round(sections: Sequence[Points], across: Points) -> tuple[Points, Points]:
    """Taut lines round sections, (s, RING, 3), each begun on one side, and their girths, (s,) [mm].

    sections : (c, 3) places each. across : (s, 2, 3) two directions in the plane of each.
    """
    most = max(map(len, sections))
    # All as long, by their first places again.
    places = np.stack([one[np.arange(most) * (np.arange(most) < len(one))] for one in sections])
    taut = np.take_along_axis(places, hull_loops(places @ across.swapaxes(1, 2))[..., None], axis=1)
    steps = np.linalg.norm(np.diff(taut, axis=1), axis=2)
    along = np.column_stack([np.zeros(len(taut)), steps.cumsum(axis=1)])
    even = along[:, -1:] * (np.arange(RING) / RING)
    return np.stack(read_rows(even, along, *np.moveaxis(taut, 2, 0)), axis=2), along[:, -1]
