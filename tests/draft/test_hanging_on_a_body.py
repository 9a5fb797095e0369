"""Every hanging kind on a whole body: pieces close and walk, cloth lies outside the skin and ends level."""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hanging_bodies import ask, proper

from layfigure.body.chart import ChartPoint
from layfigure.body.form import Form
from layfigure.body.shape import form_of
from layfigure.body.template import load_template
from layfigure.design.design import DesignEdge, EdgePoint
from layfigure.draft.circular.kind import KIND as CIRCULAR
from layfigure.draft.hanging.fall import ALL_BELOW_HEAD, TRUNK, fall_from
from layfigure.draft.hanging.kind import KIND as HANGING


@lru_cache(maxsize=2)
def body(preset: str) -> Form:
    template = load_template()
    return form_of(template, template.presets[preset])


def line(region: str, station: float, start: float = 0.0, end: float = 1.0) -> DesignEdge:
    closed = end - start >= 1.0
    share = np.arange(16) / 16.0 if closed else np.linspace(0.0, 1.0, 9)
    return DesignEdge(
        slug="line",
        closed=closed,
        points=tuple(
            EdgePoint(
                at=ChartPoint(region=region, station=station, around=float((start + s * (end - start)) % 1))
            )
            for s in share
        ),
    )


@pytest.mark.parametrize("preset", ["woman", "man"])
def test_a_cape_with_hood_and_collar(preset: str, tmp_path: Path) -> None:
    options = {"use": "cape", "circle": "half", "hem_height": "300 mm", "hood": True}
    result = ask(CIRCULAR, body(preset), {"top": line("neck", 1.0)}, options)
    proper(result.pieces, tmp_path)
    assert all(check.passed for check in result.checks)
    hood = next(piece for piece in result.pieces if piece.slug.endswith("hood"))
    collar = next(piece for piece in result.pieces if piece.slug.endswith("collar"))
    assert (hood.side, hood.count) == ("both", 2)
    # Both halves of the hood and the collar go once round the neck edge.
    assert 2.0 * hood.edge("neck").length == pytest.approx(collar.totals[0].length, abs=0.05)
    head = body(preset).charts["head"]
    assert 2.0 * hood.totals[2].length > head.girths.max()
    worn = {surface.name: surface.mesh for surface in result.worn}
    assert set(worn) == {"thing", "thing_collar", "thing_hood"}
    assert sum(len(mesh.faces) for mesh in worn.values()) < 5000
    assert worn["thing_hood"].vertices[:, 2].max() > body(preset).landmarks["crown"][2]
    assert worn["thing"].vertices[:, 2].min() == pytest.approx(300.0, abs=4.0)


@pytest.mark.parametrize("preset", ["woman", "man"])
@pytest.mark.parametrize(
    ("region", "station", "over"), [("torso", 3.0, TRUNK), ("neck", 1.0, ALL_BELOW_HEAD)]
)
def test_cloth_falls_outside_the_skin(
    preset: str, region: str, station: float, over: tuple[str, ...]
) -> None:
    form = body(preset)
    fall = fall_from(form, form.charts[region].section(station), over=over)
    skin = np.concatenate(
        [
            form.standing.vertices[np.unique(form.standing.faces[form.face_region == number])]
            for number, name in enumerate(form.region_names)
            if name.removesuffix("_left").removesuffix("_right") in over
        ]
    )
    turns = np.arctan2(skin[:, 0] - fall.centre[0], fall.centre[1] - skin[:, 1]) / (2.0 * np.pi)
    out = np.linalg.norm(skin[:, :2] - fall.centre, axis=1)
    line_top = fall.height[:, 0].min() - 15.0
    below = skin[:, 2] < line_top
    down = fall.down_to(turns[below], skin[below, 2])
    reach = np.linalg.norm(fall.at(turns[below], down)[:, :2] - fall.centre, axis=1)
    # Between two of the directions and two of the levels a rounded body stands out a little.
    assert (out[below] - reach).max() < 6.0


def test_a_back_banner_hangs_plumb_and_free(tmp_path: Path) -> None:
    options: dict[str, Any] = {"form": "banner", "width": "300 mm", "hem_height": "500 mm", "hem": "point",
                               "artwork": {"motif": "petal", "order": 6, "mirror": True}}  # fmt: skip
    result = ask(HANGING, body("woman"), {"top": line("torso", 0.4, 0.38, 0.62)}, options)
    proper(result.pieces, tmp_path)
    assert all(check.passed for check in result.checks)
    (worn,) = result.worn
    assert worn.mesh.vertices[:, 1].min() > 0.0
    assert worn.mesh.vertices[:, 2].min() == pytest.approx(500.0, abs=4.0)
