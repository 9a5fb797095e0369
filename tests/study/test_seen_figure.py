"""The fitted figure drawn over a picture lies where the picture's own outlines are."""

from dataclasses import replace

import numpy as np
import pytest
import shapely
from tests.study.known_character import mark, model

from layfigure.design.marks import Marks, OutlineMarks, PictureMarks
from layfigure.pipeline.stages import run_study
from layfigure.study.fit import fit_figure, says_where
from layfigure.study.seen_figure import seen_figure


@pytest.mark.parametrize("view", ["front", "left", "back"])
def test_the_outline_runs_where_the_body_was_marked_to_end(view: str) -> None:
    rng = np.random.default_rng(5)
    pictures = [mark(name, rng) for name in ("front", "left", "back")]
    number = ["front", "left", "back"].index(view)
    fit = fit_figure(model(), pictures)
    seen = seen_figure(fit, number)
    assert len(seen.outlines) >= 1
    figure = shapely.MultiPolygon([shapely.Polygon(seen.outlines[0])])
    tall = fit.sights[number].tall
    # What is marked of the legs is nowhere covered by another region.
    marked = [o.points for o in pictures[number].outlines if o.region.startswith("shank")]
    off = shapely.distance(figure.boundary, shapely.points(np.concatenate(marked)))
    assert np.median(off) < 0.004 * tall
    assert np.quantile(off, 0.9) < 0.012 * tall
    low, high = figure.bounds[1], figure.bounds[3]
    assert high - low == pytest.approx(tall, rel=0.06)


def test_levels_cross_the_body_between_its_edges() -> None:
    rng = np.random.default_rng(6)
    picture = mark("front", rng)
    seen = seen_figure(fit_figure(model(), [picture]), 0)
    waist = seen.levels["torso", "waist"]
    ends = np.array([picture.landmarks["waist_left"], picture.landmarks["waist_right"]])
    reach = np.array([waist[waist[:, 0].argmax()], waist[waist[:, 0].argmin()]])
    assert np.abs(reach - ends).max() < 0.012 * picture.size[1]


def bare(name: str, **more: object) -> PictureMarks:
    return replace(PictureMarks(name=name, view="front", size=(100, 100)), **more)


def test_a_picture_says_where_the_figure_is_from_two_marks_on() -> None:
    place = np.array([5.0, 5.0])
    outline = OutlineMarks(region="torso", points=place[None])
    assert not says_where(bare("a"))
    assert not says_where(bare("a", landmarks={"chin": place}))
    assert says_where(bare("a", landmarks={"chin": place, "crown": place}))
    assert says_where(bare("a", landmarks={"chin": place}, outlines=(outline,)))
    hidden = replace(outline, hidden=True)
    assert not says_where(bare("a", landmarks={"chin": place}, outlines=(hidden, hidden)))


def test_a_picture_barely_begun_changes_nothing() -> None:
    picture = mark("front", np.random.default_rng(7))
    begun = bare("begun", landmarks={"chin": np.array([5.0, 5.0])})
    alone, beside = (run_study(Marks(pictures=each)) for each in ((picture,), (picture, begun)))
    assert alone is not None
    assert beside is not None
    assert [one.station for one in alone.readings] == [one.station for one in beside.readings]
    assert run_study(Marks(pictures=(begun,))) is None
