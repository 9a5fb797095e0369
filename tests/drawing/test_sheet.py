import time
from collections import OrderedDict
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from layfigure.drawing.sheet import MOST_KEPT, Sheet, arrange, drawn_box, record
from layfigure.errors import DraftError
from layfigure.piece.draw import Heading
from layfigure.piece.pen import RecordingPen
from layfigure.piece.seam_book import SeamBook
from sample_pieces import all_samples, frustum_guard

SAMPLES = all_samples()
HEADING = Heading(costume="Brindle", wearer="Ada", seams=SeamBook.of(SAMPLES))


def boxes_on(sheet: Sheet) -> list[shapely.Polygon]:
    boxes = []
    for drawn, (x, y) in sheet.placed:
        west, south, east, north = drawn_box(drawn)
        boxes.append(shapely.box(west + x, south + y, east + x, north + y))
    return boxes


def rectangle(wide: float, high: float) -> RecordingPen:
    pen = RecordingPen()
    pen.line("boundary", np.array([[0.0, 0.0], [wide, 0.0], [wide, high], [0.0, high]]), closed=True)
    return pen


@given(
    st.lists(st.tuples(st.floats(10.0, 400.0), st.floats(10.0, 900.0)), min_size=1, max_size=25),
    st.floats(100.0, 2000.0),
)
@settings(max_examples=60, deadline=None)
def test_drawings_never_overlap_and_stay_on_the_sheet(sizes: list[tuple[float, float]], width: float) -> None:
    sheet = arrange([rectangle(*size) for size in sizes], width=width)
    boxes = boxes_on(sheet)
    whole = shapely.box(0.0, 0.0, sheet.width, sheet.height)
    assert sheet.width <= max(width, max(wide for wide, _ in sizes) + 8.0) + 1e-6
    for index, box in enumerate(boxes):
        assert whole.buffer(1e-6).contains(box)
        assert all(box.distance(other) >= 8.0 - 1e-6 for other in boxes[index + 1 :])


def test_a_drawing_is_kept_but_never_confused_with_another() -> None:
    guard = frustum_guard()
    first = record(guard, HEADING)
    assert record(guard, HEADING) is first
    other = record(guard, replace(HEADING, wearer="Bo"))
    assert other is not first
    assert any("Bo" in text.words for text in other.texts)
    assert any("Ada" in text.words for text in first.texts)
    # An equal piece that is another object is drawn anew: pieces compare by identity.
    assert record(frustum_guard(), HEADING) is not first
    for _ in range(MOST_KEPT):
        record(replace(guard), HEADING)
    assert record(guard, HEADING) is not first


def test_threads_that_draw_side_by_side_take_nothing_from_each_other(monkeypatch: pytest.MonkeyPatch) -> None:
    class Slow(OrderedDict):
        """Lets other threads go first whenever it has found something."""

        def __contains__(self, key):
            found = super().__contains__(key)
            time.sleep(0.001)
            return found

    monkeypatch.setattr("layfigure.drawing.sheet._KEPT", Slow())
    monkeypatch.setattr("layfigure.drawing.sheet.MOST_KEPT", 2)
    pieces = [frustum_guard() for _ in range(3)]
    with ThreadPoolExecutor(4) as threads:
        drawn = list(threads.map(lambda k: record(pieces[k % 3], HEADING), range(48)))
    assert all(pen.lines for pen in drawn)


def test_nothing_to_draw_is_said() -> None:
    with pytest.raises(DraftError, match="no piece to draw"):
        arrange([])
