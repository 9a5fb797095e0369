import xml.etree.ElementTree as ET
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
import svgpathtools

from layfigure.drawing.sheet import arrange, record
from layfigure.drawing.svg import svg_of
from layfigure.piece.draw import Heading
from layfigure.piece.seam_allowance import cut_line
from layfigure.piece.seam_book import SeamBook
from sample_pieces import all_samples, frustum_guard, small_tab, windowed_front

SVG = "{http://www.w3.org/2000/svg}"
SAMPLES = all_samples()
HEADING = Heading(costume="Brindle & <Co>", wearer="Ada", seams=SeamBook.of(SAMPLES))


@pytest.fixture(scope="module")
def svg_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("svg") / "pieces.svg"
    path.write_text(svg_of(SAMPLES, HEADING), encoding="utf-8")
    return path


def test_an_independent_reader_gets_every_line_to_a_hundredth(svg_file: Path) -> None:
    # Independent reader: svgpathtools. Coordinates are in place: no transform to apply.
    paths, attributes = svgpathtools.svg2paths(str(svg_file))
    sheet = arrange([record(piece, HEADING) for piece in SAMPLES])
    expected = [
        line.points + np.array(offset)
        for drawn, offset in sheet.placed
        for line in sorted_like_the_file(drawn.lines)
    ]
    assert len(paths) == len(expected)
    worst = 0.0
    for path, line in zip(paths, expected, strict=True):
        found = np.array([(s.start.real, sheet.height - s.start.imag) for s in path])
        worst = max(worst, float(np.abs(found - line[: len(found)]).max()))
        length = float(np.linalg.norm(np.diff(line, axis=0), axis=1).sum())
        if not path.isclosed():
            assert path.length() == pytest.approx(length, abs=0.01)
    assert worst < 0.01
    assert sum("data-edge" in a and "data-notch" not in a for a in attributes) == sum(
        len(piece.edges) for piece in SAMPLES
    )


def sorted_like_the_file(lines: list) -> list:  # type: ignore[type-arg]
    from layfigure.drawing.svg import INK_ORDER

    return sorted(lines, key=lambda line: INK_ORDER.index(line.ink))


def test_it_is_in_millimetres_with_a_named_group_for_every_kind_of_line(svg_file: Path) -> None:
    root = ET.parse(svg_file).getroot()
    _, _, width, height = map(float, root.get("viewBox", "").split())
    assert root.get("width") == f"{width:.3f}mm"
    assert root.get("height") == f"{height:.3f}mm"
    groups = {group.get("id") for group in root.iter(f"{SVG}g")}
    for name in ("cut", "stitch", "fold", "window", "grain", "words"):
        assert f"top_front-{name}" in groups
    assert {text.text for text in root.iter(f"{SVG}text")} >= {"Forearm guard", "Top front"}


def test_everything_lies_on_the_sheet(svg_file: Path) -> None:
    root = ET.parse(svg_file).getroot()
    _, _, width, height = map(float, root.get("viewBox", "").split())
    for path in root.iter(f"{SVG}path"):
        numbers = path.get("d", "").replace("M", "").replace("Z", "").replace(",", " ").split()
        points = np.array(numbers, dtype=float).reshape(-1, 2)
        assert points.min() >= 0.0
        assert points[:, 0].max() <= width
        assert points[:, 1].max() <= height


def test_cut_lines_of_neighbours_do_not_overlap() -> None:
    import shapely

    sheet = arrange([record(piece, HEADING) for piece in SAMPLES], width=700.0)
    areas = [
        shapely.affinity.translate(shapely.Polygon(cut_line(drawn.piece.edges)), *offset)
        for drawn, offset in sheet.placed
        if drawn.piece is not None
    ]
    for index, area in enumerate(areas):
        assert not any(area.intersects(other) for other in areas[index + 1 :])


@pytest.mark.parametrize("piece", [frustum_guard(), windowed_front(), small_tab()], ids=lambda p: p.slug)
def test_drawings_stay_as_they_were(piece: object, golden: Callable[[str, str], None]) -> None:
    golden(f"{piece.slug}.svg", svg_of([piece], HEADING))  # type: ignore[attr-defined,list-item]


def test_the_golden_comparison_can_fail(
    golden: Callable[[str, str], None], request: pytest.FixtureRequest
) -> None:
    if request.config.getoption("--update-golden"):
        pytest.skip("golden files are being renewed")
    moved = svg_of([small_tab()], HEADING).replace("48.000,30.000", "48.010,30.000")
    with pytest.raises(pytest.fail.Exception, match="drawn now"):
        golden("tab.svg", moved)
