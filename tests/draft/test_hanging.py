"""Hanging pieces on a body of known shape: plumb, level, lined, carried, and with artwork that fits."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hanging_bodies import HIDE, SILK, WOOL, ask, line_at, proper, turned_body
from shapely import Polygon

from layfigure.design.design import Trace
from layfigure.draft.circular.kind import KIND as CIRCULAR
from layfigure.draft.hanging.kind import KIND
from layfigure.draft.hanging.options import HangingOptions
from layfigure.draft.hanging.panel import panel_plan
from layfigure.draft.hanging.transfer import transfer_aid
from layfigure.errors import DraftError, FileError
from layfigure.files.svg_paths import svg_paths
from layfigure.materials.cloth import Cloth
from layfigure.place.place import place_edge

BODY = turned_body([(1300.0, 160.0), (1000.0, 100.0), (800.0, 150.0), (5.0, 150.0)])
LINE = {"top": line_at(BODY, "belt", 1000.0, start=-0.1, end=0.1)}
ROUND = {"top": line_at(BODY, "belt", 1000.0)}


def test_a_panel_is_as_wide_as_its_line_and_hangs_to_its_hem(tmp_path: Path) -> None:
    result = ask(KIND, BODY, LINE, {"hem_height": "300 mm"}, cloths={"lining": "silk", "stiffener": "hide"})
    proper(result.pieces, tmp_path)
    panel, lining, stiffener, loop = result.pieces
    # A fifth of a girth of 200 pi; 50 out over 200 down to the hips, then plumb.
    assert panel.edge("top").length == pytest.approx(0.2 * 200.0 * math.pi, rel=2e-3)
    assert panel.edge("left").length == pytest.approx(math.hypot(50.0, 200.0) + 500.0, abs=0.5)
    assert lining.edge("left").length == pytest.approx(panel.edge("left").length)
    assert {edge.allowance for edge in stiffener.edges} == {0.0}
    # Twice belt 40 + 5 with 10 to spare, and a seam at both ends.
    assert loop.count == 3
    assert loop.totals[2].length == pytest.approx(2.0 * 55.0)


def test_lining_is_the_mirror_image() -> None:
    slung = {"top": line_at(BODY, "belt", 960.0, start=-0.12, end=0.12, slope=60.0)}
    panel, lining = ask(KIND, BODY, slung, {"hem_height": "300 mm", "carried": "sewn"},
                        cloths={"lining": "silk"}).pieces  # fmt: skip
    mirrored = Polygon(panel.stitch_line * (-1.0, 1.0))
    assert Polygon(lining.stitch_line).symmetric_difference(mirrored).area < 1e-6
    assert all(edge.seam for edge in panel.edges if edge.slug != "top")


def test_a_slanted_line_gives_a_slanted_top_and_a_level_hem() -> None:
    # On a cylinder, so that every place falls plumb.
    pillar = turned_body([(1200.0, 150.0), (5.0, 150.0)])
    slung = {"top": line_at(pillar, "belt", 960.0, start=-0.12, end=0.12, slope=60.0)}
    panel = ask(KIND, pillar, slung, {"hem_height": "300 mm", "carried": "sewn"}).pieces[0]
    top, hem = panel.edge("top").curve, panel.edge("hem").curve
    assert abs(top[0, 1] - top[-1, 1]) == pytest.approx(60.0, abs=0.5)
    # The fall is known in 96 directions: a line's end lies between two of them.
    assert np.ptp(hem[:, 1]) < 1.0
    across = 0.24 * 300.0 * math.pi
    assert panel.edge("top").length == pytest.approx(math.hypot(across, 60.0), rel=2e-3)


@pytest.mark.parametrize(
    ("hem", "runs"),
    [("straight", 1), ("curve", 1), ("point", 2), ("swallowtail", 2), ("points", 8), ("scallops", 4)],
)
def test_every_hem_ends_at_its_length(hem: str, runs: int, tmp_path: Path) -> None:
    options: dict[str, Any] = {"width": "200 mm", "length": "600 mm", "hem": hem, "hem_depth": "50 mm",
                               "hem_count": 4, "flare": 1.4}  # fmt: skip
    result = ask(KIND, BODY, {}, options)
    proper(result.pieces, tmp_path)
    edges = [edge for edge in result.pieces[0].edges if edge.slug.startswith("hem")]
    assert len(edges) == runs
    line = np.concatenate([edge.curve for edge in edges])
    assert line[:, 1].min() == pytest.approx(-600.0)
    assert line[:, 1].max() == pytest.approx(-600.0 if hem == "straight" else -550.0)
    assert np.ptp(line[:, 0]) == pytest.approx(1.4 * 200.0)
    assert result.worn == ()


def test_a_panel_hangs_where_it_is_asked_on_a_line_right_round() -> None:
    for at, direction in (("back", (0.0, 1.0)), ("left", (1.0, 0.0)), ("front", (0.0, -1.0))):
        (worn,) = ask(KIND, BODY, ROUND, {"at": at, "width": "150 mm", "length": "400 mm"}).worn
        middle = worn.mesh.vertices[:, :2].mean(axis=0)
        assert middle / np.linalg.norm(middle) == pytest.approx(direction, abs=0.02)
        radius = np.interp(-worn.mesh.vertices[:, 2], [-1000.0, -800.0], [100.0, 150.0])
        assert (np.linalg.norm(worn.mesh.vertices[:, :2], axis=1) > radius - 0.5).all()


def test_a_banner_with_a_motif_of_rotational_symmetry(tmp_path: Path) -> None:
    options = {"form": "banner", "at": "back", "width": "300 mm", "length": "600 mm",
               "carrier_width": "15 mm", "carrier_thickness": "15 mm",
               "artwork": {"motif": "swirl", "order": 7, "size": "180 mm", "down": "40 %"}}  # fmt: skip
    result = ask(KIND, BODY, ROUND, options)
    proper(result.pieces, tmp_path)
    banner, drawing = result.pieces
    assert all(check.passed for check in result.checks)
    # Half the rod's girth, room and a turning.
    assert banner.edge("top").allowance == pytest.approx(30.0 + 6.0 + 10.0)
    (rod,) = result.items
    assert rod.length is not None
    assert rod.length > 300.0
    on_banner = [line.curve for line in banner.lines if line.closed]
    on_paper = [line.curve for line in drawing.lines if line.closed]
    assert len(on_banner) == len(on_paper) == 7
    # The same drawing, moved; and each turn a seventh of a circle from the one before.
    shift = on_paper[0][0] - on_banner[0][0]
    assert np.abs(np.array(on_paper) - np.array(on_banner) - shift).max() < 1e-9
    centre = np.array([0.0, -0.4 * 600.0])
    angle = [math.atan2(*(curve[20] - centre)) for curve in on_banner]
    steps = np.mod(np.diff(angle), 2.0 * math.pi)
    assert np.minimum(steps, 2.0 * math.pi - steps) == pytest.approx(2.0 * math.pi / 7.0, abs=1e-4)
    assert np.linalg.norm(np.concatenate(on_banner) - centre, axis=1).max() == pytest.approx(90.0, abs=0.01)


def test_cloth_that_is_sat_upon_is_told() -> None:
    sitting = replace(BODY, posture="seated", level_heights={"crotch": 750.0})
    options = {"at": "back", "width": "200 mm", "hem_height": "500 mm"}
    (check,) = [c for c in ask(KIND, sitting, ROUND, options).checks if not c.passed]
    assert check.value == pytest.approx(250.0, abs=2.0)
    assert "wheels" in check.advice
    assert all(c.passed for c in ask(KIND, BODY, ROUND, options).checks)
    assert all(c.passed for c in ask(KIND, sitting, ROUND, {**options, "at": "front"}).checks)
    cape = {"use": "cape", "circle": "half", "hem_height": "500 mm"}
    assert any("wheels" in c.advice for c in ask(CIRCULAR, sitting, ROUND, cape).checks)


def drawing(*paths: tuple[str, str]) -> Trace:
    shapes = "".join(f'<path id="{name}" d="{d}" fill="none" stroke="black"/>' for name, d in paths)
    size = 'width="100mm" height="100mm" viewBox="0 0 100 100"'
    text = f'<svg xmlns="http://www.w3.org/2000/svg" {size}>{shapes}</svg>'
    return Trace(file="motif.svg", lines=svg_paths(text, name="motif.svg"))


def test_artwork_from_a_drawing_turns_about_its_marked_centre() -> None:
    blade = ("blade", "M50 40 L60 10 L40 10 Z")
    options = {"width": "300 mm", "length": "600 mm", "artwork": {"order": 5, "size": "200 mm"}}
    result = ask(KIND, BODY, {}, options, trace=drawing(blade, ("centre", "M49 50 L51 50")))
    turned = [line.curve for line in result.pieces[0].lines if line.closed]
    assert len(turned) == 5
    centre = np.array([0.0, -0.4 * 600.0])
    # Its farthest corners are 10 across and 40 up from the centre.
    radii = np.linalg.norm(np.array(turned) - centre, axis=2)
    assert radii.max() == pytest.approx(100.0)
    assert radii.min() == pytest.approx(100.0 * 10.0 / math.hypot(10.0, 40.0))
    with pytest.raises(DraftError, match="turned about"):
        ask(KIND, BODY, {}, options, trace=drawing(blade))


def test_a_traced_outline_without_artwork_is_cut_by() -> None:
    result = ask(KIND, BODY, {}, {}, trace=drawing(("tail", "M10 10 L60 10 L60 90 L10 90 Z")))
    (piece,) = result.pieces
    assert sorted(edge.length for edge in piece.edges) == pytest.approx([50.0, 50.0, 80.0, 80.0], abs=0.05)


def test_artwork_over_the_edge_is_reported() -> None:
    options = {"width": "200 mm", "length": "400 mm",
               "artwork": {"path": "M0 0 L0 -50 L20 -50 Z", "order": 4, "size": "260 mm"}}  # fmt: skip
    (check,) = [c for c in ask(KIND, BODY, {}, options).checks if not c.passed]
    assert "size" in check.advice
    assert check.value < 0.0


def test_a_sash_goes_round_and_is_tied(tmp_path: Path) -> None:
    options = {"form": "sash", "turns": 2, "tail_length": "400 mm", "knot": "200 mm", "hem": "point",
               "width": "120 mm", "hem_depth": "80 mm"}  # fmt: skip
    result = ask(KIND, BODY, ROUND, options, cloths={"lining": "silk"})
    proper(result.pieces, tmp_path)
    sash = result.pieces[0]
    girth = BODY.charts["torso"].girths.min()
    assert sash.totals[0].length == pytest.approx(2.0 * girth + 200.0 + 800.0, rel=1e-3)
    assert np.ptp(sash.stitch_line[:, 0]) == pytest.approx(sash.totals[0].length)
    assert len(result.worn) == 3


@pytest.mark.parametrize(
    ("cloth", "surface", "words"),
    [
        (HIDE, "smooth", "stylus"),
        (SILK, "smooth", "from beneath"),
        (WOOL, "smooth", "wheel"),
        (WOOL, "pile", "tissue"),
        (WOOL, "coated", "stencil"),
        (Cloth(slug="k", kind="knit", name="k", width=1500.0, areal_mass=200.0), "smooth", "pounc"),
        (
            Cloth(slug="b", kind="woven", name="b", width=1500.0, areal_mass=90.0, colour="#101018"),
            "smooth",
            "pounc",
        ),
        (Cloth(slug="f", kind="foam", name="f", width=900.0, areal_mass=500.0), "smooth", "pressing"),
    ],
)
def test_the_surface_decides_how_artwork_is_transferred(cloth: Cloth, surface: Any, words: str) -> None:
    assert words in transfer_aid(cloth, surface).name


@pytest.mark.parametrize(
    ("edges", "options", "error", "words"),
    [
        ({}, {"width": "20 cm"}, DraftError, "needs a width and a length"),
        (ROUND, {"length": "40 cm"}, DraftError, "how wide"),
        (LINE, {}, DraftError, "how long"),
        (LINE, {"hem_height": "990 mm"}, DraftError, "above the top line"),
        (LINE, {"length": "2 m"}, DraftError, "below the floor"),
        (LINE, {"form": "sash"}, DraftError, "goes right round"),
        ({}, {"form": "sash"}, DraftError, "how far round"),
        (
            {},
            {"width": "20 cm", "length": "10 cm", "hem": "point", "hem_depth": "30 cm"},
            DraftError,
            "crosses",
        ),
        ({}, {"width": "20 cm", "length": "50 cm", "artwork": {"path": "hello"}}, FileError, "path"),
        (
            {},
            {"width": "20 cm", "length": "50 cm", "artwork": {"order": 3}},
            DraftError,
            "what the artwork is",
        ),
    ],
)
def test_what_cannot_be_is_refused(edges: Any, options: Any, error: type[Exception], words: str) -> None:
    with pytest.raises(error, match=words):
        ask(KIND, BODY, edges, options)


@pytest.mark.parametrize(("share", "lopsided"), [(0.1, 0.0), (0.2, 0.0), (0.2, 0.1)])
def test_a_panel_wider_than_its_line_goes_on_round_the_body(share: float, lopsided: float) -> None:
    """On a round trunk every step across the top turns it by as much, past the ends of the line too."""
    radius, width = 120.0, 300.0
    form = turned_body([(1400.0, radius), (600.0, radius)])
    middle = 0.5 + lopsided
    edge = line_at(form, "top", 1100.0, start=middle - share / 2.0, end=middle + share / 2.0)
    placed = place_edge(edge, form)
    options = HangingOptions(width=f"{width} mm", length="400 mm")  # type: ignore[arg-type]
    plan = panel_plan(options, form, placed, None, clearance=0.0, where="test")
    turned = np.diff(plan.turn)
    assert plan.turn[-1] - plan.turn[0] == pytest.approx(width / (2.0 * np.pi * radius), rel=0.01)
    assert turned.min() == pytest.approx(turned.max(), rel=0.06)
    assert plan.length == pytest.approx(np.full(len(plan.length), 400.0), abs=2.0)


def test_a_panel_wider_than_the_way_round_is_refused() -> None:
    form = turned_body([(1400.0, 120.0), (600.0, 120.0)])
    placed = place_edge(line_at(form, "top", 1100.0, start=0.4, end=0.6), form)
    options = HangingOptions(width="900 mm", length="400 mm")  # type: ignore[arg-type]
    with pytest.raises(DraftError, match="wider than the way round"):
        panel_plan(options, form, placed, None, clearance=0.0, where="test")
