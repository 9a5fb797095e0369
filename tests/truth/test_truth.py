"""The truth generator stands on its own: exact shapes, another way to the same charts, marks that fit."""

from dataclasses import replace

import numpy as np
import pytest
from benchmarks.study.bodies import SIDES, template_body
from benchmarks.study.character import Character
from benchmarks.study.costume import ring
from benchmarks.study.observe import Marking, Scene, mark_picture
from benchmarks.study.run import score_floor
from benchmarks.study.scenes import Sitting, independent_wearer, random_scene
from benchmarks.study.score import distance_to_curve, mark_errors, summary
from benchmarks.study.sections import cut_loops, true_charts
from benchmarks.study.view import take_picture

from layfigure.body.shape import form_of
from layfigure.body.template import load_template
from layfigure.drawing.depth_buffer import rasterise


def cone(radius: float, height: float, around: int = 360) -> tuple[np.ndarray, np.ndarray]:
    """A cone's side, apex up, and its faces."""
    turn = 2 * np.pi * np.arange(around) / around
    rim = np.stack([radius * np.cos(turn), radius * np.sin(turn), np.zeros(around)], axis=1)
    vertices = np.vstack([rim, [[0, 0, height]]])
    faces = np.stack([np.arange(around), (np.arange(around) + 1) % around, np.full(around, around)], axis=1)
    return vertices, faces


@pytest.mark.parametrize("share", [0.1, 0.4, 0.85])
def test_a_level_cut_of_a_cone_is_its_circle(share: float) -> None:
    vertices, faces = cone(100.0, 300.0)
    (line, closed), *rest = cut_loops(vertices, faces, np.array([0, 0, 300.0 * share]), np.array([0, 0, 1.0]))
    assert closed
    assert not rest
    radius = 100.0 * (1 - share)
    girth = np.linalg.norm(line - np.roll(line, 1, axis=0), axis=1).sum()
    # A chord of a 360-gon falls short of its arc by (pi/360)^2/6; the cut adds corners between.
    assert girth == pytest.approx(2 * np.pi * radius, rel=1e-4)
    assert np.linalg.norm(line[:, :2], axis=1).max() == pytest.approx(radius, rel=1e-9)


def test_the_nearest_face_shows_as_a_ray_finds_it() -> None:
    """Every covered pixel against brute force: Möller and Trumbore, J. Graphics Tools 2(1), 1997."""
    rng = np.random.default_rng(5)
    pixels = rng.uniform(0, 60, (60, 2))
    depth = rng.uniform(1000, 2000, 60)
    faces = np.arange(60).reshape(20, 3)
    buffer = rasterise(pixels, depth, faces, 60, 60, cull=False)
    focal = 500.0
    # A pinhole at the origin looking along +z draws these places at these pixels.
    places = np.stack([pixels[:, 0] * depth / focal, pixels[:, 1] * depth / focal, depth], axis=1)
    a, b, c = (places[faces[:, k]] for k in range(3))
    for row, column in ((10, 10), (25, 40), (30, 30), (50, 20), (45, 45)):
        ray = np.array([(column + 0.5) / focal, (row + 0.5) / focal, 1.0])
        p = np.cross(ray, c - a)
        determinant = ((b - a) * p).sum(1)
        u = -(a * p).sum(1) / determinant
        q = np.cross(-a, b - a)
        v = (q @ ray) / determinant
        t = ((c - a) * q).sum(1) / determinant
        hit = (u >= 0) & (v >= 0) & (u + v <= 1)
        expected = int(np.where(hit, t, np.inf).argmin()) if hit.any() else -1
        assert buffer.face[row, column] == expected
        if expected >= 0:
            assert buffer.depth[row, column] == pytest.approx(t[expected], rel=1e-9)


