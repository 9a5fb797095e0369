"""Words mean the places a tape would find, on a body of cylinders whose every length is known."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from cylinder_body import CHARTS, LEVELS
from layfigure.body.levels import REGIONS, Side
from layfigure.design.design import DesignEdge
from layfigure.design.words import parse_words
from layfigure.design.words_on_body import resolve_words
from layfigure.errors import PlacementError


def resolve(text: str, side: Side = "middle") -> DesignEdge:
    return resolve_words(parse_words(text, slug="e", side=side), CHARTS, LEVELS)


def heights(edge: DesignEdge) -> np.ndarray:
    """Standing height of every point, read off the body."""
    return np.array([CHARTS[p.at.region].points([p.at.station], [p.at.around])[0, 2] for p in edge.points])


@pytest.mark.parametrize(
    ("text", "side", "region", "height"),
    [
        ("at the waist", "middle", "torso", 1080.0),
        ("Waist", "middle", "torso", 1080.0),
        ("at the chest line", "middle", "torso", 1250.0),
        ("halfway from hip to knee", "left", "thigh_left", 680.0),
        ("halfway between the hip and the knee", "right", "thigh_right", 680.0),
        ("30 % from wrist to elbow", "left", "forearm_left", 925.0),
        ("30% of the way from wrist to elbow", "left", "forearm_left", 925.0),
        ("70 % from elbow to wrist", "left", "forearm_left", 925.0),
        ("12,5 % from knee to ankle", "left", "shank_left", 430.0),
        ("a third of the way from shoulder to wrist", "right", "upper_arm_right", 1400.0 - 550.0 / 3),
        ("2/3 from shoulder to wrist", "right", "forearm_right", 1400.0 - 1100.0 / 3),
        ("5 cm above the knee", "left", "thigh_left", 530.0),
        ("2 in below the knee", "left", "shank_left", 429.2),
        ("1 1/2 in above the wrist", "left", "forearm_left", 888.1),
        ("10 cm below the hip", "left", "thigh_left", 780.0),
        ("4 cm below the hip", "middle", "torso", 840.0),
        ("mid-thigh", "left", "thigh_left", 640.0),
        ("at mid forearm", "left", "forearm_left", 975.0),
        ("halfway from ankle to ball of the foot", "left", "foot_left", 55.0),
        ("at the neck base", "middle", "neck", 1420.0),
    ],
)
def test_a_level_line_lies_where_a_tape_finds_it(text: str, side: Side, region: str, height: float) -> None:
    edge = resolve(text, side)
    assert {point.at.region for point in edge.points} == {region}
    assert heights(edge) == pytest.approx(height, abs=0.01)
    assert edge.closed
    assert edge.goes_round
    assert edge.source == "words"
    assert edge.text == text
    ways = [point.at.around for point in edge.points]
    assert ways == sorted(ways)
    assert np.diff([*ways, 1.0]).max() < 0.1


@given(st.floats(0.0, 100.0), st.sampled_from(["left", "right"]))
def test_a_share_is_the_same_share_of_any_limb_and_reads_the_same_backward(share: float, side: Side) -> None:
    there = resolve(f"{share:.4f} % from knee to ankle", side)
    back = resolve(f"{100 - share:.4f} % from ankle to knee", side)
    assert heights(there) == pytest.approx(heights(back), abs=0.01)
    assert heights(there) == pytest.approx(480.0 - 4.0 * share, abs=0.01)


def test_a_point_rises_to_its_height_with_straight_sides_and_sharp_tip_and_feet() -> None:
    edge = resolve("halfway from knee to ankle, pointing up 4 cm at the outside", "left")
    lines = dict(zip([round(p.at.around, 3) for p in edge.points], heights(edge), strict=True))
    assert lines[0.25] == pytest.approx(320.0)
    assert lines[0.0] == lines[0.5] == lines[0.75] == pytest.approx(280.0)
    assert lines[0.167] == pytest.approx(280.0 + 40.0 * (0.16667 / 0.25), abs=0.01)
    assert [round(p.at.around, 3) for p in edge.points if p.corner] == [0.0, 0.25, 0.5]


def test_a_slant_is_as_high_as_said_where_said_and_nothing_opposite() -> None:
    edge = resolve("at the waist, 3 cm higher at the left")
    by_way = dict(zip([round(p.at.around, 3) for p in edge.points], heights(edge), strict=True))
    assert by_way[0.25] == pytest.approx(1110.0)
    assert by_way[0.75] == pytest.approx(1080.0)
    assert not any(point.corner for point in edge.points)
    lower = resolve("at the waist, 3 cm lower at the left")
    assert heights(edge) + heights(lower) == pytest.approx(2160.0)


def test_part_of_the_way_round_is_open_and_keeps_both_ends() -> None:
    edge = resolve("at the hip, from 75 % to 25 % round")
    assert not edge.closed
    ways = np.unwrap([point.at.around for point in edge.points], period=1.0)
    assert ways[0] == pytest.approx(0.75)
    assert ways[-1] == pytest.approx(1.25)
    named = resolve("at the hip, from right to left")
    assert [p.at for p in named.points] == [p.at for p in edge.points]


@pytest.mark.parametrize(("side", "trunk"), [("left", 0.25), ("right", 0.75)])
def test_a_line_along_the_outside_runs_down_the_wearers_own_side(side: Side, trunk: float) -> None:
    edge = resolve("along the outside from waist to ankle", side)
    assert not edge.closed
    stations = [round(p.at.station, 6) for p in edge.points]
    assert [(p.at.region, s, p.at.around) for p, s in zip(edge.points, stations, strict=True)] == (
        [
            ("torso", 3.0, trunk),
            ("torso", 4.0, trunk),
            ("torso", 5.0, trunk),
            (f"thigh_{side}", 0.0, 0.25),
            (f"thigh_{side}", 1.0, 0.25),
            (f"shank_{side}", 0.0, 0.25),
            (f"shank_{side}", 1.0, 0.25),
        ]
    )


@pytest.mark.parametrize("side", ["left", "right"])
def test_the_ends_and_the_way_of_a_line_along_a_limb_may_be_said_by_measure(side: Side) -> None:
    edge = resolve("along 30 % round from 4 cm below the hip to 10 cm above the ankle", side)
    assert heights(edge)[0] == pytest.approx(heights(resolve("at the hip"))[0] - 40.0, abs=1.0)
    assert edge.points[-1].at.region == f"shank_{side}"
    level = resolve("10 cm above the ankle", side).points[0].at
    assert edge.points[-1].at.station == pytest.approx(level.station)
    ways = {point.at.region: round(point.at.around, 6) for point in edge.points}
    assert ways["torso"] == (0.3 if side == "left" else 0.7)
    assert ways[f"thigh_{side}"] == 0.3
    turned = resolve("up 30 % round from 10 cm above the ankle to 4 cm below the hip", side)
    assert turned.points == edge.points


@pytest.mark.parametrize(
    ("text", "side", "message"),
    [
        ("at the wiast", "middle", "edge e: 'wiast' is not a level of the body. Did you mean 'waist'?"),
        ("", "middle", "edge e: no place is said. Say, for example, 'at the waist'"),
        ("30 from wrist to elbow", "left", "edge e: '30' is not a share of the way. Say 'halfway'"),
        ("130 % from wrist to elbow", "left", "edge e: '130 %' lies outside the two levels."),
        ("5 above the knee", "left", "edge e: length '5' has no unit. Write '5 cm' or '5 in'."),
        ("halfway from waist to wrist", "left", "edge e: waist and wrist do not lie on one limb."),
        ("halfway from knee to knee", "left", "edge e: the two levels are the same."),
        ("at the knee", "middle", "edge e: the words lie on a limb, and the edge has no side."),
        ("at the waist", "left", "edge e: the words lie on the trunk, which has no"),
        ("at the waist, swirling", "middle", "edge e: 'swirling' is not understood. Say"),
        ("at the knee, 3 cm higher at the left", "left", "edge e: 'left' is not clear on a limb."),
        ("at the waist, 3 cm higher at the frnt", "middle", "edge e: 'frnt' is not a direction. Did"),
        ("along the back from knee to knee", "left", "edge e: the two levels are the same."),
        (
            "along the back from 30 cm below the knee to 20 cm above the ankle",
            "left",
            "edge e: 'along the back from 30 cm below the knee to 20 cm above the ankle': its two ends meet",
        ),
        ("along the back from nape to waist, mid", "middle", "edge e: 'mid' goes with a level line only."),
        ("10 m below the knee", "left", "edge e: '10 m below the knee': that lies beyond the ankle."),
        (
            "10 cm below the hip",
            "middle",
            "edge e: '10 cm below the hip': that lies beyond the crotch. Below",
        ),
    ],
)
def test_what_cannot_be_is_refused_with_what_can(text: str, side: Side, message: str) -> None:
    with pytest.raises(PlacementError) as caught:
        resolve(text, side)
    assert str(caught.value).startswith(message)


@given(st.text("ahtewis 5c%mfro,", max_size=20))
def test_any_text_is_read_or_refused_but_never_crashes(text: str) -> None:
    try:
        parse_words(text, slug="e")
    except PlacementError as error:
        told = error
    else:
        return
    assert told.advice


def test_levels_of_the_words_are_those_of_the_regions() -> None:
    from layfigure.design.words import CHAINS

    for steps in CHAINS.values():
        for region, level in steps:
            assert level in REGIONS[region].levels
