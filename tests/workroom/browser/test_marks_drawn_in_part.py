"""While a mark is dragged only what moves is drawn, and the sheet looks as if all of it had been."""

import re
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Page, expect
from tests.workroom.browser.marking_front import TRUTH, drop_front, saved, set_sixteen, spot

WIPED = """() => {
  window.wiped = [];
  const real = CanvasRenderingContext2D.prototype.clearRect;
  CanvasRenderingContext2D.prototype.clearRect = function (left, top, width, height) {
    const {id, width: whole, height: high} = this.canvas;
    if (id === "over") window.wiped.push(width * height / (whole * high));
    return real.call(this, left, top, width, height);
  };
}"""
DRAWN = """() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(() => {
  const sheet = document.getElementById("over");
  const pixels = sheet.getContext("2d").getImageData(0, 0, sheet.width, sheet.height).data;
  const before = window.kept ?? new Uint8ClampedArray(pixels.length);
  const off = [];
  for (let k = 0; k < pixels.length; k += 4) {
    // As it covers the picture below: of a pixel hardly covered, the colour says nothing.
    const seen = (from, c) => from[k + c] * from[k + 3] / 255;
    const colours = [0, 1, 2].map((c) => Math.abs(seen(pixels, c) - seen(before, c)));
    const most = Math.max(...colours, Math.abs(pixels[k + 3] - before[k + 3]));
    if (most > 64) off.push([k / 4 % sheet.width, Math.floor(k / 4 / sheet.width), most]);
  }
  window.kept = pixels;
  done(off);
})))"""
"""Pixels that the eye sees differ from what the last call saw: across, down, and by how much of 255.

Where the edge of a box cuts through a line, the browser rounds its rim otherwise: single pixels by up to 40.
"""


@pytest.fixture
def root(tmp_path: Path) -> Path:
    folder = tmp_path / "new"
    folder.mkdir()
    (folder / "costume.toml").write_text('format = 1\nname = "New"\n', encoding="utf-8")
    return folder


def all_anew(page: Page) -> None:
    """The whole picture, which is what is seen already: everything is drawn."""
    page.evaluate("document.getElementById('whole').click()")


@pytest.mark.parametrize("dots", [1, 1.25])
def test_the_sheet_is_the_same_as_if_all_was_drawn(open_page: Any, root: Path, dots: float) -> None:
    page = open_page("/look", width=1100)
    page.context.new_cdp_session(page).send(
        "Emulation.setDeviceMetricsOverride",
        {"width": 1100, "height": 900, "deviceScaleFactor": dots, "mobile": False},
    )
    drop_front(page)
    set_sixteen(page)
    saved(page)
    page.get_by_role("button", name="Lines of the costume").click()
    # Open from the start, where there is no line yet.
    page.fill("#new-name", "Stripe")
    page.get_by_label("On the body it closes on itself").uncheck()
    page.get_by_role("button", name="Begin it").click()
    expect(page.locator("#guide-title")).to_have_text("Stripe")
    marks = TRUTH["landmarks"]
    for name in ("bust_left", "hip_left", "ankle_left"):
        page.mouse.click(*spot(page, marks[name]))
    expect(page.locator("#list button")).to_have_count(3)
    saved(page)
    # The figure that the marks give lies under them. Nothing more comes by itself once the line is told of.
    expect(page.locator("#sure-words")).to_contain_text(re.compile(r"Stripe.*: sure to"), timeout=60_000)
    expect(page.locator("#figure")).to_be_enabled()

    page.evaluate(WIPED)
    x, y = spot(page, marks["hip_left"])
    page.mouse.move(x, y)
    page.mouse.down()
    page.evaluate(DRAWN)
    page.evaluate("window.wiped = []")
    # Across marks of every kind, and to where the name no longer has room on the right.
    for k in range(1, 12):
        page.mouse.move(x + 0.3 + 23.7 * k, y - 11.3 * k)
    page.evaluate(DRAWN)
    shares = page.evaluate("window.wiped")
    assert len(shares) > 5
    assert max(shares) < 0.5, shares
    all_anew(page)
    off = page.evaluate(DRAWN)
    assert max(page.evaluate("window.wiped")) == 1
    assert not off
    page.mouse.up()
    saved(page)


def test_the_glass_of_a_finger_leaves_no_trace(open_page: Any, root: Path) -> None:
    page = open_page("/look", width=360, height=740)
    drop_front(page)
    page.locator("#easel").scroll_into_view_if_needed()
    sure = page.locator("#sure-words")
    expect(sure).not_to_have_attribute("aria-busy", "true")
    # What the study says of the mark is drawn whole: it comes before the finger does.
    with page.expect_response("**/api/study"):
        page.mouse.click(*spot(page, TRUTH["landmarks"]["crown"]))
    expect(page.locator("#list button")).to_have_count(1)
    saved(page)
    expect(sure).not_to_have_attribute("aria-busy", "true")
    page.evaluate(WIPED)
    x, y = spot(page, TRUTH["landmarks"]["crown"])
    finger = page.context.new_cdp_session(page)
    # Over the middle and back: the glass changes its corner and its picture.
    for kind, across in (("Start", 0), ("Move", 20), ("Move", 90), ("Move", -60), ("Move", -80)):
        at = [{"x": x + across, "y": y + 60, "id": 0}]
        finger.send("Input.dispatchTouchEvent", {"type": f"touch{kind}", "touchPoints": at})
        assert page.evaluate(DRAWN) or kind == "Start"
    assert max(page.evaluate("window.wiped")[-2:]) < 0.5
    all_anew(page)
    assert not page.evaluate(DRAWN)
    finger.send("Input.dispatchTouchEvent", {"type": "touchCancel", "touchPoints": []})
