"""An edge as it lies when the darts, pleats and seams across it are closed."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from layfigure.draft.woven.half_outline import Dart

Points = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Joint:
    """Where two runs meet when a dart, a pleat or a seam is closed: a place on either, and the way from there
    along what is laid together, (2,) each.
    """

    first: Points
    along_first: Points
    second: Points
    along_second: Points


def joined(runs: Sequence[Points], joints: Sequence[Joint]) -> list[Points]:
    """Runs as they lie when all between them is closed, each moved to the one before it, (n, 2) each."""
    laid = [runs[0].copy()]
    turn, shift = np.eye(2), np.zeros(2)
    for run, joint in zip(runs[1:], joints, strict=True):
        angle = float(
            np.arctan2(joint.along_first[1], joint.along_first[0])
            - np.arctan2(joint.along_second[1], joint.along_second[0])
        )
        cosine, sine = np.cos(angle), np.sin(angle)
        close = np.array([[cosine, -sine], [sine, cosine]])
        shift = turn @ (joint.first - close @ joint.second) + shift
        turn = turn @ close
        laid.append(run @ turn.T + shift)
    for before, after in itertools.pairwise(laid):
        # The same corner to the last bit.
        after[0] = before[-1]
    return laid


def of_dart(dart: Dart) -> Joint:
    """A dart's two legs, laid together."""
    return Joint(
        first=dart.first,
        along_first=dart.first - dart.tip,
        second=dart.second,
        along_second=dart.second - dart.tip,
    )


def one_line(runs: Sequence[Points]) -> Points:
    """Runs that meet, as one line."""
    return np.vstack([runs[0], *(run[1:] for run in runs[1:])])
