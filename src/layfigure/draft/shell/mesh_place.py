"""A mesh put over a head or before a face: where it sits, how large it must be, and where it is too small."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import minimize

from layfigure.body.form import Form
from layfigure.draft.shell.cap_place import region_points
from layfigure.draft.shell.options import ShellOptions
from layfigure.draft.shell.tightest_room import TightestRoom
from layfigure.errors import DraftError
from layfigure.geometry.depth_inside import DepthInside
from layfigure.geometry.mesh import TriangleMesh
from layfigure.geometry.mesh_offset import offset_mesh

Points = NDArray[np.float64]
Indices = NDArray[np.int64]

LOOKED_AT = 420
"""Places of the head that are held against the mesh: 15 mm apart."""

ABOVE_BROW = 20.0
"""Skin higher than this above the brow is under hair and padding, and must be covered by a helm [mm]."""

SMALLEST, LARGEST = 0.2, 5.0
"""Factors beyond these mean that the mesh is no helm, or that its unit is wrong."""

FACTOR_STEPS, CLOSE = 12, 0.15
"""Room left to spare by a fitted mesh, at most [mm]."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class HeadNeed:
    """Places of a head and the room each needs within a mesh.

    places : (k, 3). room : (k,) from skin to the sheet's inside [mm]. covered : (k,) must be covered at all.
    eyes : height of the eyes. middle : (3,) of the head at the brow.
    """

    places: Points
    room: Points
    covered: NDArray[np.bool_]
    eyes: float
    middle: Points


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PlacedMesh:
    """mesh : its outside, where it is worn [mm]. factor : of the size it came in. spare : (k,) room left at
    each place of the need, negative where it is too small. fits : the least factor at which nothing is.
    """

    mesh: TriangleMesh
    need: HeadNeed
    factor: float
    spare: Points
    fits: float

    @property
    def tightest(self) -> int:
        """The place with least room to spare."""
        return int(self.spare.argmin())


def head_need(form: Form, options: ShellOptions, stack: float) -> HeadNeed:
    """What a helm or a mask must leave room for. stack : worn beneath [mm]."""
    head = region_points(form, frozenset({"head"}))
    brow, chin = float(form.landmarks["brow"][2]), float(form.landmarks["chin"][2])
    middle = form.charts["head"].section(1.0).mean(axis=0)
    middle = np.array([middle[0], middle[1], brow])
    if options.on == "face":
        front = head[:, 1] < middle[1] - 10.0
        head = head[front & (head[:, 2] > chin + 5.0) & (head[:, 2] < brow + 50.0)]
        room = np.full(len(head), options.padding + stack)
        covered = np.zeros(len(head), dtype=bool)
    else:
        head = head[head[:, 2] > chin]
        covered = head[:, 2] > brow + ABOVE_BROW
        face = (head[:, 1] < middle[1] - 0.25 * np.ptp(head[:, 1])) & ~covered
        room = np.where(face, options.air, options.padding + options.hair) + stack
        # Below the brow hair is pressed flat, and no padding is set there.
        room = np.where(~covered & ~face, 0.5 * options.hair + options.air + stack, room)
    chosen = np.linspace(0, len(head) - 1, min(LOOKED_AT, len(head))).astype(np.int64)
    chosen = np.unique(np.append(chosen, head[:, 2].argmax()))
    return HeadNeed(
        places=head[chosen],
        room=room[chosen],
        covered=covered[chosen],
        eyes=float(form.landmarks["nose_root"][2]),
        middle=middle,
    )


def placed_mesh(
    mesh: TriangleMesh, need: HeadNeed, options: ShellOptions, thickness: float, file: str
) -> PlacedMesh:
    """The mesh at its place, as large as it came or as the head asks.

    It is put where the tightest place has most room, and rests on the crown from there. thickness : of the
    sheet, all of it within the mesh [mm]. Raises DraftError where no size of it holds a head.
    """
    seat = _Seat(mesh, need, options, thickness)
    start = seat.start(1.0)
    shift, spare = seat.best(1.0, start)
    factor = fits = 1.0
    if spare < 0.0 or options.fit == "head":
        found = seat.least_factor(shift, spare)
        if found is None:
            raise DraftError(
                f"{file} holds no head at any size.",
                advice="Check its up and turn, and that it is hollow: its outer skin alone.",
            )
        fits, fitted = found
        if options.fit == "head":
            factor, shift = fits, fitted
    shift = seat.resting(factor, shift)
    worn = TriangleMesh(factor * mesh.vertices + shift, mesh.faces)
    return PlacedMesh(mesh=worn, need=need, factor=factor, spare=seat.spare(factor, shift), fits=fits)


