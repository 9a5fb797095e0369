"""Pictures that show the same edge are made to agree: the most likely corrections under which they do.

A reading is wrong by what the fit left open (a yaw, a depth, a length: shared by all marks of a stretch), by
skin that lies farther out or in than the figure's (shared with its neighbours and its mirror image, in all
pictures), and by the hand. Two pictures rarely show the same *points* of an edge, only the same curve: they
must agree square to it; corners are points, and meet corners; windows seen whole meet in their middles first.
What is shared moves smoothly, so that a window keeps its shape. What the fit left open is taken as each
stretch's own: carried across pictures it would promise more than a wrong section's shape lets it keep.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray
from scipy.linalg import block_diag, cho_factor, cho_solve
from scipy.sparse import csr_matrix

from layfigure.body.levels import split_region
from layfigure.study.meeting import Meeting, meetings
from layfigure.study.stretch import SKIN_SPREAD, Stretch

Points = NDArray[np.float64]

SKIN_TOGETHER_ALONG = 0.06
"""How far along a region skin lies in or out together [share of stature]."""

SKIN_TOGETHER_ROUND = 0.09
"""How far round it [share of the girth]."""

SKIN_MIRRORED = 0.6
"""Correlation of the skin with its mirror image's."""

DRAWN_AGREEMENT = 0.0008
"""How nearly two pictures draw one curve, beside the hand's noise [share of stature]."""

ROUNDS = 2
"""How often meetings are looked for anew, each time from where the last brought the curves."""

LOOSE = 0.1
"""How unsure a meeting is of its place on the other curve, as a share of how unsure both readings are."""

STRANGE = 2.5
DOUBTS = 4
"""From how many standard deviations off what all others say a meeting is doubted, and how often anew."""


def combine(stretches: Sequence[Stretch]) -> list[Stretch]:
    """The same stretches, of any number of edges, each moved to where all pictures agree."""
    if not stretches:
        return []
    everywhere = _together(stretches)
    moved, remaining = list(stretches), everywhere
    firsts = np.cumsum([0] + [len(stretch.index) for stretch in stretches])
    count = int(firsts[-1])
    correction = np.zeros(2 * count)
    for number in range(ROUNDS):
        # Windows are brought together as wholes before their sides are compared.
        met = list(meetings(moved, sides=number > 0))
        if not sum(len(one.apart) for one in met):
            continue
        which, apart = _equations(met, count)
        # Where a mark meets the other curve is itself unsure, the more so the less is known of both.
        unsure = np.maximum(((which @ remaining) * which.toarray()).sum(axis=1), 0.0)
        room = DRAWN_AGREEMENT**2 + LOOSE**2 * unsure
        # Apart as first read, before any correction.
        apart = apart - which @ correction
        shared = which @ everywhere
        held = shared @ which.T + np.diag(room)
        known = cho_factor(held + np.diag(_doubted(held, apart)), lower=True)
        correction = -shared.T @ cho_solve(known, apart)
        remaining = everywhere - shared.T @ cho_solve(known, shared)
        moved = [
            _shifted(stretch, correction.reshape(-1, 2)[a:b], _own_blocks(remaining)[a:b])
            for stretch, a, b in zip(stretches, firsts[:-1], firsts[1:], strict=True)
        ]
    return moved


def _own_blocks(covariance: Points) -> Points:
    """Covariance of every mark on its own, (m, 2, 2), from that of all."""
    count = len(covariance) // 2
    blocks: Points = covariance.reshape(count, 2, count, 2)[np.arange(count), :, np.arange(count)]
    return blocks


