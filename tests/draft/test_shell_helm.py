"""Helms on heads: room, rim, brim, crest, and what they say of sight, hearing and neck."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.spatial import cKDTree
from shells import FOAM, ball_cap, body, shell
from test_shell_dome import mates

from layfigure.draft.shell.brim import Brim, brim_halves
from layfigure.draft.shell.gores import cut_gores
from layfigure.draft.shell.head_place import rim_rise
from layfigure.draft.shell.helm import mass_check
from layfigure.draft.shell.options import ShellOptions
from layfigure.errors import DraftError
from layfigure.geometry.polyline import length

BRIMMED = {"shape": "helm", "brim": "80 mm", "crest": "60 mm"}


@pytest.mark.parametrize("preset", ["woman", "man"])
def test_a_brimmed_helm_fits_joins_and_lies_flat(preset: str) -> None:
    form = body(preset)
    result = shell(form, BRIMMED, side="middle")
    assert all(check.passed for check in result.checks), [c.what for c in result.checks if not c.passed]
    mates(result)
    names = [piece.slug for piece in result.pieces]
    assert names[-3:] == ["piece_brim_1", "piece_brim_2", "piece_crest"]
    assert all(len(piece.totals) == 3 for piece in result.pieces)
    assert sum(len(surface.mesh.faces) for surface in result.worn) <= 3000
    # TRADE 8: inner girth of the rim = head girth + 2 pi (padding + hair), and never less.
    (skull, _, _) = result.worn
    rim = skull.mesh.vertices[:60]
    inner = length(rim[:, :2], closed=True) - np.pi * FOAM.thickness
    girth = float(form.charts["head"].girths.max())
    assert inner >= girth + 2.0 * np.pi * (12.0 + 10.0 + 1.0) - 2.0
    assert inner <= girth + 2.0 * np.pi * (12.0 + 10.0 + 1.0) + 40.0


def test_padding_hair_and_sheet_keep_the_helm_off_the_head() -> None:
    form = body("woman")
    result = shell(form, {"shape": "helm", "hair": "30 mm", "padding": "15 mm"}, side="middle", stack=0.0)
    skin = form.standing.vertices
    above = skin[skin[:, 2] > form.landmarks["brow"][2] + 12.0]
    distance, _ = cKDTree(above).query(result.worn[0].mesh.vertices)
    assert distance.min() > 15.0 + 30.0 + 2.5 - 0.5


def test_it_can_be_taken_off_upward() -> None:
    # No level is narrower than one above it: the plan of every ring holds the plan of the ring above.
    result = shell(body("man"), {"shape": "helm", "rim_sides": "-50 mm", "rim_back": "-60 mm"}, side="middle")
    mesh = result.worn[0].mesh
    rings = mesh.vertices.reshape(-1, 60, 3)
    centre = rings[0].mean(axis=0)[:2]
    out = np.linalg.norm(rings[:, :, :2] - centre, axis=2)
    assert (np.diff(out, axis=0) <= 2.0).all()


def test_the_rim_passes_where_it_is_put_and_leaves_the_face_open() -> None:
    plain = ShellOptions(shape="helm", rim_front="20 mm", rim_sides="-10 mm", rim_back="-40 mm")
    quarters = np.array([0.0, 0.5, 1.0, 1.5]) * np.pi
    assert rim_rise(plain, quarters, 570.0) == pytest.approx([20.0, -10.0, -40.0, -10.0])
    faced = ShellOptions(
        shape="helm", rim_front="20 mm", rim_sides="-60 mm", rim_back="-60 mm", face_width="150 mm"
    )
    within = np.linspace(-0.99, 0.99, 9) * np.pi * 150.0 / 570.0
    assert rim_rise(faced, within, 570.0) == pytest.approx(20.0)
    assert rim_rise(faced, quarters[1:], 570.0) == pytest.approx(-60.0)
    result = shell(
        body("woman"),
        {"shape": "helm", "face_width": "150 mm", "rim_sides": "-60 mm", "rim_back": "-70 mm"},
        side="middle",
    )
    assert all(check.passed for check in result.checks)
    mates(result)
    rim = result.worn[0].mesh.vertices[:60]
    brow = float(body("woman").landmarks["brow"][2])
    assert rim[0, 2] == pytest.approx(brow + 12.0, abs=1.0)
    assert rim[15, 2] == pytest.approx(brow - 60.0, abs=1.0)


def test_a_level_brim_on_a_ball_is_a_flat_ring() -> None:
    # Rim on the equator, no drop: each half is half a ring with radii R and R + w (plane geometry).
    cap = ball_cap(100.0, 0.5 * np.pi)
    gores = cut_gores(cap, "s", count=16, rim_joins=True)
    for half in brim_halves(gores, Brim(width=60.0, drop=0.0), "s"):
        outer = next(edge for edge in half.edges if edge.slug == "outer")
        assert length(outer.curve) == pytest.approx(np.pi * 160.0, rel=1e-3)
        for edge in half.edges:
            if edge.slug in ("front", "back"):
                assert length(edge.curve) == pytest.approx(60.0)
        # Only what the gores' rims gained lying flat is asked of the brim.
        assert half.stretch.max() < 0.01
        assert half.areas.sum() == pytest.approx(0.5 * np.pi * (160.0**2 - 100.0**2), rel=2e-3)


def test_it_warns_of_sight_hearing_neck_and_heat_and_gives_no_medical_advice() -> None:
    piece = shell(body("woman"), {"shape": "helm"}, side="middle").pieces[0]
    told = " ".join(piece.cautions)
    for word in ("Sight", "Hearing", "neck", "Heat", "doctor"):
        assert word in told
    assert mass_check(1400.0).passed
    heavy = mass_check(1900.0)
    assert not heavy.passed
    assert "lighter" in heavy.advice


def test_padding_and_chin_strap_are_listed() -> None:
    items = shell(body("woman"), {"shape": "helm"}, side="middle").items
    assert [item.slug for item in items] == ["padding_12mm", "chin_strap_20mm"]


def test_a_rim_over_the_crown_is_refused() -> None:
    with pytest.raises(DraftError, match="misses the head"):
        shell(body("woman"), {"shape": "helm", "rim_front": "120 mm"}, side="middle")
