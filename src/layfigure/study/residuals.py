"""How far a figure and its cameras are from the marks, in standard deviations, with exact derivatives."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from layfigure.design.marks import PictureMarks
from layfigure.study import camera as cameras
from layfigure.study.figure import FigureModel, Material, PosedRegion, RegionModel
from layfigure.study.landmarks import LANDMARKS, Landmark
from layfigure.study.silhouette import (
    Contacts,
    Silhouette,
    contact_material,
    end_at,
    find_contacts,
    join,
    silhouette,
)

Points = NDArray[np.float64]
Indices = NDArray[np.int64]

CLICK_SPREAD = 1.0
"""How steadily a hand clicks [px]."""

OUTLINE_SPREAD = 0.0012
"""How far a drawn outline strays from the body's, one standard deviation [share of stature]."""

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


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Rows:
    """Residuals of one picture, in standard deviations.

    values : (r,). by_shared : (r, count). by_camera : (r, 7). mark : (r,) index of the mark a row belongs
    to, landmarks first in their order, then outline points by region. hidden : (r,) rows that only count
    when positive: the figure sticks out of its own clothes.
    """

    values: Points
    by_shared: Points
    by_camera: Points
    mark: Indices
    hidden: NDArray[np.bool_]
    names: tuple[str, ...]


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
            name: landmark_material(model.regions[LANDMARKS[name].region], LANDMARKS[name], picture.view)
            for name in landmarks
        },
        outlines=outlines,
    )


def landmark_material(region: RegionModel, landmark: Landmark, view: str = "") -> Material:
    """A landmark as a fixed point of the figure: on its skin, or the middle of its section.

    A kneecap that faces the camera is clicked itself: it shows how far the leg is turned.
    """
    station = np.array([landmark.station])
    kneecap = view == "front" and region.name.startswith("shank") and landmark.station == 0.0
    if landmark.kind == "middle" and not kneecap:
        inside = np.clip(landmark.station, region.stations[0], region.stations[-1])
        centre = [float(np.interp(inside, region.stations, region.centres[:, k])) for k in (0, 1)]
        return region.material(np.array([[*centre, float(region.axial(station)[0])]]), station)
    return region.at(station, np.array([landmark.around]))


def evaluate(
    model: FigureModel,
    sight: Sight,
    shared: Points,
    wobble: Points,
    camera: Points,
    *,
    outline_factor: float = 1.0,
) -> Rows:
    """All residuals of one picture. ``outline_factor`` widens the outlines' spread in early steps."""
    posed = model.pose(shared, wobble)
    middle = model.middle
    collected = _Collector(model, sight, posed, shared, camera, middle, outline_factor)
    for name, place in sight.landmarks.items():
        collected.add_landmark(name, place)
    for region, (points, hidden) in sight.outlines.items():
        collected.add_outline(region, points, hidden)
    return collected.rows()


