"""The tape against bodies whose measures are known, and its derivative against differences."""

import numpy as np
import pytest

from layfigure.body.measures import all_stored_names
from layfigure.body.pose import standing_pose
from layfigure.body.tape import StandingBody, _upper_hull
from layfigure.body.tape_lines import tape_lines
from layfigure.body.tape_measures import READERS, read_points
from layfigure.body.template import load_template

# Means and standard deviations of the 2012 survey of US Army personnel as quoted in trade tables (4,082 men):
# a neutral man of the template is slimmer than a soldier but no stranger.
SOLDIERS = {
    "stature": (1756, 69),
    "waist_navel_height": (1057, 52),
    "crotch_height": (846, 47),
    "knee_height_left": (488, 28),
    "calf_girth_left": (392, 30),
    "heel_girth_left": (344, 17),
    "neck_girth": (398, 26),
    "hip_girth": (1020, 77),
    "trunk_loop": (1665, 90),
    "crotch_length_navel": (622, 47),
}


@pytest.fixture(scope="module")
def standing():
    template = load_template()
    return standing_pose(template).apply(template.points(template.presets["man"]))


def test_every_reader_is_a_stored_measure() -> None:
    assert set(READERS) <= set(all_stored_names())


def test_a_neutral_man_reads_like_a_man(standing) -> None:
    read = read_points(load_template(), standing, SOLDIERS)
    for name, (mean, spread) in SOLDIERS.items():
        assert abs(read[name] - mean) < 3.0 * spread, name


def test_twice_the_body_reads_twice_every_measure(standing) -> None:
    template = load_template()
    names = [
        n for n in READERS if n not in ("crotch_height", "heel_girth_left", "heel_girth_right", "trunk_loop")
    ]
    once, twice = read_points(template, standing, names), read_points(template, 2.0 * standing, names)
    for name in names:
        assert twice[name] == pytest.approx(2.0 * once[name], rel=1e-6), name


def test_a_symmetric_body_reads_the_same_on_both_sides(standing) -> None:
    read = read_points(load_template(), standing)
    for name, value in read.items():
        if name.endswith("_left"):
            assert read[name.replace("_left", "_right")] == pytest.approx(value, abs=1.5), name


TILTING = (
    "foot_", "hand_", "heel", "neck", "head", "arm_girth", "elbow", "wrist_girth", "trunk_loop", "across",
    "shoulder_length", "nape_to_wrist", "front_waist", "upper_arm_length",
    "shoulder_girth", "breadth", "depth",
)  # fmt: skip


def test_derivatives_agree_with_differences(standing) -> None:
    template = load_template()
    pose = standing_pose(template)
    random = np.random.default_rng(4)
    amounts = 0.005 * random.normal(size=len(template.directions))
    move = pose.direction(np.tensordot(amounts, template.directions, axes=1))
    body, moved = StandingBody(template, standing), StandingBody(template, standing + move)
    for name, reader in READERS.items():
        reading = reader(body)
        rows, slopes = reading.slopes()
        expected = float(np.sum(slopes * move[rows]))
        # Planes that tilt with the body are held while differentiating, on purpose; level ones are exact.
        share, slack = (0.4, 0.4) if any(word in name for word in TILTING) else (0.03, 0.1)
        found = reader(moved).value - reading.value
        assert found == pytest.approx(expected, abs=slack + share * abs(expected)), name


def test_the_tape_round_the_bust_does_not_jump_where_the_bust_is_as_high_as_the_armpits() -> None:
    template = load_template()
    broad = template.presets["man"].copy()
    broad[4] -= 2.5  # flesh at the side of the chest
    standing = standing_pose(template).apply(template.points(broad))
    read = []
    for rise in (-0.5, 0.5):
        body = standing.copy()
        for side in ("left", "right"):
            body[template.landmarks[f"bust_point_{side}"], 2] = (
                standing[template.landmarks["armpit_left"], 2] + rise
            )
        read.append(read_points(template, body, ["bust_girth"])["bust_girth"])
    assert abs(read[1] - read[0]) < 2.0


def test_feet_alike_share_the_floor_and_the_lower_of_two_bears_it(standing) -> None:
    template = load_template()
    body = StandingBody(template, standing)
    assert sorted(body.floor_shares) == pytest.approx([0.5, 0.5], abs=0.2)
    lower = standing.copy()
    left = template.mean[:, 0] > 0
    lower[left, 2] -= 3.0
    body = StandingBody(template, lower)
    bearing = body.floor[int(np.argmax(body.floor_shares))]
    assert template.mean[bearing, 0] > 0
    assert body.floor_shares.max() == pytest.approx(1.0, abs=1e-6)
    before, after = (read_points(template, points, ["stature"])["stature"] for points in (standing, lower))
    crown = template.mean[template.landmarks["crown"], 0] > 0
    assert after - before == pytest.approx(0.0 if crown else 3.0, abs=1e-6)


def test_lines_cut_group_by_group_are_those_cut_together() -> None:
    template = load_template()
    standing = standing_pose(template).apply(template.mean)
    together, sparing = StandingBody(template, standing), StandingBody(template, standing, sparing=True)
    for name in ("calf_left", "trunk", "round_neck"):
        one, other = tape_lines(together, name), tape_lines(sparing, name)
        assert len(one) == len(other)
        for a, b in zip(one, other, strict=True):
            # The same corners: two that lie on one another may come in either order.
            apart = np.linalg.norm(a.cut.places(standing)[:, None] - b.cut.places(standing), axis=2)
            assert max(apart.min(axis=0).max(), apart.min(axis=1).max()) < 1e-6
            assert a.cut.length == pytest.approx(b.cut.length, rel=1e-9)
    assert set(sparing.lines) == {"calf_left", "trunk", "round_neck"}


@pytest.mark.parametrize("off", [-1e-13, 0.0, 1e-13])
def test_corners_on_a_straight_line_leave_the_taut_tape_alike(off: float) -> None:
    """Near its end a tape rises as steeply as it may: what is held down there lies on one line."""
    along, high = [1.0, 2.0, 3.0, 6.0], [3.0, 6.0 + off, 9.0, 7.0]
    assert _upper_hull(along, high, 10.0) == [2, 3]
