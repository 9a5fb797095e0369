"""Wrong marks and wrong views are named in words."""

from dataclasses import replace

import numpy as np
import pytest
from known_character import mark, model

from layfigure.design.marks import PictureMarks
from layfigure.study.guards import doubtful_landmarks, pictured, plain
from layfigure.study.reading import study_with_model


@pytest.fixture(scope="module")
def pictures() -> list[PictureMarks]:
    rng = np.random.default_rng(15)
    return [mark(view, rng) for view in ("front", "left", "back")]


def test_good_pictures_bring_no_complaint(pictures: list[PictureMarks]) -> None:
    assert study_with_model(pictures, model()).messages == ()


def test_a_slipped_landmark_is_named_first(pictures: list[PictureMarks]) -> None:
    named, in_its_picture = [], []
    slips = ("knee_left", "waist_right", "elbow_right", "crotch", "hip_left")
    for name in slips:
        slipped = {**pictures[0].landmarks, name: pictures[0].landmarks[name] + np.array([18.0, 30.0])}
        result = study_with_model([replace(pictures[0], landmarks=slipped), *pictures[1:]], model())
        strange, view, worst = doubtful_landmarks(result.fit)[0]
        named.append(worst == name and strange > 3.5)
        in_its_picture.append(view == 0)
        assert any(f", the {plain(name)} disagrees" in message for message in result.messages)
    assert all(named)
    # The same mark in another picture may look as strange: two against two cannot be told apart.
    assert sum(in_its_picture) >= 4


def test_a_mirrored_picture_is_recognised(pictures: list[PictureMarks]) -> None:
    wide = pictures[0].size[0]

    def flip(points: np.ndarray) -> np.ndarray:
        return np.array([wide, 0.0]) + points * [-1.0, 1.0]

    mirrored = replace(
        pictures[0],
        landmarks={name: flip(place) for name, place in pictures[0].landmarks.items()},
        outlines=tuple(replace(o, points=flip(o.points)) for o in pictures[0].outlines),
    )
    messages = study_with_model([mirrored, *pictures[1:]], model()).messages
    assert any(
        message.startswith("The front picture is stated as front") and "mirrored" in message
        for message in messages
    )


def test_a_back_picture_called_a_side_is_recognised(pictures: list[PictureMarks]) -> None:
    wrong = replace(pictures[2], view="left")
    messages = study_with_model([*pictures[:2], wrong], model()).messages
    assert any(
        "The back picture is stated as left, but it looks like a picture of the back" in m for m in messages
    )


def test_names_are_said_as_a_maker_says_them() -> None:
    assert plain("knee_left") == "left knee"
    assert plain("waist_left") == "left end of the waist"
    assert plain("knee_left_outer") == "outer end of the left knee"
    assert plain("torso") == "torso"


def test_pictures_are_spoken_of_by_their_view_or_quoted() -> None:
    assert pictured("left") == "the left picture"
    assert pictured("three_quarter") == "the three-quarter picture"
    assert pictured("Sheet 2, upper row") == 'the picture "Sheet 2, upper row"'
