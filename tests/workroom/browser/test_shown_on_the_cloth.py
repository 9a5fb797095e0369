"""What wearing asks of the cloth, in colour on the flat piece: chosen, kept, never printed."""

from __future__ import annotations

import io
import re
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pypdfium2
import pytest
from playwright.sync_api import Locator, Page, expect
from tests.workroom.browser.usable import serious_troubles

from layfigure.drawing.field_bands import RAMP
from layfigure.pipeline.new_costume import start_costume

SLOW = 90_000
Opening = Callable[..., Page]

SHORTS = """
[[pieces]]
slug = "shorts"
label = "Shorts"
kind = "knit"
cloth = "nylon_elastane_tricot"
options = { garment = "shorts" }
"""


@pytest.fixture
def root(tmp_path: Path) -> Path:
    """A stiff guard, and close shorts."""
    start_costume(tmp_path / "costume")
    file = tmp_path / "costume" / "costume.toml"
    file.write_text(file.read_text() + SHORTS)
    return tmp_path / "costume"


def show_piece(page: Page, called: str) -> None:
    page.locator("#search").fill(called)
    page.locator("#shelf-list button").first.click()
    expect(page.locator("#piece-title")).to_have_text(re.compile(f"^{called}"), timeout=SLOW)
    expect(page.locator("#cloth-field")).to_be_enabled(timeout=SLOW)


def at_the_table(page: Page) -> Page:
    expect(page.locator("#drawing svg")).to_be_visible(timeout=SLOW)
    return page


def coloured(page: Page) -> Locator:
    return page.locator("#drawing .cloth-field path")


def saturation(page: Page, address: str) -> float:
    """The most that red, green and blue of one dot differ on any page of a printed file."""
    answer = page.request.get(page.url.split("/cut")[0] + address)
    assert answer.ok
    with pypdfium2.PdfDocument(io.BytesIO(answer.body())) as sheets:
        dots = [np.asarray(sheet.render(scale=0.5).to_numpy(), int)[..., :3] for sheet in sheets]
    return float(max(np.ptp(one, axis=-1).max() for one in dots))


def test_a_field_is_chosen_and_kept_from_piece_to_piece(open_page: Opening) -> None:
    page = at_the_table(open_page("/cut"))
    show_piece(page, "Shorts")
    choice, legend = page.get_by_label("Shown on the cloth"), page.locator("#cloth-legend li")
    expect(choice).to_have_value("")
    expect(page.locator("#drawing .cloth-field")).to_have_count(0)
    choice.select_option("stretch")
    rows = legend.all_inner_texts()
    assert len(rows) >= 2
    assert all(re.search(r"\d %: .+", row) for row in rows)
    # Whole percents of the piece, so their sum is near the whole.
    shares = [int(found[1]) for row in rows if (found := re.search(r"(\d+) % of it", row))]
    assert sum(shares) == pytest.approx(100, abs=len(rows))
    fills = coloured(page).evaluate_all("all => all.map(one => one.getAttribute('fill'))")
    assert len(fills) == len(rows)
    assert set(fills) <= set(RAMP)
    numbers = page.locator("#drawing .cloth-field text").all_text_contents()
    places = page.locator("#cloth-words ol").first.locator("li")
    assert numbers == [str(k + 1) for k in range(places.count())] != []
    expect(places.first).to_have_text(re.compile(r"\d+ %: .*edge .+\."))
    # Its lines stay readable over it, and a number lies within the piece.
    within = page.evaluate(
        """() => {
          const box = document.querySelector('#drawing g.cut').getBoundingClientRect();
          return [...document.querySelectorAll('#drawing .cloth-field circle')].every((one) => {
            const c = one.getBoundingClientRect();
            const [x, y] = [c.left + c.width / 2, c.top + c.height / 2];
            return x >= box.left && x <= box.right && y >= box.top && y <= box.bottom;
          });
        }"""
    )
    assert within

    # The other half of it shows the same; a guard has fields of its own, and the shorts theirs again.
    page.locator("#next").click()
    expect(page.locator("#piece-title")).to_have_text(re.compile("^Shorts"))
    expect(choice).to_be_enabled()
    expect(choice).to_have_value("stretch")
    expect(coloured(page).first).to_be_attached()
    show_piece(page, "Forearm guard")
    expect(choice).to_have_value("")
    assert page.locator("#cloth-field option[value=bend]").count() == 1
    expect(coloured(page)).to_have_count(0)
    choice.select_option("stand_off")
    expect(coloured(page).first).to_be_attached()
    choice.select_option("")
    expect(coloured(page)).to_have_count(0)
    expect(legend).to_have_count(0)


def test_a_print_and_an_export_stay_plain_while_it_is_shown(open_page: Opening) -> None:
    page = at_the_table(open_page("/cut"))
    show_piece(page, "Forearm guard")
    page.get_by_label("Shown on the cloth").select_option("stand_off")
    expect(coloured(page).first).to_be_attached()
    page.locator("#print-one").click()
    expect(page.locator("#paper-make")).to_be_enabled(timeout=SLOW)
    assert page.locator("#paper-tiles .cloth-field").count() == 0
    page.locator("#paper-make").click()
    expect(page.locator("#paper-file")).to_be_visible(timeout=SLOW)
    pattern = page.locator("#paper-file").get_attribute("href")
    assert pattern
    assert saturation(page, pattern) == 0.0
    page.locator("#paper-svg").click()
    expect(page.locator("#paper-file")).to_have_text("Open the SVG file", timeout=SLOW)
    drawing = page.locator("#paper-file").get_attribute("href")
    text = page.request.get(page.url.split("/cut")[0] + str(drawing)).text()
    assert "<path" in text
    assert not [colour for colour in RAMP if colour in text]
    assert "cloth-field" not in text


def test_it_is_read_on_a_small_dark_screen(open_page: Opening) -> None:
    page = at_the_table(open_page("/cut", width=360, height=740, dark=True))
    for called, field in (("Shorts", "pressure"), ("Forearm guard", "bend")):
        show_piece(page, called)
        page.get_by_label("Shown on the cloth").select_option(field)
        expect(coloured(page).first).to_be_attached()
        assert page.evaluate("document.documentElement.scrollWidth") <= 360
        assert not serious_troubles(page)
        for row in page.locator("#cloth-legend li").all():
            box = row.bounding_box()
            assert box is not None
            assert box["x"] >= 0
            assert box["x"] + box["width"] <= 360
