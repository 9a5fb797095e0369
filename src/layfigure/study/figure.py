"""The character's body as a stack of sections a region, deformed from a template's charts.

Every region keeps a local frame: x outward (to the left for the trunk), y to the back, z along its axis
in the direction of its stations. A point of the template keeps its local coordinates and its station;
the figure's parameters move it:

- lengths: the axial coordinate is stretched by e^l within each segment between levels;
- widths and depths: x and y about the section's centre by e^a(t) and e^b(t), natural cubic splines of
  the station t; the centre itself is shifted by two more splines;
- anchors: where a limb's joint sits on its parent; pose: two or three angles a joint.

All derivatives are exact.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import CubicSpline

from layfigure.body.chart import RegionChart
from layfigure.body.levels import REGIONS, Side, region_name
from layfigure.errors import StudyError
from layfigure.study.skeleton import SKELETON, Joint

Points = NDArray[np.float64]

SECTIONS_A_SEGMENT = 6
POINTS_A_SECTION = 64


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Material:
    """Points that belong to one region of the figure, ready to be moved: (m,) of them.

    local : (m, 3) template coordinates in the region's frame. centre : (m, 2) the section's centre there.
    breadth : (m, knots) spline weights of widths and depths. bend : (m, shift_knots) of the shifts.
    stretch : (m, segments) length of each segment between the joint and the point [mm].
    """

    local: Points
    centre: Points
    breadth: Points
    bend: Points
    stretch: Points

    def take(self, index: NDArray[np.int64]) -> Material:
        """Some of the points, in this order."""
        return Material(
            local=self.local[index],
            centre=self.centre[index],
            breadth=self.breadth[index],
            bend=self.bend[index],
            stretch=self.stretch[index],
        )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class RegionModel:
    """One region's template and where its parameters sit in the shared vector.

    frame : (3, 3) columns are the local axes in space; left and right mirror each other, so that the
    same angles and widths mean the same on both sides. origin : (3,) the joint in the template.
    sections, centres : (k, n, 3) and (k, 3) in the frame, from the joint. knots, bend_knots : stations.
    level_axial : axial coordinate of every level. The slices are columns of the shared parameters.
    angle_axes : which of flexion, abduction and twist (0, 1, 2) are solved.
    """

    name: str
    parent: str
    joint: Joint
    level_names: tuple[str, ...]
    frame: Points
    origin: Points
    stations: Points
    sections: Points
    centres: Points
    knots: Points
    bend_knots: Points
    level_axial: Points
    lengths: slice
    width: slice
    depth: slice
    bend_x: slice
    bend_y: slice
    anchor: slice
    pose: slice
    angle_axes: tuple[int, ...]
    anchor_material: Material | None

    @property
    def mirrored(self) -> bool:
        """True for a region of the right side."""
        return self.name.endswith("_right")

    def material(self, local: Points, station: Points) -> Material:
        """Prepare points given in the region's template frame, at stations (m,)."""
        local = np.atleast_2d(np.asarray(local, dtype=np.float64))
        t = np.broadcast_to(np.asarray(station, dtype=np.float64), (len(local),))
        centre = np.stack([np.interp(t, self.stations, self.centres[:, k]) for k in (0, 1)], axis=1)
        return Material(
            local=local,
            centre=centre,
            breadth=spline_weights(self.knots, t),
            bend=spline_weights(self.bend_knots, t),
            stretch=_stretch(self.level_axial, local[:, 2]),
        )

    def at(self, station: Points, around: Points) -> Material:
        """Prepare surface points at a station and a fraction of the *template's* girth, (m,) each."""
        return self.material(self.local_at(station, around), station)

    def local_at(self, station: Points, around: Points) -> Points:
        """Template coordinates of a surface point, (m, 3); stations beyond the chart move along the axis."""
        chart = RegionChart(
            region=self.name, level_names=self.level_names, stations=self.stations, sections=self.sections
        )
        inside = np.clip(station, self.stations[0], self.stations[-1])
        local = chart.points(inside, around)
        local[:, 2] += self.axial(station) - self.axial(inside)
        return local

    def axial(self, station: Points) -> Points:
        """Axial coordinate of a station, (m,) [mm], straight beyond the chart's ends."""
        return straight_beyond(self.stations, self.centres[:, 2], station)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PosedRegion:
    """Where one region is for one set of parameters, with derivatives by the shared parameters.

    Posed for several pictures, every array leads with their number.
    origin : (3,) its joint. turn : (3, 3) rotation away from the template's pose.
    origin_by : (3, p). spins : (3, p) angular velocity of each pose angle, zero for the rest.
    """

    origin: Points
    turn: Points
    origin_by: Points
    spins: Points


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FigureModel:
    """The template and the layout of the shared parameter vector (size ``count``).

    stature : of the template [mm]. middle : (3,) halfway up it, where cameras are aimed.
    """

    regions: Mapping[str, RegionModel]
    grids: Mapping[str, Material]
    count: int
    pose_columns: NDArray[np.int64]
    stature: float
    middle: Points

    def pose(
        self, parameters: Points, wobble: Points | None = None, *, derivatives: bool = True
    ) -> dict[str, PosedRegion]:
        """Chain all regions together.

        parameters : (count,). wobble : (poses,) one picture's own addition to the pose angles, (views, poses)
        for several pictures, or None. Without derivatives, those of the result have no columns.
        """
        p = parameters
        angles = p[self.pose_columns] + (0.0 if wobble is None else wobble)
        lead = angles.shape[:-1]
        columns = self.count if derivatives else 0
        posed: dict[str, PosedRegion] = {}
        for name, region in self.regions.items():
            origin_by = np.zeros((*lead, 3, columns))
            spins = np.zeros((*lead, 3, columns))
            if region.anchor_material is None:
                origin = np.broadcast_to(region.origin, (*lead, 3))
                turn = np.broadcast_to(np.eye(3), (*lead, 3, 3))
            else:
                parent, above = self.regions[region.parent], posed[region.parent]
                side = np.array([-1.0 if region.mirrored else 1.0, 1.0, 1.0])
                lever = above.turn @ (side * p[region.anchor])
                if derivatives:
                    place, by = self.move(parent, above, p, region.anchor_material)
                    origin_by += by.reshape(origin_by.shape)
                    origin_by[..., region.anchor] += above.turn * side
                    # The anchor's own offset turns with the parent too.
                    origin_by += _levers(lever.reshape(-1, 3)).reshape(*lead, 3, 3) @ above.spins
                else:
                    place = self.places(parent, above, p, region.anchor_material)
                origin = place.reshape(*lead, 3) + lever
                first = int(np.searchsorted(self.pose_columns, region.pose.start))
                own = angles[..., first : first + len(region.angle_axes)]
                turn, spins = _turn(region, above, own)
            posed[name] = PosedRegion(origin=origin, turn=turn, origin_by=origin_by, spins=spins)
        return posed

    def move(
        self, region: RegionModel, posed: PosedRegion, parameters: Points, material: Material
    ) -> tuple[Points, Points]:
        """Places (m, 3) of material points and their derivatives (m, 3, count).

        A region posed for several pictures moves one material point into each of them.
        """
        p = parameters
        local, growth_x, growth_y, growth_z = _deform(region, p, material)
        axes = posed.turn @ region.frame
        arm = (axes @ local[:, :, None])[:, :, 0]
        places = posed.origin + arm
        by = np.empty((len(places), 3, self.count))
        by[:] = posed.origin_by
        turning = np.flatnonzero(posed.spins.reshape(-1, self.count).any(axis=0))
        if len(turning):
            by[:, :, turning] += _levers(arm) @ posed.spins[..., turning]
        x, y, z = (axes[..., k].reshape(-1, 3)[:, :, None] for k in range(3))
        by[:, :, region.width] += x * (growth_x[:, None] * material.breadth)[:, None]
        by[:, :, region.depth] += y * (growth_y[:, None] * material.breadth)[:, None]
        by[:, :, region.bend_x] += x * material.bend[:, None]
        by[:, :, region.bend_y] += y * material.bend[:, None]
        by[:, :, region.lengths] += z * growth_z[:, None]
        return places, by

    def pulled(
        self,
        region: RegionModel,
        posed: PosedRegion,
        parameters: Points,
        material: Material,
        view: NDArray[np.int64],
        pull: Points,
    ) -> Points:
        """Derivatives of material points along one direction each, (m, count), without the other two.

        posed : for several pictures. view : (m,) the picture each point is in. pull : (m, 3) directions.
        """
        local, growth_x, growth_y, growth_z = _deform(region, parameters, material)
        axes = (posed.turn @ region.frame)[view]
        arm = (axes @ local[:, :, None])[:, :, 0]
        along = (pull[:, None, :] @ axes)[:, 0]
        torque = np.cross(arm, pull)
        by = np.empty((len(local), self.count))
        for number in range(len(posed.origin)):
            own = view == number
            by[own] = pull[own] @ posed.origin_by[number] + torque[own] @ posed.spins[number]
        by[:, region.width] += (along[:, 0] * growth_x)[:, None] * material.breadth
        by[:, region.depth] += (along[:, 1] * growth_y)[:, None] * material.breadth
        by[:, region.bend_x] += along[:, 0, None] * material.bend
        by[:, region.bend_y] += along[:, 1, None] * material.bend
        by[:, region.lengths] += along[:, 2, None] * growth_z
        return by

    def places(
        self, region: RegionModel, posed: PosedRegion, parameters: Points, material: Material
    ) -> Points:
        """Places of material points, without derivatives, (m, 3).

        A region posed for several pictures puts one point into each, or each of as many into its own.
        """
        local = _deform(region, parameters, material)[0]
        axes = posed.turn @ region.frame
        if axes.ndim == 2:
            return np.asarray(posed.origin + local @ axes.T)
        return np.asarray(posed.origin + (axes @ local[:, :, None])[:, :, 0])

    def seen_grid(
        self, region: RegionModel, posed: PosedRegion, parameters: Points, lenses: Points
    ) -> Points:
        """All section points of a region as pictures see them from the figure's middle, (views, k * n, 3).

        posed : for several pictures. lenses : (views, 3, 3), see ``camera.lens``.
        """
        local = _deform(region, parameters, self.grids[region.name])[0]
        turned = lenses @ posed.turn @ region.frame
        origin = (lenses @ (posed.origin - self.middle)[:, :, None])[:, :, 0]
        return np.asarray(local @ np.swapaxes(turned, 1, 2) + origin[:, None])

    def grid_places(self, region: RegionModel, posed: PosedRegion, parameters: Points) -> Points:
        """Places of all section points of a region, (k, n, 3)."""
        return self.places(region, posed, parameters, self.grids[region.name]).reshape(region.sections.shape)


