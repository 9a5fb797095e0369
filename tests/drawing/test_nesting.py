import numpy as np
import pytest
import shapely

from layfigure.drawing.paper.nesting import nest, nested_sheets, shape_of
from layfigure.drawing.paper.sizes import PAPERS
from layfigure.drawing.paper.tiling import lay_out
from layfigure.drawing.sheet import GAP, Sheet, arrange, record
from layfigure.piece.draw import Heading
from layfigure.piece.pen import RecordingPen
from layfigure.piece.seam_allowance import cut_line
from layfigure.piece.seam_book import SeamBook
from sample_pieces import all_samples, arc

SAMPLES = all_samples()
DRAWINGS = [record(piece, Heading(costume="Brindle", seams=SeamBook.of(SAMPLES))) for piece in SAMPLES]


def outline(points: np.ndarray) -> RecordingPen:
    pen = RecordingPen()
    pen.line("boundary", points, closed=True)
    return pen


def horseshoe() -> RecordingPen:
    """Half a ring, open below: small things fit between its arms."""
    return outline(np.vstack([arc((0, 0), 300.0, 0.0, 180.0), arc((0, 0), 220.0, 180.0, 0.0)]))


def rectangle(wide: float, high: float) -> RecordingPen:
    return outline(np.array([[0.0, 0.0], [wide, 0.0], [wide, high], [0.0, high]]))


def areas_on(sheet: Sheet) -> list[shapely.Polygon]:
    return [
        shapely.affinity.translate(shapely.Polygon(line.points), *offset)
        for drawn, offset in sheet.placed
        for line in drawn.lines
        if line.ink == "boundary"
    ]


@pytest.mark.parametrize("name", ["a4", "letter", "a0"])
def test_nested_pieces_keep_their_distance_and_stay_on_the_sheet(name: str) -> None:
    for sheet in nested_sheets(DRAWINGS, PAPERS[name]):
        areas = areas_on(sheet)
        whole = shapely.box(0.0, 0.0, sheet.width, sheet.height)
        for index, area in enumerate(areas):
            assert whole.contains(area)
            assert all(area.distance(other) >= GAP for other in areas[index + 1 :])
        # The whole drawing is there, words with it, each piece once and as it was drawn: not turned.
        assert [drawn for drawn, _ in sheet.placed] == DRAWINGS
        for area, piece in zip(areas, SAMPLES, strict=True):
            assert np.ptp(np.array(area.exterior.coords), axis=0) == pytest.approx(
                np.ptp(cut_line(piece.edges), axis=0)
            )


def test_a_small_piece_goes_into_the_hollow_of_a_large_one() -> None:
    drawings = [horseshoe(), rectangle(250.0, 150.0)]
    shapes = [shape_of(drawing) for drawing in drawings]
    sheet = nest(shapes, PAPERS["a4"], 4, [0, 1])
    hollow, small = areas_on(sheet)
    assert hollow.convex_hull.buffer(60.0).contains(small)
    assert sheet.height < 330.0
    assert arrange(drawings, width=730.0).height > 450.0


def test_paper_is_saved_and_never_wasted() -> None:
    drawings = [horseshoe(), horseshoe(), rectangle(250.0, 150.0), rectangle(200.0, 180.0)]
    nested = len(lay_out(drawings, PAPERS["a4"]).tiles)
    alone = sum(len(lay_out([drawing], PAPERS["a4"]).tiles) for drawing in drawings)
    assert nested < alone


def test_sheets_lie_on_their_side_where_that_takes_fewer() -> None:
    # 2.5 sheets wide upright, 1 sheet high: three upright, two lying (277 + 267 = 544 across).
    wide = lay_out([rectangle(530.0, 150.0)], PAPERS["a4"])
    assert len(wide.tiles) == 2
    assert wide.paper.lying
    assert wide.paper.printable == (277.0, 190.0)
    # Where both take as many, the sheets stand.
    assert not lay_out([rectangle(100.0, 100.0)], PAPERS["a4"]).paper.lying
    assert not lay_out([rectangle(150.0, 530.0)], PAPERS["a4"]).paper.lying
