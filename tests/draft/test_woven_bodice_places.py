"""Where places of the body come to lie on the worn bodice, against where its flat pieces have them.

The bust level and tapes from place to place are read on the body; where they should be is on the flat pieces.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np
import pytest
import shapely
from benchmarks._random_bodies import random_form
from woven_requests import CLOTHS

from layfigure.body.form import Form
from layfigure.design.design import PieceStatement
from layfigure.draft.registry import DraftRequest, validated_options
from layfigure.draft.window.sheet import Kept, Sheet
from layfigure.draft.woven.bodice_fit import DART_IN, FittedBodice
from layfigure.draft.woven.bodice_lie import bodice_sheets
from layfigure.draft.woven.bodice_points import half_points
from layfigure.draft.woven.garment_bodice import fit
from layfigure.draft.woven.kind import KIND
from layfigure.draft.woven.options import WovenOptions
from layfigure.geometry.mesh import TriangleMesh
from layfigure.geometry.polyline import arc_lengths
from layfigure.geometry.taut_line import Skin, taut_line
from layfigure.place.placement import Placement

BODIES = (1, 3, 5, 9)
"""Of ``benchmarks/woven.py``; the last two were the worst of twelve at the bust."""

LEVEL, ACROSS = 2.0, 2.5
"""Most that a place by the bust may be off [mm]."""


def _crosses(kept: Kept, start: np.ndarray, end: np.ndarray) -> bool:
    return bool(kept.shape.intersects(shapely.LineString([start, end])))


def request(form: Form, **options: object) -> DraftRequest:
    said = {"garment": "bodice", "sleeves": False} | options
    statement = PieceStatement(slug="piece", kind="woven", cloth="twill", options=said)
    return DraftRequest(
        statement=statement,
        options=validated_options(KIND, said, where="test"),
        form=form,
        placement=Placement(wearer="", edges={}),
        cloths=CLOTHS,
        stack=1.0,
    )


@lru_cache(maxsize=4)
def fitted(number: int, shaping: str = "darts") -> tuple[Form, FittedBodice, dict[str, Sheet]]:
    form = random_form(number, 7)
    asked = request(form, shaping=shaping)
    options = asked.options
    assert isinstance(options, WovenOptions)
    bodice, _ = fit(asked, options)
    pieces = KIND.draft(asked).pieces
    return form, bodice, {sheet.slug: sheet for sheet in bodice_sheets(asked, options, bodice, pieces)}


@pytest.mark.parametrize("number", BODIES)
def test_between_the_bust_points_a_place_is_level_with_them_and_as_far_out_as_on_the_body(
    number: int,
) -> None:
    form, bodice, sheets = fitted(number)
    half, trunk = bodice.halves["front", "left"], bodice.trunk
    tip, chart, point = half.corners["tip"], form.charts["torso"], form.landmarks["bust_point_left"]
    way = float(chart.locate(point[None])[1][0])
    places = chart.points(np.full(4, 1.0), way * np.array([0.2, 0.4, 0.6, 0.8]))
    flat = sheets["piece_front_left"].flat(places)
    level = np.interp(flat[:, 0], [0.0, tip[0]], [half.abreast, tip[1]])
    assert flat[:, 1] - level == pytest.approx(places[:, 2] - point[2], abs=LEVEL)
    # A string pulled tight from bust point to bust point, over the body with its ease.
    skin = Skin.of(TriangleMesh(trunk.vertices, trunk.faces))
    ends = [trunk.near(form.landmarks[f"bust_point_{side}"], front=True).at for side in ("right", "left")]
    string = taut_line(skin, np.stack(ends), clearance=0.0).points
    along, across = arc_lengths(string), string[:, 0]
    out = np.interp(places[:, 0], across, along) - np.interp(0.0, across, along)
    assert flat[:, 0] == pytest.approx(out, abs=ACROSS)


@pytest.mark.parametrize("shaping", ["darts", "princess"])
@pytest.mark.parametrize("number", BODIES[:2])
def test_elsewhere_a_place_is_as_far_from_the_corners_about_it_as_tapes_on_the_body_read(
    number: int, shaping: str
) -> None:
    form, bodice, sheets = fitted(number, shaping)
    trunk, chart = bodice.trunk, form.charts["torso"]
    missed = []
    for part, ways in (("front", (0.03, 0.09, 0.15)), ("back", (0.47, 0.41, 0.35))):
        half = bodice.halves[part, "left"]
        points = half_points(
            trunk, bodice.waist_line, part, "left", drop=22.0, waist_length=bodice.waist, dart_in=DART_IN
        )  # fmt: skip
        sheet, mirror = sheets[f"piece_{part}_left"], (1.0 if part == "front" else -1.0)
        places = np.array([chart.points([t], [w])[0] for t in (0.5, 1.6, 2.4) for w in ways])
        flat, off = sheet.carry(places)
        # On the body with its ease, straight in front or behind.
        spots = [trunk.near(place, front=part == "front") for place in places]
        inside = shapely.contains_xy(sheet.outline.buffer(-5.0), flat) & np.isfinite(off)
        for k in np.flatnonzero(inside):
            for name in ("neck", "centre_neck", "centre_waist"):
                spot, there = getattr(points, name), half.corners[name] * (mirror, 1.0)
                if shapely.LineString([flat[k], there]).within(sheet.outline.buffer(1.0)):
                    apart = float(np.linalg.norm(flat[k] - there))
                    if not any(_crosses(kept, flat[k], there) for kept in sheet.kept):
                        missed.append(apart - trunk.over(spots[k], spot))
    assert len(missed) > 12
    # 5.1 to 6.9 mm for nine in ten, over tapes of up to 30 cm: what flat cloth misses them by. Carried in
    # proportion, as before, tapes were missed by up to 66 mm above the bust.
    assert np.median(np.abs(missed)) < 2.0
    assert np.percentile(np.abs(missed), 90) < 7.0
