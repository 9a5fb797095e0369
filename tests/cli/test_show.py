"""What commands print for a program to read."""

from __future__ import annotations

import json
from types import SimpleNamespace
from typing import cast

import pytest

from layfigure.body.chart import ChartPoint
from layfigure.cli.show import print_json
from layfigure.design.design import EdgePoint
from layfigure.pipeline.study_data import study_as_data
from layfigure.study.reading import StudyResult


def test_json_has_no_infinity(capsys: pytest.CaptureFixture[str]) -> None:
    # RFC 8259, section 6: Infinity and NaN are not permitted.
    print_json({"spread": float("inf"), "length": 1.23456789, "list": [float("nan")]})
    read = json.loads(capsys.readouterr().out, parse_constant=pytest.fail)
    assert read == {"spread": None, "length": 1.234568, "list": [None]}


def test_a_spread_that_nothing_bounds_has_a_word() -> None:
    point = EdgePoint(
        at=ChartPoint(region="torso", station=2.0, around=0.1), spread_along=float("inf"), spread_around=0.01
    )
    study = SimpleNamespace(edges={"hem": (point,)}, readings=(), messages=(), next_clicks=())
    edge = study_as_data(cast("StudyResult", study))["edges"]["hem"]
    assert edge["spread"] is None
    assert edge["points"][0]["spread_along"] is None
    assert edge["points"][0]["spread_around"] == 0.01
    assert edge["sure"] == edge["points"][0]["sure"] == "nothing says where it lies"
