"""One figure and one camera a picture, fitted to all marks together.

Levenberg-Marquardt on Huber-weighted residuals: outlines start soft, so that landmarks place the limbs
before outlines choose which side they belong to.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.linalg import cho_factor, cho_solve
from scipy.linalg.lapack import dpotri

from layfigure.design.marks import PictureMarks
from layfigure.errors import StudyError
from layfigure.study import camera as cameras
from layfigure.study.figure import FigureModel
from layfigure.study.landmarks import LANDMARKS
from layfigure.study.prior import prior_precision, wobble_precision
from layfigure.study.residuals import Look, Rows, look
from layfigure.study.sorted_marks import Sight, ask, landmark_material, prepare

Points = NDArray[np.float64]

HUBER = 2.0
TRUST_IN_WEIGHTS = 40.0
"""How many residuals it takes to doubt the assumed noise of marks as much as to believe it."""

STAGES = ((6.0, 4), (2.0, 3), (1.0, 14))
"""How soft the outlines are, and how many steps at most, in turn."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Fit:
    """A fitted figure.

    shared : (count,) the figure's parameters. wobbles : (views, poses). cameras : (views, 8).
    covariance : (p, p) of all parameters in the order shared, then wobble and camera of each view.
    rows : residuals of each view. cost : of each view, per residual. steps : how many it took.
    """

    model: FigureModel
    sights: tuple[Sight, ...]
    shared: Points
    wobbles: Points
    cameras: Points
    covariance: Points
    rows: tuple[Rows, ...]
    cost: Points
    steps: int

    def columns(self, view: int) -> NDArray[np.int64]:
        """Where one view's own parameters sit in the covariance: wobble, then camera."""
        own = self.wobbles.shape[1] + cameras.COLUMNS
        start = self.model.count + view * own
        return np.arange(start, start + own)


def fit_figure(model: FigureModel, pictures: Sequence[PictureMarks]) -> Fit:
    """Fit figure and cameras. Raises StudyError where the marks do not determine a figure."""
    sights, start = _start(model, pictures)
    problem = _Problem(model, sights)
    x = problem.pack(np.zeros(model.count), np.zeros((len(sights), len(model.pose_columns))), start)
    steps = 0
    for softness, most in STAGES:
        x, used = problem.solve(x, softness, most)
        steps += used
    return problem.finish(x, steps)