def _levers(arm: Points) -> Points:
    """Matrices (m, 3, 3) that take an angular velocity to the velocity at the end of each arm (m, 3)."""
    levers = np.zeros((len(arm), 3, 3))
    x, y, z = arm.T
    levers[:, 0, 1], levers[:, 0, 2] = z, -y
    levers[:, 1, 0], levers[:, 1, 2] = -z, x
    levers[:, 2, 0], levers[:, 2, 1] = y, -x
    return levers


def _deform(region: RegionModel, p: Points, material: Material) -> tuple[Points, Points, Points, Points]:
    """Local coordinates as deformed, and the growth by a, b (m,) and by lengths (m, segments)."""
    growth_x = (material.local[:, 0] - material.centre[:, 0]) * np.exp(material.breadth @ p[region.width])
    growth_y = (material.local[:, 1] - material.centre[:, 1]) * np.exp(material.breadth @ p[region.depth])
    growth_z = material.stretch * np.exp(p[region.lengths])
    local = np.stack(
        [
            material.centre[:, 0] + growth_x + material.bend @ p[region.bend_x],
            material.centre[:, 1] + growth_y + material.bend @ p[region.bend_y],
            growth_z.sum(axis=1),
        ],
        axis=1,
    )
    return local, growth_x, growth_y, growth_z


