import io
import shutil
import subprocess
from pathlib import Path

import numpy as np
import pikepdf
import pytest
import shapely

from layfigure.body.chart import ChartPoint, RegionChart
from layfigure.body.form import Form
from layfigure.design.design import DesignEdge, EdgePoint
from layfigure.drawing.card import _spread, placement_card
from layfigure.drawing.paper.pdf_pen import words_width, wrapped
from layfigure.drawing.silhouette import body_outline, facing, seen_from, seen_runs
from layfigure.geometry.mesh import TriangleMesh
from layfigure.place.check_words import check_lines, sureness
from layfigure.place.curve import ChartCurve
from layfigure.place.placement import PlacedEdge, Placement, TapeCheck

RADIUS, TOP, COUNT = 150.0, 1400.0, 96


def barrel() -> Form:
    """A torso that is a cylinder, front at -y, from 800 mm to 1400 mm above the floor."""
    stations = np.linspace(0.0, 5.0, 11)
    angle = 2.0 * np.pi * np.arange(COUNT) / COUNT
    sections = np.stack(
        [
            np.broadcast_to(RADIUS * np.sin(angle), (11, COUNT)),
            np.broadcast_to(-RADIUS * np.cos(angle), (11, COUNT)),
            np.broadcast_to((TOP - 120.0 * stations)[:, None], (11, COUNT)),
        ],
        axis=2,
    )
    chart = RegionChart(
        region="torso",
        level_names=("nape", "bust", "under_bust", "waist", "hip", "crotch"),
        stations=stations,
        sections=sections,
    )
    index = np.arange(11 * COUNT).reshape(11, COUNT)
    a, b = index[:-1], np.roll(index, -1, axis=1)[:-1]
    c, d = index[1:], np.roll(index, -1, axis=1)[1:]
    faces = np.concatenate([np.stack([a, c, b], 2).reshape(-1, 3), np.stack([b, c, d], 2).reshape(-1, 3)])
    mesh = TriangleMesh(sections.reshape(-1, 3), faces)
    return Form(
        wearer="barrel",
        standing=mesh,
        drafting=mesh,
        charts={"torso": chart},
        drafting_charts={"torso": chart},
        region_names=("torso",),
        face_region=np.zeros(len(faces), dtype=np.int64),
        level_heights={"waist": TOP - 360.0},
        landmarks={},
        measures={},
        estimated=frozenset(),
        spreads={},
    )


FORM = barrel()
CHECKS = (
    TapeCheck(what="front: down from the waist", length=86.0, spread=3.2),
    TapeCheck(what="back: down from the waist", length=47.4, spread=3.2),
    TapeCheck(what="round the body along the edge", length=942.5, spread=4.0),
)


def band(slug: str, station: float) -> PlacedEdge:
    """An edge right round the barrel."""
    around = np.linspace(0.0, 1.0, 41)
    at = tuple(ChartPoint(region="torso", station=station, around=float(a)) for a in around[:-1:5])
    line = FORM.charts["torso"].points(np.full(41, station), around)
    edge = DesignEdge(slug=slug, points=tuple(EdgePoint(at=p) for p in at), closed=True)
    curve = ChartCurve(region="torso", station=np.full(41, station), around=around)
    return PlacedEdge(
        edge=edge,
        at=at,
        points=line[:-1:5],
        curves=(curve,),
        line=line,
        spread=np.full(8, 3.0),
        checks=CHECKS,
    )


def test_checks_of_one_kind_share_a_line_in_either_unit() -> None:
    assert check_lines(CHECKS, "cm") == [
        "down from the waist: front 8.6 cm, back 4.7 cm",
        "round the body along the edge: 94.2 cm",
    ]
    assert check_lines(CHECKS[:1], "in") == ["down from the waist: front 3 3/8 in"]  # 3.386 in


def test_sureness_is_two_standard_deviations_of_the_least_sure() -> None:
    assert sureness(CHECKS, "cm") == "sure to 8 mm"
    assert sureness(CHECKS, "in") == "sure to 3/8 in"  # 8 mm is 0.315 in: rounded up, never down
    assert sureness((TapeCheck(what="x", length=1.0, spread=0.0),), "cm") == ""


def test_long_lines_are_broken_but_no_number_is_parted_from_its_unit() -> None:
    words = check_lines(CHECKS, "cm")[0]
    lines = wrapped(words, 2.0, 42.0)
    assert " ".join(lines) == words
    assert len(lines) > 1
    assert not any(line.startswith("cm") for line in lines)
    assert all(words_width(line, 2.0) <= 42.0 for line in lines)


def test_the_outline_of_a_barrel_is_its_rectangle_from_both_sides() -> None:
    for view in ("front", "back"):
        (ring,) = body_outline(FORM, view)  # type: ignore[arg-type]
        wanted = shapely.box(-RADIUS, TOP - 600.0, RADIUS, TOP)
        assert shapely.Polygon(ring).hausdorff_distance(wanted) < 1.0


def test_the_wearers_left_is_on_the_right_from_the_front_only() -> None:
    left = np.array([[100.0, 0.0, 900.0]])
    assert seen_from(left, "front")[0, 0] == 100.0
    assert seen_from(left, "back")[0, 0] == -100.0


def test_a_band_is_seen_half_from_the_front_and_half_from_the_back() -> None:
    belt = band("belt", 3.0)
    for view in ("front", "back"):
        seen = facing(belt.line, np.full(41, 3.0), FORM.charts["torso"], view)  # type: ignore[arg-type]
        assert seen.mean() == pytest.approx(0.5, abs=0.04)
        # The front half runs through the line's own beginning and is still one run.
        (run,) = seen_runs(seen_from(belt.line, view), seen)  # type: ignore[arg-type]
        assert np.ptp(run[:, 0]) == pytest.approx(2.0 * RADIUS, rel=0.02)


def test_badges_keep_apart_and_keep_their_order() -> None:
    wanted = [50.0, 51.0, 49.0, 90.0, 10.0]
    heights = _spread(wanted, 5.0, 0.0, 100.0)
    assert np.diff(np.sort(heights)).min() >= 5.0 - 1e-9
    assert np.argsort(heights).tolist() == np.argsort(wanted).tolist()
    crowded = _spread([3.0] * 30, 5.0, 0.0, 100.0)
    assert min(crowded) >= -1e-9
    assert max(crowded) <= 100.0 + 1e-9


@pytest.mark.parametrize("unit", ["cm", "in"])
@pytest.mark.parametrize("count", [2, 40])
def test_the_card_is_one_page_that_prints_true(unit: str, count: int, tmp_path: Path) -> None:
    edges = {f"edge_{i}": band(f"edge_{i}", 1.0 + 3.0 * i / count) for i in range(count)}
    content = placement_card(FORM, Placement(wearer="Ada", edges=edges), "Brindle", unit=unit)  # type: ignore[arg-type]
    with pikepdf.open(io.BytesIO(content)) as pdf:
        assert len(pdf.pages) == 1
        assert pdf.Root.ViewerPreferences.PrintScaling == "/None"
    again = placement_card(FORM, Placement(wearer="Ada", edges=edges), "Brindle", unit=unit)  # type: ignore[arg-type]
    assert content == again
    if shutil.which("pdftotext") is None:
        return
    source = tmp_path / "card.pdf"
    source.write_bytes(content)
    words = subprocess.run(
        ["pdftotext", "-layout", str(source), "-"], capture_output=True, text=True, check=True
    ).stdout
    assert "Brindle, on Ada" in words
    for i in range(count):
        assert f"edge {i}, sure to" in words
    if count == 2:
        assert ("94.2 cm" in words) == (unit == "cm")
