import numpy as np
import pytest

from layfigure.geometry.parallel_slices import axis_frame, slice_stack


def test_frame_coordinates_go_there_and_back() -> None:
    frame = axis_frame([1.0, 2.0, 3.0], [1.0, 1.0, 4.0], [50.0, 0.0, 0.0])
    places = np.random.default_rng(1).normal(size=(20, 3)) * 100.0
    assert frame.to_space(frame.to_frame(places)) == pytest.approx(places)
    assert np.linalg.det(np.stack([frame.first, frame.second, frame.axis])) == pytest.approx(1.0)
    local = frame.to_frame([50.0, 0.0, 0.0])
    assert local[1] == pytest.approx(0.0)
    assert local[0] > 0.0


def test_slices_of_a_tilted_cone_are_its_circles() -> None:
    """Sections leaning by a sixth are cut square again: the answer is known in closed form."""
    angle = 2.0 * np.pi * np.arange(200) / 200
    line = np.stack([np.cos(angle), np.sin(angle)], axis=1)
    apex = 400.0
    stack = []
    for middle in np.linspace(0.0, 200.0, 81):
        # On the ruling at this angle, height z with z = middle + r(z) cos / 6 and r = (apex - z) / 8.
        z = (middle + apex / 48.0 * line[:, 0]) / (1.0 + line[:, 0] / 48.0)
        stack.append(np.column_stack([(apex - z)[:, None] / 8.0 * line, z]))
    cut = slice_stack(np.array(stack), [50.0, 120.0])
    assert np.linalg.norm(cut[0], axis=1) == pytest.approx(350.0 / 8.0)
    assert np.linalg.norm(cut[1], axis=1) == pytest.approx(280.0 / 8.0)


def test_lines_that_do_not_reach_a_plane_are_missing() -> None:
    stack = np.zeros((2, 3, 3))
    stack[1, :, 2] = [10.0, 20.0, 30.0]
    cut = slice_stack(stack, [15.0])
    assert np.isnan(cut[0, 0]).all()
    assert not np.isnan(cut[0, 1:]).any()


def test_a_first_direction_along_the_axis_is_refused() -> None:
    with pytest.raises(ValueError, match="lies on the axis"):
        axis_frame([0.0, 0.0, 0.0], [0.0, 0.0, 1.0], [0.0, 0.0, 9.0])
