"""A mark on a picture becomes a place on the fitted figure: the ray meets the skin that faces the camera."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from layfigure.study import camera as cameras
from layfigure.study.camera import COLUMNS
from layfigure.study.figure import FigureModel, PosedRegion
from layfigure.study.fit import Fit
from layfigure.study.region_model import Material
from layfigure.study.silhouette import blend, find_contacts, silhouette

Points = NDArray[np.float64]
Indices = NDArray[np.int64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Casts:
    """Where m marks meet one region in one picture.

    hit : (m,) False where the ray passes the figure by; the nearest point of its outline stands in.
    row, column : (m,) place on the region's grid of sections and points, as real numbers.
    slope : (m, 2, 2) pixels by (row, column). off : (m,) distance of the mark from the place [px].
    depth : (m,) toward the camera [mm]. rise : (m, 2) depth by (row, column), zero where missed.
    material : the points, for derivatives.
    """

    hit: NDArray[np.bool_]
    row: Points
    column: Points
    slope: Points
    off: Points
    depth: Points
    rise: Points
    material: Material


class Caster:
    """One picture's view of the fitted figure, projected once for all its marks.

    columns : the fit's parameters that move it. covariance : theirs.
    """

    def __init__(self, fit: Fit, view: int) -> None:
        self.fit, self.view = fit, view
        self.posed: dict[str, PosedRegion] = fit.model.pose(fit.shared, fit.wobbles[view])
        self.columns = np.concatenate([np.arange(fit.model.count), fit.columns(view)])
        self.covariance = fit.covariance[np.ix_(self.columns, self.columns)]
        self._pixels: dict[str, tuple[Points, Points]] = {}

    def grid(self, region: str) -> tuple[Points, Points]:
        """Projected grid of a region (k, n, 2) [px] and its depth (k, n) [mm]."""
        if region not in self._pixels:
            model, fit = self.fit.model, self.fit
            places = model.grid_places(model.regions[region], self.posed[region], fit.shared)
            pixels, depth = cameras.project(
                fit.cameras[self.view],
                fit.sights[self.view].base_yaw,
                model.middle,
                places.reshape(-1, 3),
            )
            self._pixels[region] = pixels.reshape(*places.shape[:2], 2), depth.reshape(places.shape[:2])
        return self._pixels[region]

    def cast(self, region: str, marks: Points) -> Casts:
        """Meet a region with the rays of marks, (m, 2) [px]."""
        pixels, depth = self.grid(region)
        k, n = depth.shape
        wrapped = np.concatenate([pixels, pixels[:, :1]], axis=1)
        deep = np.concatenate([depth, depth[:, :1]], axis=1)
        found = np.zeros(len(marks), dtype=bool)
        row, column, front = np.zeros(len(marks)), np.zeros(len(marks)), np.full(len(marks), -np.inf)
        slope, rise = np.zeros((len(marks), 2, 2)), np.zeros((len(marks), 2))
        for corner, sign in (((0, 0), 1.0), ((1, 1), -1.0)):
            # Each cell is two triangles, told apart by their right-angled corner.
            i, j = corner
            a = wrapped[i : k - 1 + i, j : n + j].reshape(-1, 2)
            by_row = sign * (wrapped[1 - i : k - i, j : n + j].reshape(-1, 2) - a)
            by_column = sign * (wrapped[i : k - 1 + i, 1 - j : n + 1 - j].reshape(-1, 2) - a)
            z = deep[i : k - 1 + i, j : n + j].ravel()
            z_row = sign * (deep[1 - i : k - i, j : n + j].ravel() - z)
            z_column = sign * (deep[i : k - 1 + i, 1 - j : n + 1 - j].ravel() - z)
            determinant = by_row[:, 0] * by_column[:, 1] - by_row[:, 1] * by_column[:, 0]
            determinant = np.where(np.abs(determinant) < 1e-9, np.inf, determinant)
            gap = marks[:, None] - a
            r = (gap[..., 0] * by_column[:, 1] - gap[..., 1] * by_column[:, 0]) / determinant
            c = (by_row[:, 0] * gap[..., 1] - by_row[:, 1] * gap[..., 0]) / determinant
            inside = (sign * r >= -1e-9) & (sign * c >= -1e-9) & (sign * (r + c) <= 1.0 + 1e-9)
            here = np.where(inside, z + r * z_row + c * z_column, -np.inf)
            best = here.argmax(axis=1)
            which = np.arange(len(marks))
            nearer = here[which, best] > front
            front = np.where(nearer, here[which, best], front)
            first_row, first_column = np.divmod(best, n)
            row = np.where(nearer, first_row + i + r[which, best], row)
            column = np.where(nearer, first_column + j + c[which, best], column)
            slope[nearer] = np.stack([by_row[best], by_column[best]], axis=2)[nearer]
            # The triangle's slopes are taken with its sign already.
            rise[nearer] = np.stack([z_row[best], z_column[best]], axis=1)[nearer]
            found |= nearer
        off = np.zeros(len(marks))
        if not found.all():
            missed = np.flatnonzero(~found)
            row[missed], column[missed], slope[missed], off[missed] = self._nearest(region, marks[missed])
            front[missed] = -np.inf
        row, column = np.clip(row, 0.0, k - 1.0), np.mod(column, n)
        return Casts(
            hit=found,
            row=row,
            column=column,
            slope=slope,
            off=off,
            depth=front,
            rise=rise,
            material=grid_material(self.fit.model, region, row, column),
        )

    def _nearest(self, region: str, marks: Points) -> tuple[Points, Points, Points, Points]:
        """Nearest outline points for marks that miss, as row, column, slope and distance."""
        pixels, _ = self.grid(region)
        n = pixels.shape[1]
        outline = silhouette(pixels)
        contacts = find_contacts(outline, marks)
        first = outline.ends[contacts.side, contacts.row].astype(np.float64)
        second = outline.ends[contacts.side, contacts.row + 1].astype(np.float64)
        # The end may jump across the seam between the last point and the first.
        second = first + np.mod(second - first + n / 2.0, n) - n / 2.0
        row = contacts.row + contacts.share
        column = np.mod(first + contacts.share * (second - first), n)
        ends = outline.lines[contacts.side, contacts.row], outline.lines[contacts.side, contacts.row + 1]
        place = ends[0] + contacts.share[:, None] * (ends[1] - ends[0])
        index = outline.ends[contacts.side, contacts.row]
        by_row = ends[1] - ends[0]
        by_column = 0.5 * (pixels[contacts.row, (index + 1) % n] - pixels[contacts.row, (index - 1) % n])
        slope = np.stack([by_row, by_column], axis=2)
        return row, column, slope, np.linalg.norm(marks - place, axis=1)

    def pixels(self, region: str, material: Material) -> Points:
        """Where material points of a region are seen, (m, 2) [px]."""
        fit, model = self.fit, self.fit.model
        places = model.places(model.regions[region], self.posed[region], fit.shared, material)
        base = fit.sights[self.view].base_yaw
        return cameras.project(fit.cameras[self.view], base, model.middle, places)[0]

    def derivatives(self, region: str, material: Material) -> Points:
        """Pixels of material points by all parameters of the fit, (m, 2, p)."""
        fit, model = self.fit, self.fit.model
        places, by = model.move(model.regions[region], self.posed[region], fit.shared, material)
        _, by_place, by_camera = cameras.project_with_derivatives(
            fit.cameras[self.view], fit.sights[self.view].base_yaw, model.middle, places
        )
        shared = by_place @ by
        result = np.zeros((len(places), 2, len(fit.covariance)))
        result[:, :, : model.count] = shared
        own = fit.columns(self.view)
        result[:, :, own[:-COLUMNS]] = shared[:, :, model.pose_columns]
        result[:, :, own[-COLUMNS:]] = by_camera
        return result


def grid_material(model: FigureModel, region: str, row: Points, column: Points) -> Material:
    """Material between the grid points of a region, bilinear."""
    k, n, _ = model.regions[region].sections.shape
    low = np.clip(np.floor(row).astype(np.int64), 0, k - 2)
    left = np.floor(column).astype(np.int64) % n
    right = (left + 1) % n
    r, c = row - low, column - np.floor(column)
    index = np.stack([low * n + left, low * n + right, (low + 1) * n + left, (low + 1) * n + right], axis=1)
    weights = np.stack([(1 - r) * (1 - c), (1 - r) * c, r * (1 - c), r * c], axis=1)
    return blend(model.grids[region], index, weights)