class _Problem:
    """The sum of squares: rows of every view, and the prior."""

    def __init__(self, model: FigureModel, sights: Sequence[Sight]) -> None:
        self.model, self.sights = model, tuple(sights)
        self.asked = ask(model, sights)
        self.poses = len(model.pose_columns)
        self.own = self.poses + cameras.COLUMNS
        self.size = model.count + len(sights) * self.own
        self.precision = np.zeros((self.size, self.size))
        self.precision[: model.count, : model.count] = prior_precision(model)
        self.mean = np.zeros(self.size)
        wobble = wobble_precision(model)
        for view, sight in enumerate(sights):
            start = model.count + view * self.own
            diagonal = np.concatenate([wobble, cameras.prior_spreads(free=sight.free) ** -2.0])
            index = np.arange(start, start + self.own)
            self.precision[index, index] = diagonal
            self.mean[start + self.poses + cameras.NEARNESS] = cameras.NEARNESS_MEAN
            self.mean[start + self.poses + cameras.SWELL] = cameras.SWELL_MEAN

    def pack(self, shared: Points, wobbles: Points, cameras_: Points) -> Points:
        return np.concatenate([shared, np.concatenate([wobbles, cameras_], axis=1).ravel()])

    def unpack(self, x: Points) -> tuple[Points, Points, Points]:
        own = x[self.model.count :].reshape(len(self.sights), self.own)
        return x[: self.model.count], own[:, : self.poses], own[:, self.poses :]

    def look(self, x: Points, softness: float) -> Look:
        return look(self.model, self.sights, self.asked, *self.unpack(x), outline_factor=softness)

    def cost(self, x: Points, seen: Look) -> float:
        off = x - self.mean
        size = np.abs(_counting(seen))
        robust = np.where(size < HUBER, 0.5 * size**2, HUBER * (size - 0.5 * HUBER)).sum()
        return 0.5 * float(off @ self.precision @ off) + float(robust)

    def normal_equations(self, x: Points, rows: Sequence[Rows]) -> tuple[Points, Points]:
        hessian = self.precision.copy()
        gradient = self.precision @ (x - self.mean)
        count = self.model.count
        private = np.concatenate([self.model.pose_columns, np.arange(count, count + cameras.COLUMNS)])
        for view, row in enumerate(rows):
            values = _counting(row)
            weight = np.minimum(1.0, HUBER / np.maximum(np.abs(values), 1e-12))
            weight = np.where(row.hidden & (row.values <= 0.0), 0.0, weight)
            root = np.sqrt(weight)
            jacobian = np.concatenate([row.by_shared, row.by_camera], axis=1) * root[:, None]
            square = jacobian.T @ jacobian
            slope = jacobian.T @ (root * values)
            own = slice(count + view * self.own, count + (view + 1) * self.own)
            # A wobble moves the figure exactly as the shared angle does.
            hessian[:count, :count] += square[:count, :count]
            hessian[own, own] += square[np.ix_(private, private)]
            hessian[:count, own] += square[:count, private]
            hessian[own, :count] += square[private, :count]
            gradient[:count] += slope[:count]
            gradient[own] += slope[private]
        return hessian, gradient

    def solve(self, x: Points, softness: float, most: int) -> tuple[Points, int]:
        seen = self.look(x, softness)
        cost = self.cost(x, seen)
        damping = 1e-3
        for step in range(most):
            hessian, gradient = self.normal_equations(x, seen.rows())
            scale = np.diag(hessian).copy()
            for _ in range(6):
                np.fill_diagonal(hessian, scale * (1.0 + damping))
                trial = x - cho_solve(cho_factor(hessian, check_finite=False), gradient)
                # Most trials are only looked at: derivatives wait until one is taken.
                trial_seen = self.look(trial, softness)
                trial_cost = self.cost(trial, trial_seen)
                if trial_cost < cost:
                    break
                damping = max(damping * 10.0, 1e-4)
            else:
                return x, step
            gained = cost - trial_cost
            x, seen, cost = trial, trial_seen, trial_cost
            damping = max(damping * 0.1, 1e-7)
            if gained < 2e-3 * cost + 1e-3:
                return x, step + 1
        return x, most

    def finish(self, x: Points, steps: int) -> Fit:
        rows = self.look(x, 1.0).rows()
        hessian, _ = self.normal_equations(x, rows)
        covariance = self._covariance(hessian, rows)
        shared, wobbles, cams = self.unpack(x)
        cost = np.array([float(np.mean(_counting(row) ** 2)) if len(row.values) else 0.0 for row in rows])
        return Fit(
            model=self.model,
            sights=self.sights,
            shared=shared,
            wobbles=wobbles,
            cameras=cams,
            covariance=covariance,
            rows=tuple(rows),
            cost=cost,
            steps=steps,
        )

    def _covariance(self, hessian: Points, rows: Sequence[Rows]) -> Points:
        """Inverse of the normal equations, with the marks' noise as their own residuals show it.

        Drawings stray more than photographs, and the weights are meant for neither in particular; with few
        marks the residuals say little and the assumed noise stands.
        """
        from_marks = hessian - self.precision
        explained = float((_inverse(hessian) * from_marks).sum())
        values = np.concatenate([_counting(row) for row in rows])
        square = float(np.minimum(values**2, HUBER * np.abs(values)).sum())
        left = max(len(values) - explained, 0.0)
        noise = (square + TRUST_IN_WEIGHTS) / (left + TRUST_IN_WEIGHTS)
        return _inverse(from_marks / noise + self.precision)


def _inverse(matrix: Points) -> Points:
    """Inverse of a symmetric positive definite matrix, at a third of the cost of solving for it."""
    lower, failed = dpotri(cho_factor(matrix, lower=True)[0], lower=1)
    if failed:
        raise np.linalg.LinAlgError("the normal equations are singular")
    below = np.tril(lower)
    inverse: Points = below + np.tril(below, -1).T
    return inverse


