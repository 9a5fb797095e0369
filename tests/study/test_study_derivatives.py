"""The fit's derivatives against central differences, and the camera against a pinhole's own formula."""

import numpy as np
import pytest
from known_character import camera as pinhole
from known_character import mark, model

from layfigure.study import camera as cameras
from layfigure.study.along_stations import spline_weights
from layfigure.study.cast import Caster
from layfigure.study.fit import fit_figure
from layfigure.study.silhouette import find_contacts, silhouette
from layfigure.study.unposed import unpose


def _bent(seed: int) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    rng = np.random.default_rng(seed)
    figure = model()
    shared = rng.normal(0.0, 0.05, figure.count)
    wobble = rng.normal(0.0, 0.05, len(figure.pose_columns))
    camera = np.array([-0.7, 0.1, -0.05, 0.03, 400.0, 500.0, 0.2, 0.001])
    return shared, wobble, camera


@pytest.mark.parametrize("region", ["torso", "hand_right", "foot_left", "head", "shank_right"])
def test_places_move_as_their_derivatives_say(region: str) -> None:
    figure = model()
    shared, wobble, _ = _bent(2)
    chart = figure.regions[region]
    station = np.linspace(chart.stations[0], chart.stations[-1], 5)
    material = chart.at(station, np.linspace(0.0, 0.9, 5))
    _, by = figure.move(chart, figure.pose(shared, wobble)[region], _posed_at(shared, wobble), material)
    step = 1e-5
    # Every third column, from another start for each region: all kinds of parameter come up.
    for column in range(len(region) % 3, figure.count, 3):
        ends = []
        for sign in (1.0, -1.0):
            moved = shared.copy()
            moved[column] += sign * step
            ends.append(
                figure.places(chart, figure.pose(moved, wobble)[region], _posed_at(moved, wobble), material)
            )
        difference = (ends[0] - ends[1]) / (2.0 * step)
        np.testing.assert_allclose(by[:, :, column], difference, rtol=1e-5, atol=2e-3)


def _posed_at(shared: np.ndarray, wobble: np.ndarray) -> np.ndarray:
    moved = shared.copy()
    moved[model().pose_columns] += wobble
    return moved


def test_pictures_move_as_their_derivatives_say() -> None:
    _, _, camera = _bent(3)
    rng = np.random.default_rng(4)
    places, middle = rng.normal(0.0, 400.0, (6, 3)), np.array([3.0, 5.0, 800.0])
    seen, by_place, by_camera = cameras.project_with_derivatives(camera, 0.6, middle, places)
    np.testing.assert_allclose(seen, cameras.project(camera, 0.6, middle, places)[0])
    for k in range(3):
        shift = np.zeros(3)
        shift[k] = 1e-3
        ends = [cameras.project(camera, 0.6, middle, places + s * shift)[0] for s in (1, -1)]
        np.testing.assert_allclose(by_place[:, :, k], (ends[0] - ends[1]) / 2e-3, rtol=1e-6, atol=1e-7)
    for k in range(cameras.COLUMNS):
        shift = np.zeros(cameras.COLUMNS)
        shift[k] = 1e-6
        ends = [cameras.project(camera + s * shift, 0.6, middle, places)[0] for s in (1, -1)]
        np.testing.assert_allclose(by_camera[:, :, k], (ends[0] - ends[1]) / 2e-6, rtol=1e-5, atol=1e-4)


@pytest.mark.parametrize("view", ["front", "left", "back", "right"])
def test_the_camera_is_a_pinhole(view: str) -> None:
    true = pinhole(view, 3700.0)
    places = np.random.default_rng(1).normal(0.0, 300.0, (20, 3)) + np.array([0.0, 0.0, 950.0])
    camera = np.zeros(cameras.COLUMNS)
    camera[cameras.LOG_SCALE] = np.log(true.focal / true.distance)
    camera[[cameras.RIGHT, cameras.DOWN]] = np.array(true.size) / 2.0
    camera[cameras.NEARNESS] = 1000.0 / true.distance
    yaw = np.radians(cameras.VIEW_YAW[view])  # type: ignore[index]
    seen, _ = cameras.project(camera, yaw, np.array([0.0, 0.0, 950.0]), places)
    np.testing.assert_allclose(seen, true.project(places), atol=1e-8)


def test_a_point_of_the_figure_is_cast_back_to_itself() -> None:
    fit = fit_figure(model(), [mark("front", np.random.default_rng(6))])
    caster = Caster(fit, 0)
    pixels, _ = caster.grid("torso")
    rows, columns = np.array([5, 12, 20, 24]), np.array([2, 60, 5, 0])
    inside = 0.5 * (pixels[rows, columns] + pixels[rows + 1, (columns + 1) % pixels.shape[1]])
    casts = caster.cast("torso", inside)
    assert casts.hit.all()
    np.testing.assert_allclose(casts.row, rows + 0.5, atol=0.02)
    np.testing.assert_allclose(casts.column, np.mod(columns + 0.5, pixels.shape[1]), atol=0.3)


def test_the_outline_of_a_cylinder_is_its_two_sides() -> None:
    turn = np.linspace(0.0, 2.0 * np.pi, 360, endpoint=False)
    section = np.stack([50.0 * np.cos(turn), 0.0 * turn], axis=1)
    pixels = section + np.stack([np.full(9, 300.0), np.linspace(0.0, 400.0, 9)], axis=1)[:, None]
    outline = silhouette(pixels)
    assert sorted(outline.lines[:, :, 0].mean(axis=1)) == pytest.approx([250.0, 350.0])
    contacts = find_contacts(outline, np.array([[355.0, 130.0], [240.0, 130.0]]))
    np.testing.assert_allclose(contacts.normals, [[1.0, 0.0], [-1.0, 0.0]], atol=1e-9)
    np.testing.assert_allclose(contacts.row + contacts.share, [2.6, 2.6])


def test_the_template_unposed_keeps_equal_steps_round_every_section() -> None:
    figure = model()
    still = unpose(figure, np.zeros(figure.count))
    for name, table in still.around.items():
        even = np.arange(table.shape[1]) / (table.shape[1] - 1)
        assert np.abs(table - even).max() < 0.01, name


def test_splines_pass_through_their_knots_and_stay_still_beyond() -> None:
    knots = np.linspace(0.0, 1.0, 5)
    np.testing.assert_allclose(spline_weights(knots, knots), np.eye(5), atol=1e-12)
    np.testing.assert_allclose(spline_weights(knots, np.array([-3.0, 9.0])), np.eye(5)[[0, -1]], atol=1e-12)
    np.testing.assert_allclose(spline_weights(knots, np.linspace(0, 1, 33)).sum(axis=1), 1.0)
