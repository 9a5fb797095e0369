"""What is believed of a figure before any mark: smooth, roughly human, nearly symmetric."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from layfigure.study.figure import FigureModel
from layfigure.study.region_model import RegionModel
from layfigure.study.skeleton import (
    BREADTH_SPREAD,
    BREADTH_WAVE,
    LENGTH_SPREAD,
    LENGTH_TOGETHER,
    POSE_SIDES_TOGETHER,
    SIDES_TOGETHER,
    WIDTH_WITH_DEPTH,
)

Points = NDArray[np.float64]

REACH_OF_A_WAVE = {"torso": 0.9}
"""How far along a region its breadths change together [stations]; others below."""
REACH_ELSEWHERE = 0.35

HUMAN_STATURE = 1650.0
"""Stature the spreads in millimetres of the skeleton are meant for."""


def prior_precision(model: FigureModel) -> Points:
    """Inverse covariance of the shared parameters, (count, count). Their mean is zero: the template."""
    precision = np.zeros((model.count, model.count))
    done: set[str] = set()
    for name, region in model.regions.items():
        if name in done:
            continue
        twin = name.removesuffix("_left") + "_right"
        pair = [region]
        if name.endswith("_left") and twin in model.regions:
            pair.append(model.regions[twin])
        done.update(member.name for member in pair)
        size = model.stature / HUMAN_STATURE
        for attribute, covariance, together in _blocks(region, size):
            columns = [np.concatenate([np.r_[getattr(member, a)] for a in attribute]) for member in pair]
            if len(pair) == 2:
                between = np.array([[1.0, together], [together, 1.0]])
                covariance = np.kron(between, covariance)
            index = np.concatenate(columns)
            precision[np.ix_(index, index)] = np.linalg.inv(covariance)
    return precision


def _blocks(region: RegionModel, size: float) -> list[tuple[tuple[str, ...], Points, float]]:
    """Parameter names, their covariance on one side, and the correlation between sides."""
    joint = region.joint
    reach = REACH_OF_A_WAVE.get(region.name, REACH_ELSEWHERE)
    segments = region.lengths.stop - region.lengths.start
    lengths = LENGTH_SPREAD**2 * (
        (1.0 - LENGTH_TOGETHER) * np.eye(segments) + LENGTH_TOGETHER * np.ones((segments, segments))
    )
    breadth = BREADTH_SPREAD**2 + BREADTH_WAVE**2 * _smooth(region.knots, reach)
    both = np.kron(np.array([[1.0, WIDTH_WITH_DEPTH], [WIDTH_WITH_DEPTH, 1.0]]), breadth)
    bend = _smooth(region.bend_knots, reach)
    blocks: list[tuple[tuple[str, ...], Points, float]] = [
        (("lengths",), lengths, SIDES_TOGETHER),
        (("width", "depth"), both, SIDES_TOGETHER),
        (("bend_x",), (size * joint.shift[0]) ** 2 * bend, 0.9),
        (("bend_y",), (size * joint.shift[1]) ** 2 * bend, 0.9),
    ]
    # The torso's anchor is the picture's own offset, which every camera solves: hold it at zero.
    anchor = np.maximum(size * np.array(joint.anchor), 1e-3)
    blocks.append((("anchor",), np.diag(anchor**2), 0.9))
    spreads = np.array([(joint.flex, joint.abduct, joint.twist)[k] for k in region.angle_axes])
    if len(spreads):
        blocks.append((("pose",), np.diag(np.radians(spreads) ** 2), POSE_SIDES_TOGETHER))
    return blocks


def _smooth(knots: Points, reach: float) -> Points:
    """Correlation of a smooth curve's values at its knots, with a little roughness."""
    apart = (knots[:, None] - knots) / reach
    correlation: Points = 0.97 * np.exp(-0.5 * apart**2) + 0.03 * np.eye(len(knots))
    return correlation


def wobble_precision(model: FigureModel) -> Points:
    """Inverse variance of one picture's own addition to each pose angle, (poses,)."""
    precision = np.zeros(len(model.pose_columns))
    where = {int(column): i for i, column in enumerate(model.pose_columns)}
    for region in model.regions.values():
        for column in range(region.pose.start, region.pose.stop):
            precision[where[column]] = np.radians(region.joint.wobble) ** -2
    return precision
