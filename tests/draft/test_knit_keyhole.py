"""A keyhole: a drop-shaped window below the neckline of a top, closed, or refused where it would reach it."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from knit_requests import draft, faults, preset

from layfigure.body.chart import ChartPoint
from layfigure.body.form import Form
from layfigure.design.design import DesignEdge, EdgePoint
from layfigure.design.motif import MotifRow, named_shape
from layfigure.draft.knit.windows import KEPT_BELOW
from layfigure.errors import DraftError
from layfigure.place.motif_row import motifs_along
from layfigure.place.place import place_edge

SIZE = 70.0
OPTIONS = {"garment": "top", "sleeves": False, "seams": "plain", "neckline": "round"}


@pytest.fixture(scope="module")
def woman() -> Form:
    return preset("woman")


def keyhole(form: Form, station: float) -> DesignEdge:
    """The ``drop`` of a row of one, its middle at a station of the centre front."""
    line = DesignEdge(
        slug="front",
        points=tuple(
            EdgePoint(at=ChartPoint(region="torso", station=station + d, around=0.0))
            for d in (-0.2, 0.0, 0.2)
        ),
    )
    row = MotifRow(
        slug="key", along="front", shape=named_shape("drop", 0.6), count=1, size=SIZE, size_end=SIZE,
        spacing="centres", first=0.5, last=0.5, turn=0.0, follow=False, where="",
    )  # fmt: skip
    (motif,) = motifs_along(row, place_edge(line, form), form)
    return motif


def test_a_keyhole_is_a_closed_window_in_the_middle_of_the_front(woman: Form) -> None:
    edge = keyhole(woman, 0.65)
    result = draft(woman, edges={edge.slug: edge}, windows=(edge.slug,), backing="net", options=OPTIONS)
    assert faults(result) == []
    front = next(piece for piece in result.pieces if piece.windows)
    assert front.slug.endswith("front")
    (window,) = front.windows
    hole, sheet = shapely.Polygon(window.curve), shapely.Polygon(front.stitch_line)
    assert hole.is_valid
    assert sheet.contains(hole)
    neck = shapely.LineString(front.edge("neck").curve)
    assert hole.distance(neck) >= KEPT_BELOW
    # Cut a tenth smaller round the body and a fiftieth along it; its tip stands up, toward the neck.
    low, high = hole.bounds[1], hole.bounds[3]
    assert high - low == pytest.approx(0.98 * SIZE, rel=0.03)
    assert hole.bounds[2] - hole.bounds[0] == pytest.approx(0.9 * 0.6 * SIZE, rel=0.04)
    assert hole.centroid.y < 0.5 * (low + high)
    centre = np.mean(front.edge("neck").curve[[0, -1], 0])
    assert hole.centroid.x == pytest.approx(float(centre), abs=2.0)
    # And as worn it is the drop that was asked for.
    assert window.worn is not None
    worn = shapely.Polygon(window.worn)
    assert worn.bounds[3] - worn.bounds[1] == pytest.approx(SIZE, rel=0.03)
    assert any(piece.cloth == "net" for piece in result.pieces)


@pytest.mark.parametrize("station", [0.42, 0.5])
def test_a_keyhole_that_reaches_the_neckline_is_refused_with_what_to_do(woman: Form, station: float) -> None:
    edge = keyhole(woman, station)
    with pytest.raises(DraftError, match="reaches the neckline") as told:
        draft(woman, edges={edge.slug: edge}, windows=(edge.slug,), backing="net", options=OPTIONS)
    assert told.value.where == "window key_1"
    assert f"{KEPT_BELOW:.0f} mm below" in told.value.advice
    assert 'neckline = "v"' in told.value.advice
