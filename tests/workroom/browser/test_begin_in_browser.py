"""One piece now, as a maker does it in the browser."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pypdfium2
from playwright.sync_api import Page, expect

Opening = Callable[..., Page]


def test_a_forearm_guard_from_three_tapes_to_a_pattern(open_page: Opening, root: Path) -> None:
    page = open_page("/")
    page.get_by_label("Which piece").select_option("forearm_guard")
    page.get_by_label("Wrist girth").fill("16 cm")
    page.get_by_label("Forearm girth").fill("26 cm")
    page.get_by_label("Forearm length").fill("9 1/2 in")
    expect(page.locator("#sheets")).to_contain_text("sheets")
    said = page.locator("#sheets").inner_text()
    page.get_by_role("button", name="Make the pattern").click()
    expect(page.get_by_role("link", name="Open the pattern to print")).to_be_visible()
    pdf = root / "quick" / "forearm_guard" / "pattern-a4.pdf"
    with pypdfium2.PdfDocument(pdf) as document:
        assert f"Prints on {len(document)} sheets" in said


def test_by_keyboard_alone_on_a_narrow_screen(open_page: Opening) -> None:
    page = open_page("/", width=360, dark=True)
    expect(page.get_by_label("Forearm length")).to_be_visible()
    page.locator("#kind").focus()
    for size in ("16 cm", "26 cm", "24 cm"):
        page.keyboard.press("Tab")
        page.keyboard.type(size)
    page.keyboard.press("Tab")
    make = page.get_by_role("button", name="Make the pattern")
    expect(make).to_be_enabled()
    page.keyboard.press("Tab")
    expect(make).to_be_focused()
    page.keyboard.press("Enter")
    expect(page.get_by_role("link", name="Open the pattern to print")).to_be_visible()
    assert page.evaluate("document.documentElement.scrollWidth") <= 360


def test_a_tape_without_unit_is_named_beside_its_field(open_page: Opening) -> None:
    page = open_page("/")
    page.get_by_label("Wrist girth").fill("16")
    page.get_by_label("Forearm girth").fill("26 cm")
    page.get_by_label("Forearm length").fill("24 cm")
    expect(page.locator("#quick-trouble")).to_contain_text("Wrist girth")
    expect(page.get_by_label("Wrist girth")).to_have_attribute("aria-invalid", "true")
    expect(page.get_by_role("button", name="Make the pattern")).to_be_disabled()
