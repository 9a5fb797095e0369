"""The whole study against a character and cameras that are known exactly."""

from dataclasses import replace

import numpy as np
import pytest
from known_character import YAW, mark, model, wearer_errors, woman

from layfigure.design.marks import EdgeMarks, OutlineMarks, PictureMarks
from layfigure.errors import MarkError, StudyError
from layfigure.study.camera import SWELL
from layfigure.study.reading import StudyResult, study_marks, study_with_model


@pytest.fixture(scope="module")
def pictures() -> list[PictureMarks]:
    rng = np.random.default_rng(5)
    return [mark(view, rng) for view in ("front", "left", "back")]


@pytest.fixture(scope="module")
def study(pictures: list[PictureMarks]) -> StudyResult:
    return study_with_model(pictures, model())


def test_marks_reach_the_wearer_near_the_true_line_and_know_how_near(study: StudyResult) -> None:
    distance, along, stated = wearer_errors(study.readings)
    assert np.median(distance) < 4.0
    assert np.percentile(distance, 95) < 11.0
    assert study.refusal_rate <= 0.1
    assert (along <= 2.0 * stated).mean() > 0.85


def test_scaling_by_height_would_miss_by_far_more(study: StudyResult, pictures: list[PictureMarks]) -> None:
    front = pictures[0]
    crown, floor = (
        front.landmarks["crown"][1],
        max(front.landmarks[f"ankle_{s}"][1] for s in ("left", "right")),
    )
    form = woman()
    top, low = form.charts["head"].height(0.04), form.charts["shank_left"].height(1.0)
    worst = []
    for edge in front.edges:
        share = (edge.points[:, 1] - floor) / (crown - floor)
        heights = low + share * (top - low)
        own = [r for r in study.readings if r.slug == edge.slug and r.picture == "front"]
        read = np.array([form.charts[r.region].points(r.station, r.around)[0, 2] for r in own])
        worst.append(np.abs(heights - read).mean())
    assert np.median(worst) > 30.0


def test_the_same_marks_give_the_same_reading_whatever_the_picture_size(pictures: list[PictureMarks]) -> None:
    doubled = [
        replace(
            picture,
            size=(2 * picture.size[0], 2 * picture.size[1]),
            landmarks={name: 2.0 * place for name, place in picture.landmarks.items()},
            outlines=tuple(replace(outline, points=2.0 * outline.points) for outline in picture.outlines),
            edges=tuple(replace(edge, points=2.0 * edge.points) for edge in picture.edges),
        )
        for picture in pictures
    ]
    one, two = study_with_model(pictures, model()), study_with_model(doubled, model())
    stations = np.array([[r.station for r in s.readings] for s in (one, two)])
    # Only the weight of the hand's one pixel differs.
    assert np.abs(stations[0] - stations[1]).max() < 0.03


def test_a_band_seen_from_two_sides_runs_round_in_order(study: StudyResult) -> None:
    assert "belt" in study.runs_round
    turns = np.array([point.at.around for point in study.edges["belt"]])
    assert (np.diff(turns) > 0).all()
    assert {point.at.region for point in study.edges["belt"]} == {"torso"}


def test_the_figure_has_the_proportions_of_the_character(study: StudyResult) -> None:
    from known_character import character

    true, found = character(), study.charts
    share = [
        chart["thigh_left"].height(0.01) / chart["head"].sections[..., 2].max() for chart in (true, found)
    ]
    assert share[0] == pytest.approx(share[1], abs=0.006)
    waist = [c["torso"].girth(3.0) / c["torso"].girth(4.0) for c in (true, found)]
    assert waist[0] == pytest.approx(waist[1], abs=0.03)


def test_the_yaw_of_a_three_quarter_view_is_recovered() -> None:
    rng = np.random.default_rng(8)
    result = study_with_model([mark(view, rng) for view in ("front", "left", "free")], model())
    # The benchmark's three-quarter views are off by 1.3 degrees on average, 2.8 at most of ten.
    assert result.cameras["free"].yaw == pytest.approx(YAW["free"], abs=4.0)
    assert result.cameras["front"].yaw == pytest.approx(0.0, abs=3.0)


def test_one_front_picture_with_sixteen_clicks_and_edges_is_enough_to_begin() -> None:
    full = mark("front", np.random.default_rng(3))
    keep = ("crown", "chin", "crotch", "waist_left", "waist_right", "hip_left", "hip_right", "bust_left",
            "bust_right", "knee_left", "knee_right", "ankle_left", "ankle_right", "elbow_left", "wrist_left",
            "wrist_right")  # fmt: skip
    few = replace(full, landmarks={name: full.landmarks[name] for name in keep}, outlines=())
    result = study_marks([few], woman())
    distance, along, stated = wearer_errors(tuple(r for r in result.readings if not r.refused))
    assert np.median(distance) < 12.0
    assert (along <= 2.0 * stated).mean() > 0.85
    assert result.next_clicks
    assert result.next_clicks[0].gain > 0.01
    assert result.next_clicks[0].words.startswith("In the front picture, ")


def test_making_the_advised_click_makes_the_readings_surer() -> None:
    rng = np.random.default_rng(4)
    full = mark("front", rng)
    bare = replace(full, outlines=())
    with_outlines = replace(full, outlines=tuple(o for o in full.outlines if o.region == "torso"))
    before, after = (study_with_model([p], model()) for p in (bare, with_outlines))
    torso = [
        np.mean([r.spread_along + r.spread_around for r in s.readings if r.region == "torso"])
        for s in (before, after)
    ]
    assert torso[1] < 0.97 * torso[0]


