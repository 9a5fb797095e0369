"""The figure made from a template's charts: each region thinned, in a frame of its own, on its parent."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from layfigure.body.chart import RegionChart
from layfigure.body.levels import REGIONS, Side, region_name
from layfigure.errors import StudyError
from layfigure.study.along_stations import straight_beyond
from layfigure.study.figure import FigureModel
from layfigure.study.region_model import Material, RegionModel
from layfigure.study.skeleton import SKELETON, Joint

Points = NDArray[np.float64]

SECTIONS_A_SEGMENT = 6
POINTS_A_SECTION = 64


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


def _sides(stem: str) -> tuple[Side, ...]:
    return ("left", "right") if REGIONS[stem].paired else ("middle",)


def _parent_name(stem: str, side: Side) -> str:
    if not stem:
        return ""
    return region_name(stem, side if REGIONS[stem].paired else "middle")


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