def _turn(region: RegionModel, above: PosedRegion, angles: Points) -> tuple[Points, Points]:
    """Rotation of a region and the angular velocities of its own and its ancestors' angles."""
    spins = above.spins.copy()
    turn = above.turn
    handed = -1.0 if region.mirrored else 1.0
    # Flexion turns the same way on both sides; abduction and twist mirror.
    axes = (np.array([1.0, 0.0, 0.0]), np.array([0.0, -handed, 0.0]), handed * region.frame[:, 2])
    for k, which in enumerate(region.angle_axes):
        if spins.shape[-1]:
            spins[..., region.pose.start + k] = turn @ axes[which]
        turn = turn @ rotation(axes[which], angles[..., k])
    return turn, spins


def rotation(axis: Points, angle: Points | float) -> Points:
    """Right-handed rotations about an axis of any length but zero, (..., 3, 3). angle : (...) [rad]."""
    x, y, z = axis / np.sqrt(axis @ axis)
    cross = np.array([[0.0, -z, y], [z, 0.0, -x], [-y, x, 0.0]])
    turned = np.asarray(angle)[..., None, None]
    result: Points = np.eye(3) + np.sin(turned) * cross + (1.0 - np.cos(turned)) * (cross @ cross)
    return result


def straight_beyond(x: Points, y: Points, at: Points) -> Points:
    """Linear interpolation that runs on straight beyond both ends, shape of ``at``."""
    t = np.asarray(at, dtype=np.float64)
    first = (y[1] - y[0]) / (x[1] - x[0])
    last = (y[-1] - y[-2]) / (x[-1] - x[-2])
    inside: Points = np.interp(t, x, y)
    result: Points = inside + np.minimum(t - x[0], 0.0) * first + np.maximum(t - x[-1], 0.0) * last
    return result


