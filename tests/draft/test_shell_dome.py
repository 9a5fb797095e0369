"""Domes, shoulder caps and cups on bodies."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.spatial import cKDTree
from shapely import LinearRing
from shells import FOAM, LEATHER, body, shell
from stiff_limbs import line, ring

from layfigure.draft.registry import DraftResult
from layfigure.errors import DraftError
from layfigure.geometry.polyline import arc_lengths

JOINTS = ("knee", "elbow", "shoulder", "bust")


def mates(result: DraftResult) -> None:
    """Every seam has two uses of one length, notches of the same names at the same lengths."""
    uses: dict[str, list] = {}
    for piece in result.pieces:
        for edge, following in zip(piece.edges, (*piece.edges[1:], piece.edges[0]), strict=True):
            assert edge.curve[-1] == pytest.approx(following.curve[0], abs=1e-9)
            if edge.seam is not None:
                uses.setdefault(edge.seam, []).append(edge)
        outline = LinearRing(piece.stitch_line)
        assert outline.is_simple
        assert outline.is_ccw
    for edges in uses.values():
        first, second = edges
        assert first.against != second.against
        assert first.length == pytest.approx(second.length, abs=0.05)
        places = [
            {n.name: e.length - n.distance if e.against else n.distance for n in e.notches} for e in edges
        ]
        assert places[0] == pytest.approx(places[1], abs=0.05)
        # Equally long up to every point, not at the ends alone.
        a, b = (e.curve[::-1] if e.against else e.curve for e in edges)
        if len(a) == len(b):
            assert arc_lengths(a) == pytest.approx(arc_lengths(b), abs=0.05)


@pytest.mark.parametrize("preset", ["woman", "man"])
@pytest.mark.parametrize("over", JOINTS)
def test_a_cap_clears_the_body_lies_flat_and_joins(preset: str, over: str) -> None:
    form = body(preset)
    result = shell(form, {"over": over})
    assert all(check.passed for check in result.checks), [c.what for c in result.checks if not c.passed]
    mates(result)
    assert all(len(piece.totals) == 3 and piece.note and piece.cautions for piece in result.pieces)
    assert {piece.verdict.level for piece in result.pieces} == {"good material"}
    (worn,) = result.worn
    assert len(worn.mesh.faces) <= 3000
    # The neutral surface lies half a foam's thickness, the air and the layers beneath off the skin.
    distance, _ = cKDTree(form.standing.vertices).query(worn.mesh.vertices)
    assert distance.min() > 0.5 * FOAM.thickness + 4.0 + 1.0 - 0.5
    areas = sum(abs(_area(piece.stitch_line)) for piece in result.pieces)
    assert areas == pytest.approx(worn.mesh.face_areas().sum(), rel=0.04)


def _area(outline: np.ndarray) -> float:
    x, y = outline.T
    return 0.5 * float(x @ np.roll(y, -1) - y @ np.roll(x, -1))


def test_a_cap_within_a_placed_rim_follows_it() -> None:
    form = body("woman")
    turn = 2.0 * np.pi * np.arange(16) / 16
    points = [(0.5 + 0.12 * np.sin(t), (0.14 * np.cos(t)) % 1.0, False) for t in turn]
    result = shell(form, {"rise": "20 mm"}, edges={"rim": line("r", "shank_left", points)})
    assert all(check.passed for check in result.checks)
    mates(result)
    rim = form.charts["shank_left"].points([p[0] for p in points], [p[1] for p in points])
    mesh = result.worn[0].mesh
    # On the front of the shin the rim stands off by air, what is beneath and half the foam, and little more.
    distance, _ = cKDTree(mesh.vertices).query(rim)
    assert distance.max() < 20.0


def test_what_cannot_be_a_cap_is_refused_with_advice() -> None:
    form = body("woman")
    with pytest.raises(DraftError, match="not said where") as told:
        shell(form, {})
    assert "over = 'knee'" in told.value.advice
    with pytest.raises(DraftError, match="goes round the limb"):
        shell(form, {}, edges={"rim": ring("r", "shank_left", 0.3)})
    with pytest.raises(DraftError, match="needs a side"):
        shell(form, {"over": "knee"}, side="middle")
    with pytest.raises(DraftError, match="further round"):
        shell(form, {"over": "knee", "width": "60 cm"})


def test_left_and_right_mirror_on_a_body_that_does() -> None:
    left, right = (shell(body("woman"), {"over": "knee", "gores": 6}, side=s) for s in ("left", "right"))
    spans = [sorted(p.edge("rim").length for p in r.pieces) for r in (left, right)]
    assert spans[0] == pytest.approx(spans[1], rel=0.06)
    assert [p.side for p in (left.pieces[0], right.pieces[0])] == ["left", "right"]


def test_leather_laps_and_is_told_no_bevel_foam_butts_and_is() -> None:
    leather = shell(body("woman"), {"over": "knee"}, cloth=LEATHER)
    assert {e.allowance for p in leather.pieces for e in p.edges if e.seam} == {0.0, 12.0}
    assert not [line for p in leather.pieces for line in p.lines if "bevel" in line.label]
    foam = shell(body("woman"), {"over": "knee"})
    assert {e.role for p in foam.pieces for e in p.edges if e.seam} == {"butt"}
    assert [line for p in foam.pieces for line in p.lines if "bevel" in line.label]


def test_more_rise_stands_further_off() -> None:
    low, high = (shell(body("man"), {"over": "elbow", "rise": rise}) for rise in ("5 mm", "45 mm"))
    crown = [float(r.worn[0].mesh.vertices[:, 1].max()) for r in (low, high)]
    assert crown[1] - crown[0] == pytest.approx(40.0, abs=6.0)


def test_straps_go_round_the_back_of_a_knee() -> None:
    form = body("woman")
    result = shell(form, {"over": "knee"})
    girth = float(form.charts["shank_left"].girth(0.0))
    assert len(result.items) == 2
    for strap in result.items:
        assert strap.length is not None
        assert 0.4 * girth < strap.length < 1.1 * girth
