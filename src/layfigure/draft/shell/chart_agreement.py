"""Charts that agree with their neighbours on the lengths of common seams, as nearly as flat sheets can.

Laid flat alone, each chart stretches its own side of a seam its own way. Made equal only afterwards, all of
the difference lands in the faces along it. Here a spring along every side of a seam draws both charts to
the mean of their two lengths while everything else settles too, and faces that would stretch most count for
more and more, so that the worst of them share with their neighbours: local and global steps as in
``flatten.arap``, each spring one more local step (S. Bouaziz, S. Martin, T. Liu, L. Kavan and M. Pauly,
"Projective dynamics", ACM Transactions on Graphics 33(4), 2014).
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csc_matrix, csr_matrix, eye
from scipy.sparse.linalg import splu

from layfigure.draft.flatten.arap import PanelStiffness, reweighted, solve_complex
from layfigure.draft.flatten.worn_stretch import weighted_quantile
from layfigure.draft.shell.chart import FlatChart, as_laid
from layfigure.draft.shell.flattening import STRETCH_MOST, excess

Complex = NDArray[np.complex128]
Points = NDArray[np.float64]
Indices = NDArray[np.int64]

SPRING = 8.0
"""Stiffness of a side of a seam beside a face's, whose cotangents are about 1."""

ROUNDS, STEPS = 8, 10

ENOUGH = 0.8
"""Settling ends where stretch is this share of the limits."""

STEEPNESS = 4.0
"""How steeply faces count for more as their stretch comes near what sheets take."""

HEAVIEST = 200.0


@dataclass(frozen=True, slots=True, eq=False)
class SeamSides:
    """Sides of all outlines, chart after chart in loop order.

    starts : (c + 1,) where each chart's begin. same : (s,) number of the side of the mesh that each is.
    shared : (s,) True where another chart, or the same one, has it too.
    """

    starts: Indices
    same: Indices
    shared: NDArray[np.bool_]

    def means(self, lengths: Points) -> Points:
        """Mean length over all uses of the same side, (s,)."""
        total = np.bincount(self.same, weights=lengths)
        means: Points = (total / np.bincount(self.same))[self.same]
        return means


def seam_sides(charts: Sequence[FlatChart]) -> SeamSides:
    """Which sides of the charts' outlines are the same."""
    ends = [
        np.sort(np.column_stack([own, np.roll(own, -1)]), axis=1)
        for own in (laid.chart.origin[laid.stiffness.loop] for laid in charts)
    ]
    _, same, uses = np.unique(np.vstack(ends), axis=0, return_inverse=True, return_counts=True)
    same = same.reshape(-1)
    starts = np.concatenate([[0], np.cumsum([len(each) for each in ends])])
    return SeamSides(starts, same, uses[same] > 1)


def in_agreement(charts: Sequence[FlatChart]) -> list[FlatChart]:
    """The charts laid flat together. Their seams are nearly equal then, not yet exactly."""
    sides = seam_sides(charts)
    own = [slice(int(a), int(b)) for a, b in itertools.pairwise(sides.starts)]
    best, least = list(charts), np.inf
    flats = [laid.flat for laid in charts]
    weights = [np.ones(len(laid.areas)) for laid in charts]
    for _ in range(ROUNDS):
        settlers = [
            _Settler(reweighted(laid.stiffness, weight), sides.shared[part])
            for laid, weight, part in zip(charts, weights, own, strict=True)
        ]
        for _ in range(STEPS):
            lengths = [each.lengths(flat) for each, flat in zip(settlers, flats, strict=True)]
            means = sides.means(np.concatenate(lengths))
            flats = [
                each.settled(flat, means[part]) for each, flat, part in zip(settlers, flats, own, strict=True)
            ]
        laid = [as_laid(old.chart, old.stiffness, flat) for old, flat in zip(charts, flats, strict=True)]
        exceeds = excess(*stretch_of(laid))
        if exceeds < least and not any(each.turned for each in laid):
            best, least = laid, exceeds
        if least <= ENOUGH:
            break
        weights = [_heavier(weight, each.stretch) for weight, each in zip(weights, laid, strict=True)]
    return best


def stretch_of(charts: Sequence[FlatChart]) -> tuple[float, float]:
    """95th percentile over the area of all charts, and largest, of stretch or slack; shares."""
    stretch = np.concatenate([laid.stretch for laid in charts])
    areas = np.concatenate([laid.areas for laid in charts])
    return weighted_quantile(stretch, areas, 0.95), float(stretch.max())


def _heavier(weight: Points, stretch: Points) -> Points:
    """Weights of faces after a round: more where they stretched most, less again where they do not."""
    grown = weight * (0.5 + np.minimum(stretch / STRETCH_MOST, 1.5)) ** STEEPNESS
    return np.clip(grown, 1.0, HEAVIEST)


class _Settler:
    """One chart with springs along its seams."""

    def __init__(self, stiffness: PanelStiffness, shared: NDArray[np.bool_]) -> None:
        self.stiffness = stiffness
        loop = stiffness.loop
        n, count = loop.size + stiffness.inner.size, loop.size
        row = np.arange(count)
        ends = csr_matrix(
            (np.repeat([1.0, -1.0], count), (np.tile(row, 2), np.concatenate([np.roll(loop, -1), loop]))),
            shape=(count, n),
        )
        self.springs = csr_matrix(ends.T.multiply(np.where(shared, SPRING, 0.0)))
        # Nothing else says where the chart lies.
        whole = self._faces(n) + self.springs @ ends + 1e-9 * eye(n)
        self.factor: Any = splu(
            csc_matrix(whole),
            permc_spec="MMD_AT_PLUS_A",
            diag_pivot_thresh=0.0,
            options={"SymmetricMode": True},
        )

    def _faces(self, n: int) -> csr_matrix:
        faces, weights = self.stiffness.faces, self.stiffness.weights
        i, j = faces[:, [1, 2, 0]].ravel(), faces[:, [2, 0, 1]].ravel()
        w = weights.ravel()
        return csr_matrix(
            (np.concatenate([w, w, -w, -w]), (np.concatenate([i, j, i, j]), np.concatenate([i, j, j, i]))),
            shape=(n, n),
        )

    def lengths(self, flat: Complex) -> Points:
        """Lengths of its outline's sides, (b,)."""
        loop = self.stiffness.loop
        lengths: Points = np.abs(np.roll(flat[loop], -1) - flat[loop])
        return lengths

    def settled(self, flat: Complex, wanted: Points) -> Complex:
        """One local and one global step. wanted : (b,) lengths of its outline's sides."""
        loop = self.stiffness.loop
        along = np.roll(flat[loop], -1) - flat[loop]
        to = along * (wanted / np.maximum(np.abs(along), 1e-9))
        right = self.stiffness.sides @ self.stiffness.best_turns(flat) + self.springs @ to
        moved = solve_complex(self.factor, right)
        settled: Complex = moved - moved.mean() + flat.mean()
        return settled
