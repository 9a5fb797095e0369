"""Crossings of many planes at once against every edge and every plane looked at one by one."""

import numpy as np
import pytest

from layfigure.body.crossings import BITS, RETURN, Edges, Planes, Stack, crossings

UP = np.array([0.0, 0.0, 1.0])


def planes_of(origins: np.ndarray, normals: np.ndarray) -> Planes:
    unit = normals / np.linalg.norm(normals, axis=1, keepdims=True)
    return Planes(origins=origins, normals=unit, zeros=unit, positives=unit, hull=False)


@pytest.fixture
def points() -> np.ndarray:
    return np.random.default_rng(5).normal(0.0, 100.0, (80, 3))


def some_edges(seed: int) -> Edges:
    return Edges.of_faces(np.random.default_rng(seed).permutation(80)[:72].reshape(24, 3))


def some_planes(seed: int, count: int) -> Planes:
    random = np.random.default_rng(seed)
    return planes_of(random.normal(0.0, 60.0, (count, 3)), random.normal(0.0, 1.0, (count, 3)))


def slowly(points: np.ndarray, stacks: list[Stack]) -> dict[tuple[int, int, int], np.ndarray]:
    """Place of every crossing by its edge and the number of its plane."""
    found, number = {}, 0
    for stack in stacks:
        for origin, normal in zip(stack.planes.origins, stack.planes.normals, strict=True):
            for a, b in stack.edges.pairs:
                one, other = (points[a] - origin) @ normal, (points[b] - origin) @ normal
                if (one > 0.0) != (other > 0.0):
                    found[a, b, number] = points[a] + one / (one - other) * (points[b] - points[a])
            number += 1
    return found


def test_many_planes_cross_the_same_edges(points) -> None:
    """More planes than go through edges at once, from two stacks, and other edges between them."""
    one, other = some_edges(1), some_edges(2)
    stacks = [
        Stack(edges=one, planes=some_planes(1, BITS - 7)),
        Stack(edges=other, planes=some_planes(2, 3)),
        Stack(edges=one, planes=some_planes(3, 30)),
    ]
    found, wanted = crossings(points, stacks), slowly(points, stacks)
    keys = list(zip(found.a.tolist(), found.b.tolist(), found.plane.tolist(), strict=True))
    assert len(set(keys)) == len(keys)
    assert set(keys) == set(wanted)
    assert max(found.plane) >= BITS
    assert np.abs(found.place.T - [wanted[key] for key in keys]).max() < 1e-9
    ends = points[found.a] + found.share[:, None] * (points[found.b] - points[found.a])
    assert np.abs(found.place.T - ends).max() < 1e-9
    assert found.shift is None


def test_clips_leave_out_and_floors_bring_up_what_is_their_own(points) -> None:
    edges = some_edges(4)
    level = planes_of(np.array([[0.0, 0.0, 10.0]]), UP[None])
    clipped = Stack(edges=edges, planes=level, clips=(np.array([1.0, 0.0, 0.0, 20.0]),))
    upright = planes_of(np.array([[5.0, 0.0, 0.0]]), np.array([[1.0, 0.0, 0.5]]))
    floored = Stack(edges=edges, planes=upright, floor=-15.0)
    found = crossings(points, [clipped, floored])
    wanted = slowly(points, [clipped, floored])
    kept = {key for key, place in wanted.items() if key[2] == 1 or place[0] <= 20.0}
    assert {*zip(found.a.tolist(), found.b.tolist(), found.plane.tolist(), strict=True)} == kept
    assert len(kept) < len(wanted)
    assert found.shift is not None
    skin = found.place - found.shift
    below = np.where(found.plane == 1, np.maximum(-15.0 - skin[2], 0.0), 0.0)
    assert below.max() > 10.0
    assert found.shift[2] == pytest.approx((1.0 + RETURN) * below)
    # The line stays in its plane.
    assert np.abs(upright.normals[0] @ found.shift)[found.plane == 1].max() < 1e-9


def test_no_plane_crosses_what_lies_above_it(points) -> None:
    high = Stack(edges=some_edges(6), planes=planes_of(np.array([[0.0, 0.0, -1e4]]), UP[None]))
    assert len(crossings(points, [high]).a) == 0
