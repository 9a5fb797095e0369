"""The template: a closed surface, symmetric, linear in its shape, and the same in both poses."""

import numpy as np
import pytest

from layfigure.body.fields import chart_fields
from layfigure.body.landmarks import landmark_names
from layfigure.body.levels import REGIONS, all_region_names, split_region
from layfigure.body.pose import standing_pose
from layfigure.body.shape import form_of
from layfigure.body.template import load_template
from layfigure.geometry.mesh import TriangleMesh


@pytest.fixture(scope="module", params=["woman", "man"])
def form(request):
    template = load_template()
    return form_of(template, template.presets[request.param], wearer=request.param)


def test_the_surface_is_closed_and_one_piece() -> None:
    template = load_template()
    mesh = TriangleMesh(template.mean[: template.vertex_count], template.faces)
    assert mesh.boundary_loops() == []
    # Euler characteristic of a sphere: no handle, no second piece.
    assert template.vertex_count - len(mesh.edges()) + len(template.faces) == 2


def test_left_and_right_mirror_each_other() -> None:
    template = load_template()
    assert (template.mirror[template.mirror] == np.arange(template.vertex_count)).all()
    surface = template.mean[: template.vertex_count]
    assert np.allclose(surface[template.mirror] * (-1, 1, 1), surface, atol=0.1)


def test_the_pose_keeps_bones_and_the_floor() -> None:
    template = load_template()
    points = template.points(template.presets["man"])
    standing = standing_pose(template).apply(points)
    for side in ("left", "right"):
        for start, end in (("shoulder", "elbow"), ("elbow", "wrist"), ("hip", "knee"), ("knee", "ankle")):
            a, b = template.joints[f"{start}_{side}"], template.joints[f"{end}_{side}"]
            assert np.linalg.norm(standing[a] - standing[b]) == pytest.approx(
                np.linalg.norm(points[a] - points[b]), abs=1e-6
            )
        # Arms hang: the elbow is far below the shoulder, the wrist below the elbow, clear of the trunk.
        assert standing[template.joints[f"wrist_{side}"], 2] < standing[template.joints[f"elbow_{side}"], 2]
    assert standing[: template.vertex_count, 2].min() == pytest.approx(0.0, abs=1e-9)


def test_the_pose_moves_points_linearly() -> None:
    template = load_template()
    pose = standing_pose(template)
    points = template.points(template.presets["woman"])
    move = template.directions[3].astype(np.float64)
    difference = pose.apply(points + move) - pose.apply(points) - pose.direction(move)
    # What is left is the floor alone, the same for every point.
    assert np.ptp(difference, axis=0).max() < 1e-9


def test_every_region_has_charts_in_both_poses(form) -> None:
    assert set(form.charts) == set(form.drafting_charts) == set(all_region_names())
    for name, chart in form.charts.items():
        definition, side = split_region(name)
        assert np.isfinite(chart.sections).all()
        assert (np.diff(chart.stations) > 0).all()
        assert chart.stations[-1] <= len(definition.levels) - 1
        other = form.drafting_charts[name]
        assert np.array_equal(chart.stations, other.stations)
        # Equal shares of girth: on a corner a chord is a little shorter than the tape, nowhere longer.
        closed = np.concatenate([chart.sections, chart.sections[:, :1]], axis=1)
        steps = np.linalg.norm(np.diff(closed, axis=1), axis=2)
        assert (steps <= 1.02 * np.median(steps, axis=1, keepdims=True)).all()
        if side == "left":
            mirror = form.charts[name.replace("left", "right")]
            assert np.allclose(chart.sections * (-1, 1, 1), mirror.sections, atol=1.5)


def test_positive_is_outward_and_the_trunk_starts_in_front(form) -> None:
    torso = form.charts["torso"].sections
    assert np.abs(torso[:, 0, 0]).max() < 1.0
    assert (torso[:, 0, 1] < torso[:, 64, 1]).all()
    assert (torso[:, 32, 0] > 0).all()
    for name in ("thigh", "shank", "upper_arm", "forearm"):
        left = form.charts[f"{name}_left"].sections
        assert (left[:, 32, 0] > left[:, 96, 0]).all()


def test_levels_follow_one_another(form) -> None:
    heights = [form.level_heights[name] for name in REGIONS["torso"].levels]
    assert (np.diff(heights) < -10.0).all()
    assert set(landmark_names()) == set(form.landmarks)


def test_chart_fields_lie_on_the_charts() -> None:
    fields = chart_fields()
    for side in ("left", "right"):
        shank = fields[f"shank_{side}"]
        inside = (shank.station > 0.1) & (shank.station < 0.8)
        assert np.percentile(shank.distance[inside], 95) < 3.0


def test_a_convex_section_of_the_trunk_agrees_with_an_independent_hull(form) -> None:
    # shapely (GEOS) computes convex hulls on its own.
    from shapely.geometry import MultiPoint

    chart = form.charts["torso"]
    row = int(np.argmin(np.abs(chart.stations - 4.0)))
    z = chart.sections[row, 0, 2]
    corners = form.standing.vertices[form.standing.faces]
    names = [form.region_names.index(n) for n in ("torso", "thigh_left", "thigh_right")]
    corners = corners[np.isin(form.face_region, names)]
    crossing = []
    for i, j in ((0, 1), (1, 2), (2, 0)):
        a, b = corners[:, i], corners[:, j]
        cross = (a[:, 2] > z) != (b[:, 2] > z)
        t = (z - a[cross, 2]) / (b[cross, 2] - a[cross, 2])
        crossing.append(a[cross] + t[:, None] * (b[cross] - a[cross]))
    hull = MultiPoint(np.concatenate(crossing)[:, :2]).convex_hull
    assert chart.girths[row] == pytest.approx(hull.length, rel=2e-3)
