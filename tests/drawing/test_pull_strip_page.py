"""The printed scale reads the hand test: measured on the rendered page."""

import numpy as np
import pytest

from layfigure.drawing.paper.pull_strip_page import pull_strip_page
from layfigure.drawing.paper.sizes import PAPERS
from printed_pages import rendered, square_sides


@pytest.mark.parametrize("name", ["a4", "letter"])
def test_every_tick_stands_where_the_stretch_is_read(name: str) -> None:
    content = pull_strip_page(PAPERS[name])
    grey = rendered(content, 1, 300)
    assert square_sides(grey) == pytest.approx((1181.1, 1181.1), abs=1.2)
    # Right of the test square: the scale is the longest upright line, ticks are dark rows beside it.
    right = grey[:, int(0.6 * grey.shape[1]) :] < 128
    column = int(np.argmax(right.sum(axis=0)))
    beside = right[:, column + 12 : column + 65].all(axis=1)  # 1 to 5.5 mm to the right: the long ticks
    rows = np.flatnonzero(beside)
    ticks = np.array([group.mean() for group in np.split(rows, np.flatnonzero(np.diff(rows) > 1) + 1)])
    heights = (ticks.max() - ticks) * 25.4 / 300.0
    assert len(heights) >= 15
    # From the first pin: 10 cm at rest, then a tick for every 10 %, which is 1 cm. 16 cm is 60 % (TRADE 3.1).
    assert np.sort(heights)[1:] == pytest.approx(100.0 + 10.0 * np.arange(len(heights) - 1), abs=0.15)
    assert pytest.approx(heights[np.argmin(abs(heights - 160.0))], abs=0.15) == 160.0
