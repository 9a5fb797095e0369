"""How far a figure and its cameras are from the marks, in standard deviations, with exact derivatives."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from layfigure.study import camera as cameras
from layfigure.study.figure import FigureModel, PosedRegion
from layfigure.study.region_model import Material
from layfigure.study.silhouette import (
    Contacts,
    Silhouette,
    blend,
    contact_weights,
    find_contacts,
    silhouette,
)
from layfigure.study.sorted_marks import CLICK_SPREAD, Asked, Sight

Points = NDArray[np.float64]
Indices = NDArray[np.int64]

OUTLINE_SPREAD = 0.002
"""How far a drawn outline strays from the body's, one standard deviation [share of stature]: folds of cloth,
and points that err together along a limb, so that many of them say less than many would."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Rows:
    """Residuals of one picture, in standard deviations.

    values : (r,). by_shared : (r, count). by_camera : (r, 8). mark : (r,) index of the mark a row belongs
    to, landmarks first in their order, then outline points by region. hidden : (r,) rows that only count
    when positive: the figure sticks out of its own clothes.
    """

    values: Points
    by_shared: Points
    by_camera: Points
    mark: Indices
    hidden: NDArray[np.bool_]
    names: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Met:
    """Which points of a region its marks meet, one row a residual: two for a landmark, one for an outline.

    directions : (r, 2) in which a residual is measured, over its spread [1/px]. swell : (r,) how it grows as
    the picture's outlines stand off the body. places : (r, 3) [mm].
    """

    asked: Asked
    row: Indices
    material: Material
    directions: Points
    swell: Points
    places: Points


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Look:
    """Residuals of all pictures for one set of parameters; their derivatives only when they are asked for.

    values, hidden, view : (r,), region by region.
    """

    model: FigureModel
    sights: tuple[Sight, ...]
    shared: Points
    wobbles: Points
    cameras: Points
    met: tuple[_Met, ...]
    values: Points
    hidden: NDArray[np.bool_]
    view: Indices

    def rows(self) -> list[Rows]:
        """Residuals with derivatives, by picture."""
        posed = self.model.pose(self.shared, self.wobbles)
        places = np.concatenate([met.places for met in self.met])
        directions = np.concatenate([met.directions for met in self.met])
        pull = np.zeros((len(places), 3))
        by_camera = np.zeros((len(places), cameras.COLUMNS))
        for number, sight in enumerate(self.sights):
            own = np.flatnonzero(self.view == number)
            _, by_place, by_own = cameras.project_with_derivatives(
                self.cameras[number], sight.base_yaw, self.model.middle, places[own]
            )
            pull[own] = (directions[own][:, None] @ by_place)[:, 0]
            by_camera[own] = (directions[own][:, None] @ by_own)[:, 0]
        by_camera[:, cameras.SWELL] = np.concatenate([met.swell for met in self.met])
        first, parts = 0, []
        for met in self.met:
            own = np.arange(first, first + len(met.row))
            first += len(met.row)
            name = met.asked.region.name
            parts.append(
                self.model.pulled(
                    met.asked.region, posed[name], self.shared, met.material, self.view[own], pull[own]
                )
            )
        by_shared = np.concatenate(parts)
        mark = np.concatenate([met.asked.number[met.row] for met in self.met])
        return [
            Rows(
                values=self.values[own],
                by_shared=by_shared[own],
                by_camera=by_camera[own],
                mark=mark[own],
                hidden=self.hidden[own],
                names=tuple(_names(sight)),
            )
            for number, sight in enumerate(self.sights)
            for own in [np.flatnonzero(self.view == number)]
        ]


def _names(sight: Sight) -> list[str]:
    """What each mark of a picture is, in their order."""
    names = list(sight.landmarks)
    for region, (points, _) in sight.outlines.items():
        names += [f"outline of {region}"] * len(points)
    return names


def look(
    model: FigureModel,
    sights: Sequence[Sight],
    asked: Sequence[Asked],
    shared: Points,
    wobbles: Points,
    own_cameras: Points,
    *,
    outline_factor: float = 1.0,
) -> Look:
    """All residuals of all pictures. ``outline_factor`` widens the outlines' spread in early steps.

    wobbles : (views, poses). own_cameras : (views, 8).
    """
    posed = model.pose(shared, wobbles, derivatives=False)
    lenses = np.stack([cameras.lens(own_cameras[v], sight.base_yaw) for v, sight in enumerate(sights)])
    tall = np.array([sight.tall for sight in sights])
    # (views, 2, 3): right and up as the pictures see them.
    flat = np.stack(
        [
            cameras.axes(sight.base_yaw + own_cameras[v, cameras.YAW], 0.0)[0][:2]
            for v, sight in enumerate(sights)
        ]
    )
    met = []
    for one in asked:
        here = posed[one.region.name]
        grid = model.seen_grid(one.region, here, shared, lenses)
        pixels = cameras.through(own_cameras, grid)
        met.append(_meet(model, one, here, shared, flat, pixels, tall, outline_factor))
    view = np.concatenate([one.asked.view[one.row] for one in met])
    places = np.concatenate([one.places for one in met])
    directions = np.concatenate([one.directions for one in met])
    swell = np.concatenate([one.swell for one in met])
    targets = np.concatenate([one.asked.marks[one.row] for one in met])
    found = np.zeros((len(places), 2))
    for number, sight in enumerate(sights):
        own = np.flatnonzero(view == number)
        found[own] = cameras.project(own_cameras[number], sight.base_yaw, model.middle, places[own])[0]
    return Look(
        model=model,
        sights=tuple(sights),
        shared=shared,
        wobbles=wobbles,
        cameras=own_cameras,
        met=tuple(met),
        values=(directions * (found - targets)).sum(axis=1) + swell * own_cameras[view, cameras.SWELL],
        hidden=np.concatenate([one.asked.hidden[one.row] for one in met]),
        view=view,
    )