class _Seat:
    """Room between a head and a mesh, by the mesh's factor and shift."""

    def __init__(self, mesh: TriangleMesh, need: HeadNeed, options: ShellOptions, thickness: float) -> None:
        self.mesh, self.need, self.options, self.thickness = mesh, need, options, thickness
        self._inside: tuple[float, DepthInside] | None = None

    def depth(self, factor: float) -> DepthInside:
        """Of the inside of the sheet at a factor."""
        if self._inside is None or self._inside[0] != factor:
            grown = TriangleMesh(factor * self.mesh.vertices, self.mesh.faces)
            self._inside = factor, DepthInside(offset_mesh(grown, -self.thickness))
        return self._inside[1]

    def start(self, factor: float) -> Points:
        """A first shift: the middle of the mesh's lower half about the head's middle, eyes on eyes."""
        low, high = factor * self.mesh.vertices[:, 2].min(), factor * self.mesh.vertices[:, 2].max()
        corners, area = factor * self.mesh.face_corners().mean(axis=1), self.mesh.face_areas()
        at = low + 0.5 * (high - low)
        near = np.abs(corners[:, 2] - at) < 0.3 * (high - low)
        plan = 0.5 * (corners[near].min(axis=0) + corners[near].max(axis=0))
        weighted = np.average(corners[near], axis=0, weights=area[near])
        middle = 0.5 * (plan + weighted)
        if self.options.on == "face":
            back = float(np.percentile(self.need.places[:, 1], 60.0))
            return np.array([-middle[0], back - corners[:, 1].max(), self.need.eyes - at])
        return np.array([*(self.need.middle - middle)[:2], self._height(factor, self.need.middle[2] - at)])

    def _height(self, factor: float, otherwise: float) -> float:
        eyes = self.options.eyes
        if eyes is None:
            return otherwise
        low, high = factor * self.mesh.vertices[:, 2].min(), factor * self.mesh.vertices[:, 2].max()
        return float(self.need.eyes - (low + eyes * (high - low)))

    def spare(self, factor: float, shift: Points) -> Points:
        """Room to spare at every place, (k,) [mm]; a place that may stay bare and has left has plenty."""
        depth, border = self.depth(factor).at(self.need.places - shift)
        return self._spare_of(depth, border, np.arange(len(depth)))

    def _spare_of(self, depth: Points, border: NDArray[np.bool_], at: Indices) -> Points:
        """The same from the depths of places given by number, and whether they are nearest to a border."""
        spare = depth - self.need.room[at]
        free = border & ~self.need.covered[at]
        outside = np.where(border, -np.abs(depth) - self.need.room[at], spare)
        return np.where(free, np.maximum(spare, 100.0), outside)

    def best(self, factor: float, start: Points) -> tuple[Points, float]:
        """Shift with most room at the tightest place, and that room."""
        fixed = self.options.eyes is not None
        start = np.array([*start[:2], self._height(factor, float(start[2]))])
        steps = np.eye(3)[: 2 if fixed else 3]

        tightest = TightestRoom(self.depth(factor), self.need.places, self._spare_of)

        def tight(move: Points) -> float:
            least = tightest.at(start + move @ steps)
            # The mean of the tightest leads on where the very least stands still for a while.
            return -float(least.min() + 0.05 * least.mean())

        simplex = np.vstack([np.zeros(len(steps)), 18.0 * np.eye(len(steps))])
        found = minimize(
            tight,
            simplex[0],
            method="Nelder-Mead",
            options={"initial_simplex": simplex, "xatol": 0.1, "fatol": 0.02, "maxfev": 160},
        )
        shift = start + found.x @ steps
        return shift, float(self.spare(factor, shift).min())

    def least_factor(self, shift: Points, spare: float) -> tuple[float, Points] | None:
        """The least factor with no room lacking, and the shift there, by false position."""
        size = float(np.ptp(self.need.places, axis=0).max())
        known = [(1.0, spare)]
        factor = 1.0 - 2.0 * spare / size
        best: tuple[float, Points] | None = None
        for _ in range(FACTOR_STEPS):
            factor = float(np.clip(factor, SMALLEST, LARGEST))
            about = self.need.middle + (shift - self.need.middle) * factor / known[-1][0]
            tries = [self.best(factor, start) for start in (about, shift)]
            shift, spare = max(tries, key=lambda each: each[1])
            if spare >= 0.0 and (best is None or factor < best[0]):
                best = factor, shift
            if 0.0 <= spare <= CLOSE:
                break
            known.append((factor, spare))
            (f0, s0), (f1, s1) = known[-2:]
            slope = (s1 - s0) / (f1 - f0) if abs(f1 - f0) > 1e-9 else 0.0
            slope = slope if slope > 0.1 * size / 2.0 else size / 2.0
            factor = f1 + (0.5 * CLOSE - s1) / slope
            if best is not None and factor >= best[0]:
                factor = 0.5 * (best[0] + max((f for f, s in known if s < 0.0), default=0.98 * best[0]))
        return best

    def resting(self, factor: float, shift: Points) -> Points:
        """Let down onto the head, or drawn up to the face, as far as nothing is too tight."""
        if self.options.eyes is not None and self.options.on == "over_head":
            return shift
        way = np.array([0.0, 1.0, 0.0]) if self.options.on == "face" else np.array([0.0, 0.0, -1.0])
        least = min(0.0, float(self.spare(factor, shift).min())) - 1e-9
        low, high = 0.0, 80.0
        for _ in range(10):
            middle = 0.5 * (low + high)
            if self.spare(factor, shift + middle * way).min() >= least:
                low = middle
            else:
                high = middle
        return np.asarray(shift + low * way)


def where_words(place: Points, need: HeadNeed) -> str:
    """Where on the head a place lies, in words."""
    x, y, z = place - need.middle
    if z > 70.0:
        return "at the crown"
    height = "above the brow" if z > 15.0 else "at the brow" if z > -20.0 else "below the brow"
    if abs(x) > abs(y):
        return f"on the {'left' if x > 0.0 else 'right'}, {height}"
    return f"at the {'back' if y > 0.0 else 'front'}, {height}"
