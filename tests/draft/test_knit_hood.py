"""The close hood."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import shapely
from knit_requests import draft, faults, lens, preset, walked_faults

from layfigure.body.form import Form
from layfigure.draft.registry import DraftResult
from layfigure.errors import DraftError


@pytest.fixture(scope="module")
def woman() -> Form:
    return replace(preset("woman"), measures={"head_girth": 560.0})


@pytest.fixture(scope="module")
def hood(woman: Form) -> DraftResult:
    return draft(woman, options={"garment": "hood", "face_width": "14 cm"})


def test_a_hood_is_one_half_cut_twice_that_closes_and_walks(hood: DraftResult) -> None:
    assert faults(hood) == []
    (half,) = hood.pieces
    assert (half.side, half.count) == ("both", 2)
    assert walked_faults(hood.pieces, mirrored=frozenset({"suit.centre", "suit.chin"})) == []
    ring = shapely.LinearRing(half.stitch_line)
    assert ring.is_simple
    assert ring.is_ccw
    for edge, following in zip(half.edges, half.edges[1:] + half.edges[:1], strict=True):
        assert edge.curve[-1] == pytest.approx(following.curve[0], abs=1e-9)
    assert len(half.totals) == 3


def test_round_the_brow_it_is_the_head_less_the_face_and_the_reduction(hood: DraftResult) -> None:
    (half,) = hood.pieces
    (brow,) = [line for line in half.lines if line.label == "brow"]
    # Twice the half's breadth at the brow = (560 - 140) x 0.9.
    assert 2.0 * np.ptp(brow.curve[:, 0]) == pytest.approx(0.9 * (560.0 - 140.0), rel=1e-3)


def test_its_face_gets_elastic_and_its_wearer_a_caution(hood: DraftResult) -> None:
    (item,) = hood.items
    face = hood.pieces[0].edge("face").length
    assert item.length == pytest.approx(0.95 * 2.0 * face / 0.98 + 12.7)
    assert any("what is seen at the sides" in caution for caution in hood.pieces[0].cautions)


def test_it_lies_on_head_and_neck_and_leaves_the_face_free(woman: Form, hood: DraftResult) -> None:
    (worn,) = hood.worn
    z = worn.mesh.vertices[:, 2]
    assert z.max() == pytest.approx(woman.level_heights["crown"], abs=8.0)
    assert z.min() > woman.level_heights["neck_base"] - 25.0
    nose = woman.landmarks["nose_root"]
    assert np.linalg.norm(worn.mesh.vertices - nose, axis=1).min() > 35.0


def test_windows_are_refused(woman: Form) -> None:
    edges = {"eye": lens("eye", "head", 0.5, 0.0, 0.2, 0.05)}
    with pytest.raises(DraftError, match="a hood has no windows"):
        draft(woman, edges=edges, windows=("eye",), options={"garment": "hood"})