class _Collector:
    """Gathers material points by region and the rows they give."""

    def __init__(
        self,
        model: FigureModel,
        sight: Sight,
        posed: Mapping[str, PosedRegion],
        shared: Points,
        camera: Points,
        middle: Points,
        outline_factor: float,
    ) -> None:
        self._model, self._sight, self._posed, self._shared = model, sight, posed, shared
        self._camera, self._middle, self._factor = camera, middle, outline_factor
        self._flat_rows = cameras.axes(sight.base_yaw + camera[cameras.YAW], 0.0)[0][:2]
        self._outlines: dict[str, Silhouette] = {}
        self._grids: dict[str, Points] = {}
        self._parts: dict[str, list[tuple[Material, Points, Points, Indices, NDArray[np.bool_]]]] = {}
        self._names: list[str] = []

    def _projected(self, region: str) -> Points:
        if region not in self._grids:
            places = self._model.grid_places(self._model.regions[region], self._posed[region], self._shared)
            pixels, _ = cameras.project(
                self._camera, self._sight.base_yaw, self._middle, places.reshape(-1, 3)
            )
            self._grids[region] = pixels.reshape(*places.shape[:2], 2)
        return self._grids[region]

    def _silhouette(self, region: str) -> Silhouette:
        if region not in self._outlines:
            self._outlines[region] = silhouette(self._projected(region))
        return self._outlines[region]

    def add_landmark(self, name: str, place: Points) -> None:
        landmark = LANDMARKS[name]
        region = self._model.regions[landmark.region]
        outline = self._silhouette(landmark.region)
        facing = self._facing(region, outline, landmark) if landmark.kind == "outline" else 0.0
        if abs(facing) > 0.5:
            side = 0 if facing > 0.0 else 1
            position = float(np.interp(landmark.station, region.stations, np.arange(len(region.stations))))
            row = min(int(position), len(region.stations) - 2)
            contact = end_at(outline, row, position - row, side)
            material = self._contact(landmark.region, outline, contact)
            if landmark.station < region.stations[0]:
                material = _moved_along(region, material, landmark.station)
        elif landmark.kind == "tip":
            material = self._tip(region, outline)
        else:
            material = self._sight.fixed[name]
        axis, tall = outline.axis, self._sight.tall
        base = np.hypot(CLICK_SPREAD, DRAWING_SPREAD * tall)
        spreads = np.hypot(base, np.array(landmark.spread) * tall)
        directions = np.stack([axis, [-axis[1], axis[0]]]) / spreads[:, None]
        mark = np.full(2, len(self._names))
        self._names.append(name)
        self._parts.setdefault(landmark.region, []).append(
            (material, directions, np.stack([place, place]), mark, np.zeros(2, dtype=bool))
        )

    def _contact(self, name: str, outline: Silhouette, contacts: Contacts) -> Material:
        region = self._model.regions[name]
        return contact_material(self._model.grids[name], region.sections.shape[1], outline, contacts)

    def _facing(self, region: RegionModel, outline: Silhouette, landmark: Landmark) -> float:
        """Whether a named end lies toward +normal (1) or -normal (-1); near 0 when seen end on."""
        outward = (self._posed[region.name].turn @ region.frame)[:, 0]
        if landmark.toward in ("inner", "right"):
            outward = -outward
        seen = (self._flat_rows @ outward) * np.array([1.0, -1.0])
        return float(seen @ outline.normal)

    def _tip(self, region: RegionModel, outline: Silhouette) -> Material:
        """The section point farthest along the region's axis, away from its joint."""
        pixels = self._projected(region.name)
        away = -1.0 if region.joint.root_station > 0.0 else 1.0
        index = int((away * (pixels @ outline.axis)).argmax())
        grid = self._model.grids[region.name]
        one = slice(index, index + 1)
        return Material(
            local=grid.local[one],
            centre=grid.centre[one],
            breadth=grid.breadth[one],
            bend=grid.bend[one],
            stretch=grid.stretch[one],
        )

    def add_outline(self, name: str, points: Points, hidden: NDArray[np.bool_]) -> None:
        outline = self._silhouette(name)
        contacts = find_contacts(outline, points)
        tall = self._sight.tall
        spread = float(np.hypot(CLICK_SPREAD, OUTLINE_SPREAD * tall)) * self._factor
        # A mark past the region's end says less and less of it.
        fade = 1.0 + contacts.overrun / (0.01 * tall)
        directions = contacts.normals / (spread * fade)[:, None]
        material = self._contact(name, outline, contacts)
        mark = np.arange(len(points)) + len(self._names)
        self._names.extend([f"outline of {name}"] * len(points))
        self._parts.setdefault(name, []).append((material, directions, points, mark, hidden))

    def rows(self) -> Rows:
        count = self._model.count
        values, shared, camera, marks, hiddens = [], [], [], [], []
        for name, parts in self._parts.items():
            region = self._model.regions[name]
            places, by = self._model.move(
                region, self._posed[name], self._shared, join([part[0] for part in parts])
            )
            pixels, by_place, by_camera = cameras.project_with_derivatives(
                self._camera, self._sight.base_yaw, self._middle, places
            )
            # A landmark's one point gives two rows.
            times = np.concatenate([np.full(len(p[0].local), len(p[1]) // len(p[0].local)) for p in parts])
            point = np.repeat(np.arange(len(places)), times)
            pixels, by_place, by_camera, by = pixels[point], by_place[point], by_camera[point], by[point]
            directions = np.concatenate([part[1] for part in parts])
            targets = np.concatenate([part[2] for part in parts])
            values.append((directions * (pixels - targets)).sum(axis=1))
            pull = directions[:, None, :] @ by_place
            shared.append((pull @ by)[:, 0])
            camera.append((directions[:, None, :] @ by_camera)[:, 0])
            marks.append(np.concatenate([part[3] for part in parts]))
            hiddens.append(np.concatenate([part[4] for part in parts]))
        if not values:
            return Rows(
                values=np.zeros(0),
                by_shared=np.zeros((0, count)),
                by_camera=np.zeros((0, cameras.COLUMNS)),
                mark=np.zeros(0, dtype=np.int64),
                hidden=np.zeros(0, dtype=bool),
                names=(),
            )
        return Rows(
            values=np.concatenate(values),
            by_shared=np.concatenate(shared),
            by_camera=np.concatenate(camera),
            mark=np.concatenate(marks),
            hidden=np.concatenate(hiddens),
            names=tuple(self._names),
        )


def _moved_along(region: RegionModel, material: Material, station: float) -> Material:
    """The same point carried along the axis to a station beyond the chart's end."""
    local = material.local.copy()
    local[:, 2] = float(region.axial(np.array([station]))[0])
    return region.material(local, np.full(len(local), station))