def spline_weights(knots: Points, station: Points) -> Points:
    """Weights of the natural cubic spline through values at knots, (m, knots); constant beyond the ends."""
    t = np.clip(np.asarray(station, dtype=np.float64), knots[0], knots[-1])
    if len(knots) == 2:
        share = (t - knots[0]) / (knots[1] - knots[0])
        return np.stack([1.0 - share, share], axis=-1)
    weights: Points = _natural_spline(tuple(knots.tolist()))(t)
    return weights


@lru_cache(maxsize=64)
def _natural_spline(knots: tuple[float, ...]) -> CubicSpline:
    return CubicSpline(np.array(knots), np.eye(len(knots)), bc_type="natural")


def _stretch(levels: Points, axial: Points) -> Points:
    """Signed length of each segment between the joint (0) and an axial coordinate, (m, segments)."""
    low, high = levels[:-1].copy(), levels[1:].copy()
    low[0], high[-1] = -np.inf, np.inf
    to_point = np.clip(axial[:, None], low, high)
    to_joint = np.clip(0.0, low, high)
    result: Points = to_point - to_joint
    return result


def _sides(stem: str) -> tuple[Side, ...]:
    return ("left", "right") if REGIONS[stem].paired else ("middle",)


def _parent_name(stem: str, side: Side) -> str:
    if not stem:
        return ""
    return region_name(stem, side if REGIONS[stem].paired else "middle")


def build_model(charts: Mapping[str, RegionChart]) -> FigureModel:
    """Prepare the template's charts for fitting. Raises StudyError where the torso is missing.

    Regions whose parent is missing are left out.
    """
    if "torso" not in charts:
        raise StudyError("the template has no torso.", advice="Report this: the template is incomplete.")
    regions: dict[str, RegionModel] = {}
    count = 0
    pose_columns: list[int] = []
    for stem, joint in SKELETON.items():
        for side in _sides(stem):
            name = region_name(stem, side)
            parent = _parent_name(joint.parent, side)
            if name not in charts or (parent and parent not in regions):
                continue
            region = _region_model(charts[name], name, parent, joint, regions, count)
            count = region.pose.stop
            pose_columns.extend(range(region.pose.start, region.pose.stop))
            regions[name] = region
    heights = np.concatenate([chart.sections[:, :, 2].ravel() for chart in charts.values()])
    grids = {
        name: region.material(
            region.sections.reshape(-1, 3), np.repeat(region.stations, region.sections.shape[1])
        )
        for name, region in regions.items()
    }
    stature = float(heights.max() - min(0.0, float(heights.min())))
    return FigureModel(
        regions=regions,
        grids=grids,
        count=count,
        pose_columns=np.array(pose_columns, dtype=np.int64),
        stature=stature,
        middle=np.array([*regions["torso"].origin[:2], 0.5 * stature]),
    )


