"""Tape lines against the hull and the length that independent code finds for the same corners."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.spatial import ConvexHull
from shapely.geometry import LinearRing, Point

from layfigure.body.crossings import Stack
from layfigure.body.pose import standing_pose
from layfigure.body.regions import BodyPlaces, level_heights, region_faces, section_planes
from layfigure.body.sections import _hulls_of_stars, cut_stacks, resample_cuts
from layfigure.body.template import load_template

COUNT = 128


@pytest.fixture(scope="module", params=["woman", "man"])
def surface(request) -> np.ndarray:
    template = load_template()
    standing = standing_pose(template).apply(template.points(template.presets[request.param]))
    return standing[: template.vertex_count]


def stack_of(region: str, surface: np.ndarray, stations: np.ndarray, *, hull: bool) -> Stack:
    places = BodyPlaces(load_template(), surface_and_joints(surface))
    planes = section_planes(region, places, level_heights(places), stations)
    return Stack(edges=region_faces().edges[region], planes=replace(planes, hull=hull))


def surface_and_joints(surface: np.ndarray) -> np.ndarray:
    """Joints do not matter to level planes."""
    return np.concatenate([surface, np.zeros((len(load_template().joints), 3))])


def test_a_tape_at_a_landmark_keeps_the_landmark(surface) -> None:
    """Many edges meet on the plane there; the hull of Qhull on all crossings is the answer."""
    levels = np.array([1.0, 2.0, 3.0, 4.0])
    taut = cut_stacks(surface, [stack_of("torso", surface, levels, hull=True)])
    loose = cut_stacks(surface, [stack_of("torso", surface, levels, hull=False)])
    for line, crossings in zip(taut, loose, strict=True):
        corners = line.places(surface)
        length = LinearRing(corners[:, :2]).length
        assert length == pytest.approx(ConvexHull(crossings.places(surface)[:, :2]).area, abs=0.02)


def test_places_lie_at_equal_shares_of_the_line(surface) -> None:
    stack = stack_of("thigh_left", surface, np.linspace(0.1, 0.9, 9), hull=False)
    cuts = cut_stacks(surface, [stack])
    places = resample_cuts(surface, cuts, [stack.planes], COUNT).places(surface)
    assert places.shape == (9, COUNT, 3)
    for line, found in zip(cuts, places, strict=True):
        ring = LinearRing(line.places(surface)[:, :2])
        start = ring.project(Point(found[0, :2]))
        for k in range(0, COUNT, 7):
            along = (start + k / COUNT * ring.length) % ring.length
            assert Point(found[k, :2]).distance(ring.interpolate(along)) < 1e-6
        # The zero line is the front of the limb, seen from the middle of its line.
        corners = line.places(surface)
        step = np.linalg.norm(np.roll(corners, -1, axis=0) - corners, axis=1)
        weight = step + np.roll(step, 1)
        middle = weight @ corners / weight.sum()
        assert found[0, 0] == pytest.approx(middle[0], abs=1e-6)
        assert found[0, 1] < middle[1]


def test_stacks_cut_together_are_the_stacks_cut_one_by_one(surface) -> None:
    stacks = [
        stack_of("torso", surface, np.linspace(1.0, 4.5, 8), hull=True),
        stack_of("thigh_left", surface, np.linspace(0.1, 0.9, 5), hull=False),
        stack_of("shank_right", surface, np.linspace(0.1, 0.9, 3), hull=False),
    ]
    together, begin = cut_stacks(surface, stacks), 0
    for stack in stacks:
        alone = cut_stacks(surface, [stack])
        assert len(alone) == len(stack.planes.origins)
        for one, other in zip(together[begin : begin + len(alone)], alone, strict=True):
            assert np.array_equal(one.places(surface), other.places(surface))
            assert one.length == pytest.approx(other.length, abs=1e-9)
        begin += len(alone)
    assert len(together) == begin


def test_a_corner_on_the_zero_line_is_one_corner_however_its_angle_is_rounded() -> None:
    """Two edges meet there: one seems to begin the round and the other to end it."""
    angle = np.array([1e-17, 1.0, 2.0, 3.0, 4.0, 5.0, 2.0 * np.pi - 1e-15])
    kept = _hulls_of_stars(np.cos(angle), np.sin(angle), np.zeros(7, dtype=np.int64))
    assert kept.tolist() == [0, 1, 2, 3, 4, 5]