def _counting(row: Rows | Look) -> Points:
    """Residuals that count: those of a hidden outline only where the body would stick out."""
    counted: Points = np.where(row.hidden, np.maximum(row.values, 0.0), row.values)
    return counted


FEWEST_ANCHORS = 2
"""Landmarks and outlined regions that place a figure in a picture at all."""


def says_where(picture: PictureMarks) -> bool:
    """Whether a picture's marks are enough to place the figure in it, however roughly."""
    outlined = {outline.region for outline in picture.outlines if len(outline.points) and not outline.hidden}
    return len(LANDMARKS.keys() & picture.landmarks.keys()) + len(outlined) >= FEWEST_ANCHORS


def _start(model: FigureModel, pictures: Sequence[PictureMarks]) -> tuple[list[Sight], Points]:
    """Sights and first cameras; a free view's yaw is searched for all the way round."""
    sights, starts = [], []
    for picture in pictures:
        picture.check()
        places, marks, weights = anchors(model, np.zeros(model.count), picture)
        if len(places) < FEWEST_ANCHORS:
            raise StudyError(
                "too few marks to place the figure.",
                where=picture.name,
                advice="Click at least the top of the head, the waist's ends, a knee and an ankle.",
            )
        yaw = cameras.VIEW_YAW[picture.view]
        if picture.view == "free":
            yaw = picture.yaw if picture.yaw is not None else best_yaw(places, marks, weights)[0]
        flat = flat_places(places, yaw)
        start = cameras.start_camera(flat, marks, weights)
        tall = model.stature * float(np.exp(start[cameras.LOG_SCALE]))
        sights.append(prepare(picture, model, yaw, tall))
        starts.append(start)
    if not sights:
        raise StudyError("there is no picture with marks.", advice="Mark at least one front picture.")
    return sights, np.stack(starts)


def anchors(model: FigureModel, shared: Points, picture: PictureMarks) -> tuple[Points, Points, Points]:
    """Rough pairs: places on a figure from its middle (m, 3), in the picture (m, 2), and weights (m,).

    Landmarks, and middles of outlines.
    """
    posed = model.pose(shared, derivatives=False)
    places: list[Points] = []
    marks: list[Points] = []
    weights: list[float] = []
    for name, mark in picture.landmarks.items():
        landmark = LANDMARKS.get(name)
        if landmark is None or landmark.region not in model.regions:
            continue
        region = model.regions[landmark.region]
        material = landmark_material(region, landmark)
        places.append(model.places(region, posed[landmark.region], shared, material)[0])
        marks.append(mark)
        weights.append(1.0)
    outlined: dict[str, list[Points]] = {}
    for outline in picture.outlines:
        if outline.region in model.regions and len(outline.points) and not outline.hidden:
            outlined.setdefault(outline.region, []).append(outline.points)
    for name, parts in outlined.items():
        grid = model.grid_places(model.regions[name], posed[name], shared)
        places.append(grid.reshape(-1, 3).mean(axis=0))
        marks.append(np.concatenate(parts).mean(axis=0))
        weights.append(0.2)
    from_middle = np.array(places).reshape(-1, 3) - model.middle
    return from_middle, np.array(marks).reshape(-1, 2), np.array(weights)


def best_yaw(places: Points, marks: Points, weights: Points) -> tuple[float, float]:
    """Yaw [degrees] under which places look most like marks, and how far off they still are [px]."""
    tried = []
    for yaw in np.arange(-180.0, 180.0, 15.0):
        flat = flat_places(places, yaw)
        start = cameras.start_camera(flat, marks, weights)
        seen = start[[cameras.RIGHT, cameras.DOWN]] + np.exp(start[cameras.LOG_SCALE]) * flat * [1.0, -1.0]
        off = float(np.sqrt((weights * ((seen - marks) ** 2).sum(axis=1)).sum() / weights.sum()))
        tried.append((off, float(yaw)))
    off, yaw = min(tried)
    return yaw, off


def flat_places(places: Points, yaw: float) -> Points:
    """Places as a distant camera at a yaw [degrees] sees them: h and v, (m, 2) [mm]."""
    rows, _, _ = cameras.axes(float(np.radians(yaw)), 0.0)
    flat: Points = places @ rows[:2].T
    return flat