def _region_model(
    chart: RegionChart,
    name: str,
    parent: str,
    joint: Joint,
    regions: Mapping[str, RegionModel],
    start: int,
) -> RegionModel:
    handed = -1.0 if name.endswith("_right") else 1.0
    stations, sections = _thinned(chart)
    centres = _centres(sections)
    axis = centres[-1] - centres[0] if parent else np.array([0.0, 0.0, -1.0])
    axis = axis / np.linalg.norm(axis)
    outward = np.array([handed, 0.0, 0.0])
    outward = outward - axis * (outward @ axis)
    outward /= np.linalg.norm(outward)
    # Mirrored on the right, so that y points to the back on both sides.
    back = handed * np.cross(outward, axis)
    frame = np.stack([outward, back, axis], axis=1)
    local = (sections - centres[0]) @ frame
    middle = _centres(local)
    levels = np.arange(len(chart.level_names), dtype=np.float64)
    origin_axial = straight_beyond(stations, middle[:, 2], np.array(joint.root_station))
    root_x, root_y = (np.interp(joint.root_station, stations, middle[:, k]) for k in (0, 1))
    root = np.array([root_x, root_y, float(origin_axial)])
    origin = centres[0] + frame @ root
    local = local - root
    middle = middle - root
    segments = len(levels) - 1
    edges = np.cumsum([start, segments, joint.knots, joint.knots, joint.shift_knots, joint.shift_knots, 3])
    angle_axes = tuple(k for k, spread in enumerate((joint.flex, joint.abduct, joint.twist)) if spread > 0.0)
    low, high = max(stations[0], 0.0), min(stations[-1], levels[-1])
    return RegionModel(
        name=name,
        parent=parent,
        joint=joint,
        level_names=chart.level_names,
        frame=frame,
        origin=origin,
        stations=stations,
        sections=local,
        centres=middle,
        knots=np.linspace(low, high, joint.knots),
        bend_knots=np.linspace(low, high, joint.shift_knots),
        level_axial=straight_beyond(stations, middle[:, 2], levels),
        lengths=slice(*map(int, edges[0:2])),
        width=slice(*map(int, edges[1:3])),
        depth=slice(*map(int, edges[2:4])),
        bend_x=slice(*map(int, edges[3:5])),
        bend_y=slice(*map(int, edges[4:6])),
        anchor=slice(*map(int, edges[5:7])),
        pose=slice(int(edges[6]), int(edges[6]) + len(angle_axes)),
        angle_axes=angle_axes,
        anchor_material=_anchor(origin, parent, regions),
    )


def _anchor(origin: Points, parent: str, regions: Mapping[str, RegionModel]) -> Material | None:
    """The joint's place as material of the parent."""
    if not parent:
        return None
    above = regions[parent]
    local = above.frame.T @ (origin - above.origin)
    order = np.argsort(above.centres[:, 2])
    station = np.interp(local[2], above.centres[order, 2], above.stations[order])
    return above.material(local[None], np.array([station]))


def _thinned(chart: RegionChart) -> tuple[Points, Points]:
    """Fewer sections and points where the chart is finer than a fit needs; every level keeps a section."""
    first, last = chart.stations[0], chart.stations[-1]
    wanted = np.arange(np.floor(first), np.ceil(last) + 1e-9, 1.0 / SECTIONS_A_SEGMENT)
    wanted = np.unique(np.clip(wanted, first, last).round(6))
    stations = chart.stations if len(chart.stations) <= len(wanted) else wanted
    step = max(1, chart.sections.shape[1] // POINTS_A_SECTION)
    sections = np.stack([chart.section(float(t)) for t in stations])
    return np.asarray(stations, dtype=np.float64), sections[:, ::step]


def _centres(sections: Points) -> Points:
    """Middle of each section's bounding box across its axis, robust to where its points crowd, (k, 3)."""
    result: Points = 0.5 * (sections.min(axis=1) + sections.max(axis=1))
    return result
