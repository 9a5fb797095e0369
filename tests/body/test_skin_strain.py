"""How much our bent bodies' skin lengthens, against the table that cloth is held to.

Table: Kirk and Ibrahim, Textile Research Journal 36 (1966), from memory (``data/skin_strain.toml``).
A skin that follows its bones in shares lengthens less over elbow, knee and seat than the table says, never
more; round a joint it even shrinks, and across the back it grows by 6 % on one body and 15 % on another, for
shoulder blades do not slide. That is why checks ask the table and not the bent body.
"""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from layfigure.body.bent_skin import bending
from layfigure.body.chart import RegionChart
from layfigure.body.form import Form
from layfigure.body.shape import form_of
from layfigure.body.template import load_template
from layfigure.geometry.polyline import arc_lengths, length
from layfigure.materials.movement import Movement, skin_strain

Points = NDArray[np.float64]

GAUGE = 100.0
"""Read over so much skin on either side of a joint [mm] (our choice: the paper's marks are not known)."""
LEAST = 0.7
"""Share of the table's lower end that our skin reaches at least."""


@pytest.fixture(scope="module", params=["woman", "man"])
def form(request: pytest.FixtureRequest) -> Form:
    template = load_template()
    return form_of(template, template.presets[request.param].copy(), wearer="test")


def beside_the_joint(chart: RegionChart, around: float, *, end: bool) -> Points:
    """A line of the chart up to its joint, or on from it, GAUGE long."""
    stations = np.linspace(float(chart.stations[0]), float(chart.stations[-1]), 400)
    line = chart.points(stations, np.full(400, around))
    at = arc_lengths(line)
    kept: Points = line[at > at[-1] - GAUGE] if end else line[at < GAUGE]
    return kept


def lengthened(form: Form, line: Points, turns: dict[str, float]) -> float:
    return length(bending(form, turns)(line)) / length(line) - 1.0


@pytest.mark.parametrize(
    ("movement", "upper", "lower", "around", "turns"),
    [
        ("elbow", "upper_arm", "forearm", 0.5, {"forearm": 135.0}),
        ("knee", "thigh", "shank", 0.0, {"shank": -120.0}),
    ],
)
def test_skin_over_a_bent_joint_lengthens_nearly_as_much_as_the_table_says(
    form: Form, movement: Movement, upper: str, lower: str, around: float, turns: dict[str, float]
) -> None:
    line = np.vstack(
        [
            beside_the_joint(form.charts[f"{upper}_left"], around, end=True),
            beside_the_joint(form.charts[f"{lower}_left"], around, end=False),
        ]
    )
    table = skin_strain()[movement]["along"]
    assert LEAST * table.least < lengthened(form, line, turns) < table.greatest


def test_skin_over_the_seat_lengthens_nearly_as_much_as_the_table_says(form: Form) -> None:
    trunk = form.charts["torso"]
    line = trunk.points(np.linspace(3.0, 4.6, 200), np.full(200, 0.42))
    table = skin_strain()["seat"]["along"]
    assert LEAST * table.least < lengthened(form, line, {"thigh": 90.0, "shank": 0.0}) < table.greatest


def test_every_value_names_its_source() -> None:
    found = {(m, d): strain for m, rows in skin_strain().items() for d, strain in rows.items()}
    assert set(found) == {
        ("knee", "along"), ("knee", "round"), ("elbow", "along"), ("elbow", "round"), ("seat", "along"),
        ("back", "round"),
    }  # fmt: skip
    for strain in found.values():
        assert 0.0 < strain.least < strain.greatest < 1.0
        assert strain.source