def _doubted(held: Points, apart: Points) -> Points:
    """Variance to add to each meeting that the others contradict, (e,). held : their joint covariance.

    A mark may have met the wrong part of a curve. What all others make one expect says so, and the farther
    it is from that, the less it counts.
    """
    extra = np.zeros(len(apart))
    for _ in range(DOUBTS):
        inverse = cho_solve(cho_factor(held + np.diag(extra), lower=True), np.eye(len(apart)))
        own = np.diag(inverse)
        # How far each is from what the others say, and how far that may well be.
        off = (inverse @ apart) / own
        may = np.maximum(1.0 / own - extra, 1e-12)
        extra = may * np.maximum((off**2 / (STRANGE**2 * may)) ** 2 - 1.0, 0.0)
    return extra


def _shifted(stretch: Stretch, correction: Points, covariance: Points) -> Stretch:
    by_scale = correction / stretch.scale
    return replace(
        stretch,
        station=stretch.station + by_scale[:, 0],
        around=np.mod(stretch.around + by_scale[:, 1], 1.0),
        covariance=covariance + stretch.doubt.common,
    )


def _together(stretches: Sequence[Stretch]) -> Points:
    """Covariance of all readings but for what is common to every picture, (2 m, 2 m)."""
    by_skin = np.concatenate([stretch.doubt.by_skin for stretch in stretches]).ravel()
    skin = np.kron(_skin_correlation(stretches), np.ones((2, 2)))
    by_fit = [stretch.doubt.by_fit.reshape(2 * len(stretch.index), -1) for stretch in stretches]
    whole: Points = block_diag(*by_fit) + SKIN_SPREAD**2 * skin * np.outer(by_skin, by_skin)
    hand = np.concatenate([stretch.doubt.hand for stretch in stretches])
    for m, own in enumerate(hand):
        whole[2 * m : 2 * m + 2, 2 * m : 2 * m + 2] += own
    return whole


def _skin_correlation(stretches: Sequence[Stretch]) -> Points:
    """How alike the skin lies at two marks, (m, m)."""
    along = np.concatenate([stretch.station * stretch.scale[:, 0] for stretch in stretches])
    around = np.concatenate([stretch.around for stretch in stretches])
    sizes = [len(stretch.index) for stretch in stretches]
    names = sorted({stretch.region for stretch in stretches})
    definitions = [split_region(name)[0].name for name in names]
    region = np.repeat([names.index(stretch.region) for stretch in stretches], sizes)
    kind = np.array([definitions.index(name) for name in definitions])[region]
    paired = np.array([split_region(name)[1] != "middle" for name in names])[region]
    near = np.exp(-0.5 * ((along[:, None] - along) / SKIN_TOGETHER_ALONG) ** 2)
    apart = near * (region[:, None] == region) * _alike(around[:, None] - around)
    # Paired regions count outward, so that mirror images share numbers; the trunk's have opposite signs.
    mirror = np.where(paired, region[:, None] != region, region[:, None] == region) & (kind[:, None] == kind)
    turned = np.where(paired, around[:, None] - around, around[:, None] + around)
    whole = apart + SKIN_MIRRORED * near * mirror * _alike(turned)
    size = np.sqrt(np.diag(whole))
    correlation: Points = whole / np.outer(size, size)
    return correlation


def _alike(turn: Points) -> Points:
    """Correlation over a difference round a section, of any number of turns."""
    chord = np.sin(np.pi * turn) / np.pi
    result: Points = np.exp(-0.5 * (chord / SKIN_TOGETHER_ROUND) ** 2)
    return result


def _equations(met: Sequence[Meeting], count: int) -> tuple[csr_matrix, Points]:
    """What must agree, as rows (e, 2 * count) over all readings, and how far apart it still is, (e,)."""
    firsts = np.cumsum([0] + [len(one.apart) for one in met])
    row = np.concatenate([first + one.equation for first, one in zip(firsts[:-1], met, strict=True)])
    mark = np.concatenate([one.mark for one in met])
    pull = np.concatenate([one.pull for one in met])
    index = np.concatenate([row, row]), np.concatenate([2 * mark, 2 * mark + 1])
    matrix = csr_matrix((pull.T.ravel(), index), shape=(int(firsts[-1]), 2 * count))
    return matrix, np.concatenate([one.apart for one in met])