def test_advised_landmarks_are_new_seen_and_about_where_they_are_said_to_be() -> None:
    full = [mark(view, np.random.default_rng(4)) for view in ("front", "left")]
    begun = ("crown", "crotch", "waist_left", "waist_right", "knee_left", "ankle_left", "ankle_right")
    bare = [
        replace(
            picture,
            landmarks={name: place for name, place in picture.landmarks.items() if name in begun},
            outlines=(),
            unseen=frozenset({"elbow_left"}),
        )
        for picture in full
    ]
    clicks = study_with_model(bare, model()).next_clicks
    assert len(clicks) > 3
    assert [click.gain for click in clicks] == sorted((click.gain for click in clicks), reverse=True)
    for click in clicks:
        true = next(picture for picture in full if picture.name == click.picture)
        tall = true.landmarks["ankle_left"][1] - true.landmarks["crown"][1]
        assert click.landmark not in (*begun, "elbow_left")
        if click.landmark in true.landmarks:
            assert np.linalg.norm(click.place - true.landmarks[click.landmark]) < 0.12 * tall


def test_a_mark_far_outside_its_region_is_refused_with_advice(pictures: list[PictureMarks]) -> None:
    astray = EdgeMarks(slug="astray", points=np.array([[30.0, 500.0]]), regions=("torso",))
    result = study_with_model([replace(pictures[0], edges=(astray,)), *pictures[1:]], model())
    reading = result.readings[0]
    assert reading.refused
    assert "outside the torso in the front picture" in reading.advice
    assert "astray" not in result.edges


def test_an_edge_on_a_region_that_does_not_exist_is_refused(pictures: list[PictureMarks]) -> None:
    edge = EdgeMarks(slug="tail", points=np.array([[450.0, 500.0]]), regions=("tail",))
    result = study_with_model([replace(pictures[0], edges=(edge,))], model())
    assert result.readings[0].refused
    assert "no region tail" in result.readings[0].advice


def test_without_a_region_the_first_skin_the_ray_meets_is_taken(pictures: list[PictureMarks]) -> None:
    belt = next(edge for edge in pictures[0].edges if edge.slug == "belt")
    middle = replace(belt, points=belt.points[3:-3], regions=())
    result = study_with_model([replace(pictures[0], edges=(middle,)), *pictures[1:]], model())
    own = [r for r in result.readings if r.slug == "belt" and r.picture == "front"]
    assert {r.region for r in own} == {"torso"}


def test_a_hidden_outline_does_not_fatten_the_body_and_bounds_it(pictures: list[PictureMarks]) -> None:
    def girth(pushed: float, *, hidden: bool) -> float:
        changed = []
        for picture in pictures:
            middle = picture.landmarks["crotch"][0]
            outlines = []
            for outline in picture.outlines:
                points = outline.points.copy()
                if outline.region == "torso":
                    points[:, 0] += pushed * np.sign(points[:, 0] - middle)
                    outline = OutlineMarks(region="torso", points=points, hidden=hidden)
                outlines.append(outline)
            keep = {n: p for n, p in picture.landmarks.items() if not n.startswith(("waist", "under_bust"))}
            changed.append(replace(picture, outlines=tuple(outlines), landmarks=keep))
        chart = study_with_model(changed, model()).charts["torso"]
        return float(chart.girth(3.0))

    true = girth(0.0, hidden=False)
    assert girth(25.0, hidden=False) > 1.1 * true
    assert girth(25.0, hidden=True) < 1.1 * true
    assert girth(-12.0, hidden=True) < 0.97 * true


def test_outlines_that_follow_the_clothes_do_not_fatten_the_body(pictures: list[PictureMarks]) -> None:
    def read(swell: float) -> tuple[float, list[float]]:
        changed = []
        for picture in pictures:
            tall = np.ptp([place[1] for place in picture.landmarks.values()])
            middles = {o.region: o.points.mean(axis=0) for o in picture.outlines}
            outlines = [
                replace(o, points=o.points + [swell * tall, 0.0] * np.sign(o.points - middles[o.region]))
                for o in picture.outlines
            ]
            changed.append(replace(picture, outlines=tuple(outlines)))
        result = study_with_model(changed, model())
        return float(result.charts["torso"].girth(3.0)), result.fit.cameras[:, SWELL].tolist()

    (bare, before), (dressed, after) = read(0.0), read(0.002)
    # Levels clicked on the body say how far the outlines stand off it. Taken for skin, they would add 4 %.
    assert dressed < 1.02 * bare
    assert np.mean(after) - np.mean(before) == pytest.approx(0.002, abs=0.0012)


def test_marks_outside_the_picture_name_the_picture_and_the_mark(pictures: list[PictureMarks]) -> None:
    landmarks = {**pictures[0].landmarks, "crown": np.array([450.0, -20.0])}
    with pytest.raises(MarkError, match=r"front: landmark crown .* outside the picture"):
        study_with_model([replace(pictures[0], landmarks=landmarks)], model())


def test_too_few_marks_say_which_to_click(pictures: list[PictureMarks]) -> None:
    bare = replace(pictures[0], landmarks={"crown": pictures[0].landmarks["crown"]}, outlines=())
    with pytest.raises(StudyError, match=r"too few marks .* Click at least"):
        study_with_model([bare], model())
    with pytest.raises(StudyError, match="no picture"):
        study_with_model([], model())
    with pytest.raises(StudyError, match="same name"):
        study_with_model([pictures[0], pictures[0]], model())
