"""Windows in woven garments and gloves, and rows on a close knit: where they lie, what they stay clear of."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
import shapely
from knit_requests import preset
from window_requests import HIDE, cut, draft, motifs, size_of

from layfigure.body.form import Form
from layfigure.draft.glove.kind import KIND as GLOVE
from layfigure.draft.knit.kind import KIND as KNIT
from layfigure.draft.registry import DraftResult
from layfigure.draft.woven.kind import KIND as WOVEN
from layfigure.errors import DraftError
from layfigure.geometry.polyline import length
from layfigure.materials.cloth import Cloth
from layfigure.piece.piece import Piece

BODICE = {"garment": "bodice", "sleeves": False, "shaping": "darts", "window_edge": "bound"}
TROUSERS = {"garment": "trousers", "window_edge": "bound"}
SKIRT = {"garment": "skirt", "pleats": 8, "pleat_depth": "30 mm", "window_edge": "bound"}
JERSEY = Cloth(
    slug="jersey", kind="knit", name="jersey", width=1500.0, areal_mass=220.0, stretch_across=0.6,
    stretch_along=0.5, tension=60.0, tested=True,
)  # fmt: skip


@pytest.fixture(scope="module")
def woman() -> Form:
    return preset("woman")


def spot(form: Form, region: str, station: float, way: float, size: float = 24.0, slug: str = "eye") -> dict:
    line = [(station - 0.04, way), (station + 0.04, way)]
    return motifs(form, region, line, size=size, shape="circle", width=1.0, slug=slug)


def woven(form: Form, windows: dict, options: dict[str, Any], **asked: Any) -> DraftResult:
    return draft(WOVEN, form, {}, windows, options, **asked)


def test_a_window_between_the_bust_points_lies_on_the_bust_line_as_far_from_the_centre_as_on_the_body(
    woman: Form,
) -> None:
    # An eighth of the girth from the centre front is the bust point, near enough; half-way to it, cloth and
    # tape read the same but for the ease there.
    chart = woman.charts["torso"]
    to_point = float(chart.girth(1.0)) * 0.125
    lines = []
    for way in (0.062, -0.062):
        windows = spot(woman, "torso", 1.0, way)
        piece, shape = cut(woven(woman, windows, BODICE), "eye_1")
        side = "left" if way > 0.0 else "right"
        assert piece.slug == f"thing_front_{side}"
        assert abs(shape.centroid.x) == pytest.approx(0.5 * to_point, abs=1.5)
        (bust,) = [line for line in piece.lines if line.label == "bust"]
        # Its line of eight hundredths of a station has its middle a little above the bust.
        line = chart.points([0.96, 1.04], [way % 1.0, way % 1.0])
        above = float(line[:, 2].mean()) - woman.landmarks[f"bust_point_{side}"][2]
        level = np.interp(abs(shape.centroid.x), *np.abs(bust.curve[np.argsort(abs(bust.curve[:, 0]))]).T)
        lines.append(shape.centroid.y - float(level) - above)
        assert lines[-1] == pytest.approx(0.0, abs=2.0)
    assert lines[0] == pytest.approx(lines[1], abs=0.1)
    assert any("as a tape over it measures" in line for line in piece.note)


def test_every_bodice_window_is_as_far_from_its_edges_as_the_check_says(woman: Form) -> None:
    result = woven(woman, spot(woman, "torso", 2.2, 0.18), BODICE)
    piece, shape = cut(result, "eye_1")
    (check,) = [each for each in result.checks if "left beside" in each.what]
    assert shapely.Polygon(piece.stitch_line).exterior.distance(shape) == pytest.approx(check.value, abs=1e-6)
    assert check.value >= 20.0


def dart(piece: Piece) -> shapely.Polygon:
    return next(shapely.Polygon(line.curve) for line in piece.lines if "toward the centre" in line.label)


def test_a_window_over_a_dart_is_refused_and_beside_it_is_not(woman: Form) -> None:
    taken = []
    for way in np.arange(0.06, 0.22, 0.02):
        try:
            result = woven(woman, spot(woman, "torso", 2.45, float(way), 20.0), BODICE)
        except DraftError as error:
            taken.append("a dart" if "runs over a dart" in error.what else error.what)
            continue
        piece, shape = cut(result, "eye_1")
        assert dart(piece).distance(shape) >= 4.0
        taken.append("")
    assert "a dart" in taken
    assert "" in taken


@pytest.mark.parametrize("backing", [None, "net"])
def test_a_window_over_a_side_seam_meets_there(woman: Form, backing: str | None) -> None:
    where = spot(woman, "torso", 2.4, 0.25, 36.0)
    with pytest.raises(DraftError, match="crosses the seam between thing front left and thing back left"):
        woven(woman, where, BODICE, backing=backing)
    asked = BODICE | {"across_seams": True, "backing_as": "inset"}
    result = woven(woman, where, asked, backing=backing)
    marks: dict[str, list[float]] = {}
    for piece in result.pieces:
        for edge in piece.edges:
            for notch in edge.notches:
                if notch.name.startswith("eye"):
                    at = edge.length - notch.distance if edge.against else notch.distance
                    marks.setdefault(notch.name, []).append(at)
    assert len(marks) == 2
    for places in marks.values():
        assert len(places) == 2
        assert abs(places[0] - places[1]) < 0.05
    insets = [piece for piece in result.pieces if piece.cloth == "net"]
    assert len(insets) == (0 if backing is None else 1)
    for inset in insets:
        drawn = [line.curve for p in result.pieces for line in p.lines if line.label.startswith("eye 1: cut")]
        assert sum(edge.length for edge in inset.edges) == pytest.approx(sum(map(length, drawn)), abs=0.05)


def test_trousers_carry_a_window_at_its_height_and_share_of_the_half(woman: Form) -> None:
    where = spot(woman, "thigh_left", 0.5, 0.0)
    piece, shape = cut(woven(woman, where, TROUSERS), "eye_1")
    assert piece.slug == "thing_front_left"
    # The middle of the front of the thigh is half-way between inseam and side.
    line = shapely.LineString([(-500.0, shape.centroid.y), (900.0, shape.centroid.y)])
    low, _, high, _ = shapely.Polygon(piece.stitch_line).intersection(line).bounds
    assert shape.centroid.x == pytest.approx(0.5 * (low + high), abs=0.5)
    # Below the crotch the cloth hangs straight: as far below the crotch level as on the body,
    # less the rise ease.
    down = woman.level_heights["crotch"] - 10.0 - float(woman.charts["thigh_left"].points([0.5], [0.0])[0, 2])
    assert shape.centroid.y == pytest.approx(-down, abs=1.0)
    behind, _ = cut(woven(woman, spot(woman, "shank_right", 0.4, 0.5), TROUSERS), "eye_1")
    assert behind.slug == "thing_back_right"


def test_a_pleated_skirt_takes_windows_between_its_pleats_alone(woman: Form) -> None:
    told = []
    for way in np.arange(-0.1, 0.2, 0.05):
        try:
            piece, shape = cut(woven(woman, spot(woman, "thigh_left", 0.3, float(way), 26.0), SKIRT), "eye_1")
        except DraftError as error:
            told.append(error.what)
            continue
        told.append("")
        folds = [line.curve for line in piece.lines if line.kind == "fold" or "fold comes" in line.label]
        assert min(shapely.LineString(line).distance(shape) for line in folds) >= 4.0
    assert "" in told
    assert any("runs over a pleat" in what for what in told)


def test_a_coat_has_windows_in_bodice_and_skirt_and_they_are_drawn_on_its_lining(woman: Form) -> None:
    windows = spot(woman, "torso", 0.8, 0.08) | spot(woman, "thigh_left", 0.3, 0.05, slug="low")
    result = woven(woman, windows, SKIRT | {"garment": "coat"}, cloths={"lining": "wool"})
    assert cut(result, "eye_1")[0].slug == "thing_front_left"
    assert cut(result, "low_1")[0].slug == "thing_skirt_front_left"
    lining = next(piece for piece in result.pieces if piece.slug == "thing_front_left_lining")
    pleated = next(piece for piece in result.pieces if piece.slug == "thing_skirt_front_left_lining")
    assert any("on the wearer" in line for line in pleated.note)
    assert any(line.kind == "trim" for line in lining.lines) or any("on the wearer" in n for n in lining.note)


@pytest.mark.parametrize("side", ["left", "right"])
def test_a_glove_has_its_window_on_the_back_of_the_hand(woman: Form, side: str) -> None:
    where = spot(woman, f"hand_{side}", 0.5, 0.0)
    piece, shape = cut(draft(GLOVE, woman, {}, where, cloth=HIDE, side=side), "eye_1")
    assert piece.slug == "thing_back"
    # The hand's zero line runs down the middle of its back: half-way across the half.
    line = shapely.LineString([(-500.0, shape.centroid.y), (500.0, shape.centroid.y)])
    low, _, high, _ = shapely.Polygon(piece.stitch_line).intersection(line).bounds
    # The half is cut away on the thumb's side for the thumb, so its middle is only near.
    assert shape.centroid.x == pytest.approx(0.5 * (low + high), abs=6.0)
    palm, _ = cut(
        draft(GLOVE, woman, {}, spot(woman, f"hand_{side}", 0.5, 0.5), cloth=HIDE, side=side), "eye_1"
    )
    assert palm.slug == "thing_palm"


@pytest.mark.parametrize("station", [1.4, 1.9, 2.0])
def test_a_motif_under_the_bust_comes_out_as_large_as_it_is_said(woman: Form, station: float) -> None:
    # Read off the chart's scale at its middle alone, one of 70 mm came out between 62 and 95 here.
    row = motifs(woman, "torso", [(station - 0.02, 0.1), (station + 0.02, 0.1)], size=70.0)
    options = {"garment": "top", "sleeves": False, "seams": "plain"}
    result = draft(KNIT, woman, {}, row, options, cloth=JERSEY, side="both", backing="net")
    _, worn = cut(result, "eye_1")
    assert size_of(worn) == pytest.approx(70.0, rel=1e-3)
    low, high = shapely.Polygon(result.pieces[0].windows[0].curve).bounds[1::2]
    assert high - low < 70.0


def test_a_net_over_a_side_seam_of_a_knit_is_set_in_with_the_windows_own_edge(woman: Form) -> None:
    row = motifs(woman, "torso", [(2.2, 0.25), (2.24, 0.25)], size=60.0)
    options = {
        "garment": "top", "sleeves": False, "seams": "plain", "across_seams": True, "backing_as": "inset",
    }  # fmt: skip
    result = draft(KNIT, woman, {}, row, options, cloth=JERSEY, side="both", backing="net")
    insets = [piece for piece in result.pieces if piece.cloth == "net"]
    lines = [
        line.curve for piece in result.pieces for line in piece.lines if line.label.startswith("eye 1: cut")
    ]
    assert len(lines) == 2
    own = sum(edge.length for piece in insets for edge in piece.edges if edge.seam is None)
    assert own == pytest.approx(sum(map(length, lines)), abs=0.05)
    seams: dict[str, list[float]] = {}
    for piece in insets:
        for edge in piece.edges:
            if edge.seam is not None:
                seams.setdefault(edge.seam, []).append(edge.length)
    assert all(len(pair) == 2 and abs(pair[0] - pair[1]) < 0.05 for pair in seams.values())
    assert len(insets) == (2 if seams else 1)
