"""Buying without a mouse: list, a layout searched on, another material, colours; its tables when narrow."""

from __future__ import annotations

import re
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect
from tests.workroom.browser.test_costume_and_cut import tab_to
from tests.workroom.browser.usable import serious_troubles

from layfigure.pipeline.new_costume import start_costume

SLOW = 120_000
BRINDLE = Path(__file__).parents[3] / "examples" / "brindle"
Opening = Callable[..., Page]


@pytest.fixture
def root(tmp_path: Path) -> Path:
    """One guard, cut from the demonstration's materials, with its photographs of colours."""
    folder = tmp_path / "costume"
    start_costume(folder)
    for name in ("colours.toml", "materials.toml"):
        shutil.copy(BRINDLE / name, folder / name)
    shutil.copytree(BRINDLE / "colour", folder / "colour")
    file = folder / "costume.toml"
    file.write_text(re.sub(r'cloth = ".+"', 'cloth = "lacquer_foam"', file.read_text()))
    return folder


def listed(page: Page) -> Page:
    expect(page.locator("#list")).to_be_visible(timeout=SLOW)
    expect(page.locator("#listing")).to_be_hidden(timeout=SLOW)
    return page


def test_the_whole_page_is_worked_without_a_mouse(open_page: Opening, root: Path) -> None:
    page = listed(open_page("/buy"))
    keys = page.keyboard
    files = {file: file.read_bytes() for file in root.glob("*.toml")}
    expect(page.locator("#errands")).to_contain_text(re.compile("foam", re.IGNORECASE))
    # Searched longer, and stopped: the best so far is kept, and the focus is where it was.
    again = page.locator("#layouts button").first
    name = again.get_attribute("id")
    assert name
    tab_to(page, f"#{name}")
    keys.press("Enter")
    expect(page.locator("#listing")).to_be_visible()
    expect(page.locator("#listing")).to_be_in_viewport()
    expect(page.locator("#listing-words")).to_contain_text(
        re.compile("lay|search", re.IGNORECASE), timeout=SLOW
    )
    tab_to(page, "#listing-stop", back=True)
    keys.press("Enter")
    listed(page)
    expect(page.locator(f"#{name}")).to_be_focused()
    # A table larger than its place is reached, to be scrolled by arrow keys.
    tab_to(page, "#weighed .scroll")
    # Another material, both ways side by side.
    tab_to(page, "#try-material")
    expect(page.locator("#try-material option[value=lacquer_foam]")).to_have_count(0)
    keys.type("coat twill")
    tab_to(page, "#try-it")
    keys.press("Enter")
    expect(page.locator("#tried > *").first).to_be_visible(timeout=SLOW)
    expect(page.locator("#listing")).to_be_hidden()
    expect(page.locator("#try-it")).to_be_focused()
    # Colours, with everything said of them.
    tab_to(page, "#colours summary", back=True)
    assert page.locator("#swatches li").count() > 3
    keys.press("Enter")
    expect(page.locator("#colour-lines li").first).to_be_visible()
    tab_to(page, "#print-list", back=True)
    expect(page.locator("#print-list")).to_be_enabled()
    assert {file: file.read_bytes() for file in root.glob("*.toml")} == files


def test_both_materials_are_compared_in_a_table(open_page: Opening) -> None:
    page = listed(open_page("/buy", width=360, height=740))
    page.locator("#try-material").select_option("horn_foam")
    page.locator("#try-it").click()
    table = page.get_by_role("region", name="Both materials side by side")
    expect(table).to_be_visible(timeout=SLOW)
    assert table.evaluate("one => one.scrollWidth - one.clientWidth") <= 0
    expect(table.get_by_role("columnheader")).to_have_count(2)
    expect(table.get_by_role("rowheader", name="Weighs")).to_have_count(1)
    assert page.evaluate("document.documentElement.scrollWidth") <= 360


@pytest.mark.parametrize("dark", [False, True], ids=["light", "dark"])
def test_its_tables_are_read_on_a_narrow_screen(open_page: Opening, dark: bool) -> None:
    page = listed(open_page("/buy", width=360, height=740, dark=dark))
    expect(page.locator("#swatches li").first).to_be_visible(timeout=SLOW)
    assert page.evaluate("document.documentElement.scrollWidth") <= 360
    # A row says of each number what it is, and none has to be dragged into sight.
    row = page.get_by_role("row", name=re.compile("Forearm guard"))
    expect(row.get_by_role("rowheader")).to_have_text(re.compile("^Forearm guard"))
    expect(page.locator("#pieces").get_by_role("columnheader", name="Hours")).to_have_count(1)
    said = row.locator("td[data-what]").evaluate_all(
        "all => all.map(one => getComputedStyle(one, '::before').content)"
    )
    assert said == ['"Weighs"', '"Materials"', '"Hours"', '"Made, in all"', '"Ready made"']
    for cell in row.locator("td:not(:empty)").all():
        box = cell.bounding_box()
        assert box is not None
        assert box["x"] + box["width"] <= 360
    beyond = page.locator("#weighed .scroll").evaluate("one => one.scrollWidth - one.clientWidth")
    assert beyond <= 0
    assert not serious_troubles(page)
