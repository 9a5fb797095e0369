"""A small fixed part of the study benchmark: three characters, each from another mesh, full and sparse marks.

The bounds hold the solver to what it reaches on these characters with a little room for machines; the whole
benchmark and its numbers are in ``benchmarks/study`` and ``benchmarks/results/study.md``.
"""

import pytest
from benchmarks.study.run import scaled_charts, score_baselines, score_readings, wearer_form
from benchmarks.study.scenes import SETTINGS, random_scene, sit
from benchmarks.study.score import Score, summary

from layfigure.body.shape import form_of
from layfigure.body.template import load_template
from layfigure.study.figure import FigureModel
from layfigure.study.reading import study_with_model
from layfigure.study.template_figure import build_model

SEEDS = (0, 1, 2)


@pytest.fixture(scope="module")
def model() -> FigureModel:
    template = load_template()
    return build_model(form_of(template, template.presets["woman"], wearer="template").charts)


def scored(model: FigureModel, setting: str) -> tuple[list[Score], dict[str, list[Score]]]:
    own: list[Score] = []
    others: dict[str, list[Score]] = {}
    for seed in SEEDS:
        charts = scaled_charts(wearer_form(seed))
        sitting = sit(random_scene(seed), SETTINGS[setting], seed)
        own += score_readings(sitting, study_with_model(sitting.marks, model).readings, charts)
        for name, scores in score_baselines(sitting, charts).items():
            others.setdefault(name, []).extend(scores)
    return own, others


def test_full_marking_of_three_views(model: FigureModel) -> None:
    own, others = scored(model, "full, three views")
    numbers = summary(own)
    assert numbers["marks"] > 500
    assert numbers["refused"] <= 0.10
    assert numbers["median"] < 5.0
    assert numbers["p95"] < 20.0
    # The figure earns its place beside every rule a maker could use without it.
    for name, scores in others.items():
        assert numbers["median"] < summary(scores)["median"], name
    assert summary(others["height scaling"])["median"] > 5 * numbers["median"]


def test_twenty_five_clicks(model: FigureModel) -> None:
    own, others = scored(model, "25 clicks, a fixed list")
    numbers = summary(own)
    assert numbers["refused"] <= 0.10
    assert numbers["median"] < 8.5
    assert numbers["p95"] < 34.0
    assert numbers["median"] < summary(others["fractions"])["median"]