def _meet(
    model: FigureModel,
    asked: Asked,
    posed: PosedRegion,
    shared: Points,
    flat: Points,
    pixels: Points,
    tall: Points,
    outline_factor: float,
) -> _Met:
    """The points one region's marks meet. flat : (views, 2, 3). pixels : (views, k * n, 2) its grid."""
    region, grid = asked.region, model.grids[asked.region.name]
    count, shape = len(asked.spreads), region.sections.shape[:2]
    outlines = silhouette(pixels.reshape(len(pixels), *shape, 2))
    clicked, drawn = asked.view[:count], asked.view[count:]
    level_side, faced = _facing(asked, posed, flat, outlines)
    contacts = find_contacts(outlines.seen(drawn), asked.marks[count:])
    ends = Contacts(
        side=np.concatenate([level_side[faced], contacts.side]),
        row=np.concatenate([asked.row[faced], contacts.row]),
        share=np.concatenate([asked.share[faced], contacts.share]),
        normals=contacts.normals,
        overrun=contacts.overrun,
    )
    where = np.concatenate([asked.levels[faced], np.arange(count, len(asked.view))])
    index, weights = contact_weights(shape[1], outlines, ends, asked.view[where])
    if len(asked.tips):
        index = np.concatenate([index, _tips(asked, outlines, pixels)])
        weights = np.concatenate([weights, np.tile([1.0, 0.0], (len(asked.tips), 1))])
        where = np.concatenate([where, asked.tips])
    blended = blend(grid, index, weights)
    material = _filled(asked.fixed, blended, where, len(asked.view))
    # A level beyond the chart's end keeps its outline's shape, carried along the axis.
    carried = faced & asked.beyond
    if carried.any():
        material.local[asked.levels[carried], 2] = asked.carried.local[carried, 2]
        material.stretch[asked.levels[carried]] = asked.carried.stretch[carried]
    axis = outlines.axis[clicked]
    across = np.stack([-axis[:, 1], axis[:, 0]], axis=1)
    by_landmark = np.stack([axis, across], axis=1) / asked.spreads[:, :, None]
    high = tall[drawn]
    spread = np.hypot(CLICK_SPREAD, OUTLINE_SPREAD * high) * outline_factor
    # A mark past the region's end says less and less of it.
    fade = 1.0 + contacts.overrun / (0.01 * high)
    by_outline = contacts.normals / (spread * fade)[:, None]
    # A landmark's one point gives two rows.
    row = np.concatenate([np.repeat(np.arange(count), 2), np.arange(count, len(asked.view))])
    here = PosedRegion(
        origin=posed.origin[asked.view],
        turn=posed.turn[asked.view],
        origin_by=posed.origin_by,
        spins=posed.spins,
    )
    return _Met(
        asked=asked,
        row=row,
        material=material.take(row),
        directions=np.concatenate([by_landmark.reshape(-1, 2), by_outline]),
        swell=np.concatenate(
            [np.zeros(2 * count), np.where(asked.hidden[count:], 0.0, high / (spread * fade))]
        ),
        places=model.places(region, here, shared, material)[row],
    )


def _facing(
    asked: Asked, posed: PosedRegion, flat: Points, outlines: Silhouette
) -> tuple[Indices, NDArray[np.bool_]]:
    """Toward which side of its outline each level's named end lies, and whether that can be told at all.

    Seen end on, it cannot: the end then is a fixed point of the skin.
    """
    view = asked.view[asked.levels]
    outward = (posed.turn @ asked.region.frame)[view, :, 0] * asked.toward[:, None]
    seen = (flat[view] @ outward[:, :, None])[:, :, 0] * np.array([1.0, -1.0])
    facing = (seen * outlines.normal[view]).sum(axis=1)
    return np.where(facing > 0.0, 0, 1), np.abs(facing) > 0.5


def _tips(asked: Asked, outlines: Silhouette, pixels: Points) -> Indices:
    """Section points farthest along the region's axis, away from its joint, as grid points, (tips, 2)."""
    away = -1.0 if asked.region.joint.root_station > 0.0 else 1.0
    view = asked.view[asked.tips]
    index: Indices = (away * (pixels[view] @ outlines.axis[view][:, :, None])[:, :, 0]).argmax(axis=1)
    return np.stack([index, index], axis=1)


def _filled(fixed: Material, found: Material, where: Indices, size: int) -> Material:
    """Fixed points first, then room, with found points put in at their indices."""

    def field(one: Points, other: Points) -> Points:
        whole = np.empty((size, one.shape[1]))
        whole[: len(one)] = one
        whole[where] = other
        return whole

    return Material(
        local=field(fixed.local, found.local),
        centre=field(fixed.centre, found.centre),
        breadth=field(fixed.breadth, found.breadth),
        bend=field(fixed.bend, found.bend),
        stretch=field(fixed.stretch, found.stretch),
    )
