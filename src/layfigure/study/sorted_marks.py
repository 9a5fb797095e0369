"""The marks made ready for fitting: sorted by picture, then by the region they lie on."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from layfigure.design.marks import PictureMarks
from layfigure.study.figure import FigureModel
from layfigure.study.landmarks import LANDMARKS, Landmark
from layfigure.study.region_model import Material, RegionModel
from layfigure.study.silhouette import (
    join,
)

Points = NDArray[np.float64]
Indices = NDArray[np.int64]

CLICK_SPREAD = 1.0
"""How steadily a hand clicks [px]."""

DRAWING_SPREAD = 0.0008
"""How far a drawing of a point disagrees with another drawing of it [share of stature]."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Sight:
    """One picture made ready for fitting.

    base_yaw : the stated view's [rad]. tall : the figure's height in this picture [px], for weights.
    landmarks : name to place [px], the known ones. fixed : those that are always the same point.
    outlines : by region, (k, 2) marks and hidden (k,).
    """

    picture: PictureMarks
    base_yaw: float
    free: bool
    tall: float
    landmarks: Mapping[str, Points]
    fixed: Mapping[str, Material]
    outlines: Mapping[str, tuple[Points, NDArray[np.bool_]]]


def prepare(picture: PictureMarks, model: FigureModel, yaw: float, tall: float) -> Sight:
    """Sort a picture's marks for fitting. yaw : degrees; tall : px."""
    gathered: dict[str, list[tuple[Points, bool]]] = {}
    for outline in picture.outlines:
        if outline.region in model.regions and len(outline.points):
            gathered.setdefault(outline.region, []).append((outline.points, outline.hidden))
    outlines = {
        region: (
            np.concatenate([points for points, _ in parts]),
            np.concatenate([np.full(len(points), hidden) for points, hidden in parts]),
        )
        for region, parts in gathered.items()
    }
    landmarks = {
        name: np.asarray(place, dtype=np.float64)
        for name, place in picture.landmarks.items()
        if name in LANDMARKS and LANDMARKS[name].region in model.regions
    }
    return Sight(
        picture=picture,
        base_yaw=float(np.radians(yaw)),
        free=picture.view == "free",
        tall=tall,
        landmarks=landmarks,
        fixed={
            name: landmark_material(
                model.regions[LANDMARKS[name].region], LANDMARKS[name], front=picture.view == "front"
            )
            for name in landmarks
        },
        outlines=outlines,
    )


@lru_cache(maxsize=512)
def landmark_material(region: RegionModel, landmark: Landmark, *, front: bool = False) -> Material:
    """A landmark as a fixed point of the figure: on its skin, or the middle of its section.

    A kneecap that faces the camera is clicked itself: it shows how far the leg is turned.
    """
    station = np.array([landmark.station])
    kneecap = front and region.name.startswith("shank") and landmark.station == 0.0
    if landmark.kind == "middle" and not kneecap:
        inside = np.clip(landmark.station, region.stations[0], region.stations[-1])
        centre = [float(np.interp(inside, region.stations, region.centres[:, k])) for k in (0, 1)]
        return region.material(np.array([[*centre, float(region.axial(station)[0])]]), station)
    return region.at(station, np.array([landmark.around]))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Asked:
    """All marks of all pictures on one region, landmarks first: what does not change while fitting.

    view : (l + m,) the picture each of l landmarks and m outline points is in. marks : (l + m, 2) [px].
    number : (l + m,) index among the picture's marks. hidden : (l + m,). fixed : the landmarks as points that
    are always the same. spreads : (l, 2) along and across [px]. levels : landmarks by level and side, as
    indices; toward : (levels,) which way along the frame's x axis they lie; row, share : (levels,) where;
    beyond : (levels,) past the chart's first section; carried : what they are there, along the axis.
    tips : landmarks at the region's tip, as indices.
    """

    region: RegionModel
    view: Indices
    marks: Points
    number: Indices
    hidden: NDArray[np.bool_]
    fixed: Material
    spreads: Points
    levels: Indices
    toward: Points
    row: Indices
    share: Points
    beyond: NDArray[np.bool_]
    carried: Material
    tips: Indices


def ask(model: FigureModel, sights: Sequence[Sight]) -> list[Asked]:
    """Sort the marks of all pictures by region."""
    regions = {LANDMARKS[name].region for sight in sights for name in sight.landmarks}
    regions |= {name for sight in sights for name in sight.outlines}
    return [_asked(region, sights) for name, region in model.regions.items() if name in regions]


def _asked(region: RegionModel, sights: Sequence[Sight]) -> Asked:
    """The marks of all pictures on one region."""
    clicked: list[tuple[int, int, str]] = []
    drawn: list[tuple[int, int]] = []
    for view, sight in enumerate(sights):
        clicked += [
            (view, number, name)
            for number, name in enumerate(sight.landmarks)
            if LANDMARKS[name].region == region.name
        ]
        number = len(sight.landmarks)
        for name, (points, _) in sight.outlines.items():
            if name == region.name:
                drawn.append((view, number))
            number += len(points)
    outlines = [sights[view].outlines[region.name] for view, _ in drawn]
    landmarks = [LANDMARKS[name] for _, _, name in clicked]
    levels = [i for i, landmark in enumerate(landmarks) if landmark.kind == "outline"]
    stations = np.array([landmarks[i].station for i in levels])
    position = np.interp(stations, region.stations, np.arange(len(region.stations)))
    row = np.minimum(position.astype(np.int64), len(region.stations) - 2)
    tall = np.array([sights[view].tall for view, _, _ in clicked])
    base = np.hypot(CLICK_SPREAD, DRAWING_SPREAD * tall)
    own = np.array([landmark.spread for landmark in landmarks]).reshape(-1, 2)
    empty = Material(
        local=np.zeros((0, 3)),
        centre=np.zeros((0, 2)),
        breadth=np.zeros((0, len(region.knots))),
        bend=np.zeros((0, len(region.bend_knots))),
        stretch=np.zeros((0, len(region.level_axial) - 1)),
    )
    return Asked(
        region=region,
        view=np.array(
            [view for view, _, _ in clicked]
            + [view for (view, _), (points, _) in zip(drawn, outlines, strict=True) for _ in points],
            dtype=np.int64,
        ),
        marks=np.concatenate(
            [np.array([sights[view].landmarks[name] for view, _, name in clicked]).reshape(-1, 2)]
            + [points for points, _ in outlines]
        ),
        number=np.concatenate(
            [np.array([number for _, number, _ in clicked], dtype=np.int64)]
            + [
                np.arange(first, first + len(points))
                for (_, first), (points, _) in zip(drawn, outlines, strict=True)
            ]
        ),
        hidden=np.concatenate([np.zeros(len(clicked), dtype=bool)] + [hidden for _, hidden in outlines]),
        fixed=join([empty, *(sights[view].fixed[name] for view, _, name in clicked)]),
        spreads=np.hypot(base[:, None], own * tall[:, None]),
        levels=np.array(levels, dtype=np.int64),
        toward=np.array([-1.0 if landmarks[i].toward in ("inner", "right") else 1.0 for i in levels]),
        row=row,
        share=position - row,
        beyond=stations < region.stations[0],
        carried=region.material(
            np.stack([0.0 * stations, 0.0 * stations, region.axial(stations)], axis=1), stations
        ),
        tips=np.array([i for i, landmark in enumerate(landmarks) if landmark.kind == "tip"], dtype=np.int64),
    )
