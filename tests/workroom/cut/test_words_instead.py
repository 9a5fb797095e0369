"""Words offered for a traced line: one made from known words is said in them again, within what is written.

No outside source: the words go through the reader of the files. Lengths are written to a millimetre and ways
round to a tenth of a percent, and a way within 0.2 % of front, back or a side is called so.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from layfigure.body.chart import ChartPoint
from layfigure.design.design import DesignEdge, EdgePoint
from layfigure.design.words import parse_words
from layfigure.design.words_on_body import resolve_words, ruler_of
from layfigure.pipeline.stages import neutral_body
from layfigure.place.place import place_edge
from layfigure.workroom.words_instead import words_instead

BODY = neutral_body()
CLOSE = 0.51
"""Of what is written to a millimetre [mm]."""
ROUND = 0.0021
"""A way round called by a name [share of the girth]."""


def traced(words, side, *, points=9):
    """A line as marks would give it: points of the line that words say, and nothing else known of it."""
    placed = place_edge(resolve_words(parse_words(words, side=side), BODY.charts, BODY.level_heights), BODY)
    marks = []
    for curve in placed.curves:
        for k in np.linspace(0, len(curve.station) - 1, points).round().astype(int):
            at = ChartPoint(
                region=curve.region, station=float(curve.station[k]), around=float(curve.around[k]) % 1.0
            )
            marks.append(EdgePoint(at=at))
    return DesignEdge(
        slug="stripe",
        points=tuple(marks),
        closed=False,
        goes_round=False,
        meaning="proportion",
        source="marks",
        text="",
    )


def offered(edge, stated):
    return words_instead(place_edge(edge, BODY), stated, BODY, "cm")


@pytest.mark.parametrize("side", ["left", "right"])
@pytest.mark.parametrize(
    "words",
    [
        "along 30 % round from 4 cm below the hip to 10 cm above the ankle",
        "along the outside from hip to ankle",
        "along the back from 2 cm below the crotch to 3 cm above the knee",
        "along 97 % round from 5 cm above the knee to ankle",
        "along 62.5 % round from 8 cm below the shoulder point to 4 cm above the wrist",
        "along the inside from 6 cm below the elbow to wrist",
        "along the front from 3 cm below the ankle to toe tip",
    ],
)
def test_a_line_made_from_words_is_said_in_them_again(words, side):
    edge = traced(words, side)
    found = offered(edge, side)
    assert found["side"] == ""
    was, now = parse_words(words, side=side), parse_words(found["words"], side=side)
    ruler = ruler_of(was.top.chain, side, BODY.charts, BODY.level_heights)
    for one, other in ((was.top, now.top), (was.bottom, now.bottom)):
        assert abs(ruler.position(one) - ruler.position(other)) <= CLOSE
    assert abs((was.around - now.around + 0.5) % 1.0 - 0.5) <= ROUND
    assert found["off"] <= 2
    # Traced upward it is the same line.
    assert offered(replace(edge, points=edge.points[::-1]), side)["words"] == found["words"]


@pytest.mark.parametrize(
    "words", ["along the left from bust to 5 cm above the hip", "along 45 % round from nape to waist"]
)
def test_a_line_down_the_trunk_needs_no_side(words):
    found = offered(traced(words, "middle"), "middle")
    assert (found["words"], found["side"]) == (words, "")


@pytest.mark.parametrize("side", ["left", "right"])
def test_a_line_on_a_limb_that_is_stated_for_no_side_gets_the_one_it_lies_on(side):
    found = offered(traced("along 30 % round from knee to 6 cm above the ankle", side), "middle")
    assert found["side"] == side
    assert parse_words(found["words"], side=side).around == pytest.approx(0.3, abs=ROUND)


@pytest.mark.parametrize("side", ["left", "right"])
def test_how_far_off_the_words_lie_is_what_the_line_strays(side):
    """Bent aside by 4 % of the girth at its middle, it strays by a part of that from the mean way."""
    straight = traced("along 30 % round from 5 cm below the knee to 5 cm above the ankle", side)
    count = len(straight.points)
    bent = tuple(
        replace(point, at=replace(point.at, around=point.at.around + 0.04 * np.sin(np.pi * k / (count - 1))))
        for k, point in enumerate(straight.points)
    )
    found = offered(replace(straight, points=bent), side)
    chart = BODY.charts[f"shank_{side}"]
    stations = [point.at.station for point in straight.points]
    girths = np.interp(stations, chart.stations, chart.girths)
    # The mean of half a sine is 2/pi of its height.
    assert 0.02 * girths.min() <= found["off"] <= 0.04 * girths.max()
    way = parse_words(found["words"], side=side).around
    assert way == pytest.approx(0.3 + 0.04 * 2.0 / np.pi, abs=0.004)


def test_what_goes_round_or_from_limb_to_limb_is_not_said_so():
    level = traced("at the waist, from 10 % to 40 % round", "middle")
    assert offered(level, "middle") is None
    trunk, arm = (
        traced("along the left from bust to waist", "middle"),
        traced("along the front from 10 cm below the shoulder point to elbow", "left"),
    )
    assert offered(replace(trunk, points=trunk.points + arm.points), "middle") is None
    left, right = (traced("along the front from crotch to knee", one) for one in ("left", "right"))
    assert offered(replace(left, points=left.points + right.points), "middle") is None
