"""A seam that a design puts across panels, as a line on one body.

The line has two sides. ``past`` tells how far on which of them any place lies; the seam is where that is zero
near the line, and nowhere else: round the limb the same field vanishes once more, where nothing is meant.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from layfigure.body.chart import ChartPoint
from layfigure.draft.panels.surface import Surface
from layfigure.geometry.nearest_face import face_tree, nearest_faces
from layfigure.geometry.polyline import length, resample

Points = NDArray[np.float64]
Mask = NDArray[np.bool_]

SeamSide = Literal["above", "below", "in_front_of", "behind", "left_of", "right_of"]

STEP = 4.0
"""Between points of the line [mm]."""
CARRIED_ON = 25.0
"""An open seam is carried on past both its ends by this much, to meet the seam or edge it was drawn up to
[mm]."""
CHART_ENDS, BETWEEN_LEGS = 4.8, 130.0
"""Beyond this station the trunk has no more places to name: a seam that ends there runs on between the legs,
this far at most [mm]."""
NEAR = 12.0
"""The seam is where its field vanishes within this distance of the line [mm]."""
EVENED = 5
"""Points to either side over which its direction is averaged: a line read off a chart shivers a little."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DesignSeam:
    """A seam as the design has it. closed : right round a limb or the trunk."""

    slug: str
    places: tuple[ChartPoint, ...]
    closed: bool


@dataclass(frozen=True, slots=True, eq=False)
class SeamLine:
    """A seam on a body.

    line : (k, 3) evenly spaced [mm], carried on past its ends; a closed one ends where it starts.
    across : (k, 3) unit, in the surface and square to the line, to the left of it as seen from outside.
    """

    line: Points
    across: Points

    def nearest(self, places: Points) -> Points:
        """The nearest points of the line, (n, 3) [mm]."""
        return self._nearest(places)[0]

    def past(self, places: Points) -> Points:
        """How far to the left of the line each place lies, (n,) [mm]."""
        at, step, share = self._nearest(places)
        across = (1.0 - share)[:, None] * self.across[step] + share[:, None] * self.across[step + 1]
        left: Points = np.einsum("nk,nk->n", places - at, across)
        return left

    def near(self, places: Points) -> Mask:
        """Which places lie by the line, (n,)."""
        close: Mask = np.linalg.norm(places - self.nearest(places), axis=1) < NEAR
        return close

    def sides(self, along: Points) -> tuple[SeamSide, SeamSide]:
        """What a maker calls the left of the line and the right of it.

        along : (3,) or (k, 3) unit direction down the body along the line.
        """
        down = float(np.mean(np.sum(self.across * along, axis=-1)))
        to_left, to_back, _ = self.across.mean(axis=0)
        if abs(down) >= max(abs(to_left), abs(to_back)):
            return ("below", "above") if down > 0.0 else ("above", "below")
        if abs(to_back) >= abs(to_left):
            return ("behind", "in_front_of") if to_back > 0.0 else ("in_front_of", "behind")
        return ("left_of", "right_of") if to_left > 0.0 else ("right_of", "left_of")

    def _nearest(self, places: Points) -> tuple[Points, NDArray[np.int64], Points]:
        """Nearest points (n, 3), the step of the line each lies on, and its share of that step, (n,)."""
        _, vertex = cKDTree(self.line).query(places)
        a_side = np.diff(self.line, axis=0)
        square = (a_side * a_side).sum(axis=1)
        best = np.full(len(places), np.inf)
        found = np.zeros_like(places)
        step, share = np.zeros(len(places), dtype=np.int64), np.zeros(len(places))
        for offset in (-1, 0):
            k = np.clip(vertex + offset, 0, len(a_side) - 1)
            t = np.clip(((places - self.line[k]) * a_side[k]).sum(axis=1) / square[k], 0.0, 1.0)
            at = self.line[k] + t[:, None] * a_side[k]
            off = np.linalg.norm(places - at, axis=1)
            closer = off < best
            best[closer], found[closer], step[closer], share[closer] = (
                off[closer],
                at[closer],
                k[closer],
                t[closer],
            )
        return found, step, share


def seam_line(surface: Surface, curve: Points, seam: DesignSeam) -> SeamLine:
    """A seam along its curve on the surface, (k, 3) [mm]; a closed one ends where it starts."""
    count = max(8, round(length(curve) / STEP))
    if seam.closed:
        line = resample(curve[:-1], count, closed=True)
        tangent = _evened(np.roll(line, -1, axis=0) - np.roll(line, 1, axis=0), wrap=True)
        line, tangent = np.vstack([line, line[:1]]), np.vstack([tangent, tangent[:1]])
    else:
        line = _carried_on(
            surface, resample(curve, count), [_reach(at) for at in (seam.places[0], seam.places[-1])]
        )
        tangent = _evened(np.gradient(line, axis=0), wrap=False)
    _, at = cKDTree(surface.vertices).query(line)
    across = np.cross(surface.normals[at], tangent)
    return SeamLine(line, across / np.linalg.norm(across, axis=1, keepdims=True))


def _reach(end: ChartPoint) -> float:
    """How far a seam is carried on past an end [mm]."""
    at_crotch = end.region == "torso" and end.station > CHART_ENDS
    return BETWEEN_LEGS if at_crotch else CARRIED_ON


def _carried_on(surface: Surface, line: Points, reaches: Sequence[float]) -> Points:
    """An open line carried on past both its ends, straight over the surface."""
    tree = face_tree(surface.vertices, surface.faces)
    back = min(len(line) - 1, EVENED)
    runs = []
    for reach, end, inner in zip(reaches, line[[0, -1]], line[[back, -1 - back]], strict=True):
        # An end that lies off the surface is brought to it first, or the way there would pass for the way on.
        at = nearest_faces(surface.vertices, surface.faces, end[None], tree=tree)
        run = [at.carried(surface.faces, surface.vertices)[0]]
        out = (end - inner) / np.linalg.norm(end - inner)
        for _ in range(int(reach / STEP)):
            ahead = (run[-1] + STEP * out)[None]
            at = nearest_faces(surface.vertices, surface.faces, ahead, tree=tree)
            run.append(at.carried(surface.faces, surface.vertices)[0])
            # Straight on a surface: turned down with it and never sideways.
            step = run[-1] - run[-2]
            out = step / max(float(np.linalg.norm(step)), 1e-9)
        runs.append(np.array(run[1:]))
    return np.vstack([runs[0][::-1], line, runs[1]])


def _evened(vectors: Points, *, wrap: bool) -> Points:
    """Vectors averaged with their neighbours along the line."""
    padded = np.pad(vectors, ((EVENED, EVENED), (0, 0)), mode="wrap" if wrap else "edge")
    window = np.hanning(2 * EVENED + 3)[1:-1]
    window /= window.sum()
    return np.stack([np.convolve(padded[:, k], window, mode="valid") for k in range(3)], axis=1)