def test_two_ways_to_cut_the_same_body_agree() -> None:
    """Our own section cutter and the package's charts, written apart, on the same template body."""
    template = load_template()
    preset = template.presets["woman"]
    body = template_body(preset="woman")
    form = form_of(template, preset, wearer="template")
    front = np.array([0.0, -1.0, 0.0])
    thumbs = {
        side: (body.joints[f"thumb_{side}"] - body.joints[f"wrist_{side}"])
        / np.linalg.norm(body.joints[f"thumb_{side}"] - body.joints[f"wrist_{side}"])
        for side in SIDES
    }
    character = Character(
        name="template",
        vertices=body.vertices,
        faces=body.faces,
        region=body.region,
        joints=body.joints,
        levels=body.levels,
        front=dict.fromkeys(form.region_names, front),
        thumb=thumbs,
        midline=lambda _: 0.0,
    )
    for region, truth in true_charts(character).items():
        theirs = form.drafting_charts[region]
        low = 0.6 if region == "torso" else max(0.15, truth.chart.stations[0], theirs.stations[0])
        high = 4.6 if region == "torso" else 0.85
        station, around = (
            grid.ravel()
            for grid in np.meshgrid(np.linspace(low, high, 15), np.arange(24) / 24, indexing="ij")
        )
        apart = np.linalg.norm(truth.chart.points(station, around) - theirs.points(station, around), axis=1)
        assert np.median(apart) < 4.0, region
        assert np.percentile(apart, 95) < 9.0, region


def test_marks_without_noise_lie_on_the_true_edges() -> None:
    scene = random_scene(4)
    rng = np.random.default_rng(9)
    picture = take_picture(scene.character.vertices, "front", rng, height=1400)
    scene = replace(scene, pictures=(picture,))
    marks, which = mark_picture(scene, picture, Marking(mark_noise=0.0, cloth=(0.0, 0.0)), rng)
    marks.check()
    sitting = Sitting(scene=scene, marks=(marks,), which=(which,))
    floor = summary(score_floor(sitting, independent_wearer(4)))
    # What is left is half a pixel of the buffer, stretched where the skin turns away.
    assert floor["median"] < 1.2


def test_hidden_marks_are_not_made() -> None:
    scene = random_scene(0, source="man")
    rng = np.random.default_rng(1)
    picture = take_picture(scene.character.vertices, "back", rng, height=900)
    back_only = Scene(
        character=scene.character,
        charts=scene.charts,
        costume=(ring("chest", "torso band", "torso", 1.6, 0.0, 0.0),),
        pictures=(picture,),
    )
    marks, which = mark_picture(back_only, picture, Marking(), rng)
    around = np.concatenate([back_only.costume[0].around[k] for k in which])
    assert len(marks.edges) > 0
    assert ((around > 0.2) & (around < 0.8)).all()


def test_the_score_is_the_distance_a_ruler_gives() -> None:
    charts = independent_wearer(2)
    edge = ring("band", "limb edge", "shank_left", 0.4, 0.0, 0.0)
    which = np.array([0, 100, 200, 300])
    on_edge = charts["shank_left"].points(edge.station[which], edge.around[which])
    assert mark_errors(edge, which, on_edge, charts).max() < 1e-6
    raised = charts["shank_left"].points(edge.station[which] + 0.05, edge.around[which])
    step = np.linalg.norm(
        charts["shank_left"].section(0.45).mean(0) - charts["shank_left"].section(0.4).mean(0)
    )
    assert mark_errors(edge, which, raised, charts) == pytest.approx(step, rel=0.15)
    pointed = ring("point", "limb edge", "shank_left", 0.4, 0.0, 0.0, -0.08)
    corner = pointed.corners[0]
    beside = charts["shank_left"].points(pointed.station[corner + 20], pointed.around[corner + 20])
    curve = charts["shank_left"].points(pointed.station, pointed.around)
    # Beside the corner lies on the curve; as a reading of the corner it is as far off as it is away.
    assert distance_to_curve(beside, curve)[0] < 1e-6
    error = mark_errors(pointed, np.array([corner]), beside, charts)[0]
    assert error == pytest.approx(np.linalg.norm(beside[0] - curve[corner]))
