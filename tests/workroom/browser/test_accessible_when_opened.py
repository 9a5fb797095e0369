"""Everything that opens on a page by axe-core, as ``test_accessible`` has it for the pages themselves."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect
from tests.workroom.browser.marking_front import BRINDLE, drop_front
from tests.workroom.browser.usable import serious_troubles

from layfigure.pipeline.new_costume import start_costume

SLOW = 90_000
Opening = Callable[..., Page]
SCREENS = pytest.mark.parametrize(
    ("width", "dark"), [(1280, False), (360, True)], ids=["wide and light", "narrow and dark"]
)


@pytest.fixture
def root(tmp_path: Path) -> Path:
    start_costume(tmp_path / "costume")
    return tmp_path / "costume"


def at_rest(page: Page) -> Page:
    expect(page.locator("main .working:visible")).to_have_count(0, timeout=SLOW)
    return page


def usable(page: Page, dialog: str = "") -> None:
    """Nothing serious, nothing to drag sideways, a dialog within what is seen."""
    width = page.evaluate("innerWidth")
    assert not serious_troubles(page)
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    if not dialog:
        return
    box = page.locator(dialog).bounding_box()
    assert box is not None
    assert box["x"] >= 0
    assert box["y"] >= 0
    assert box["x"] + box["width"] <= width
    assert box["y"] + box["height"] <= page.evaluate("innerHeight")
    # What is larger than its place is scrolled within a part of its own, which the keyboard reaches.
    assert page.locator(dialog).evaluate("one => one.scrollWidth - one.clientWidth") <= 0
    assert page.evaluate("s => document.querySelector(s).contains(document.activeElement)", dialog)


def closed_by_escape(page: Page, dialog: str, back: str) -> None:
    page.keyboard.press("Escape")
    expect(page.locator(dialog)).to_be_hidden()
    expect(page.locator(back)).to_be_focused()


@SCREENS
def test_adding_a_piece(open_page: Opening, width: int, dark: bool) -> None:
    page = open_page("/costume", width=width, dark=dark)
    expect(page.locator("#add")).to_be_enabled(timeout=SLOW)
    page.locator("#add").click()
    usable(page, "#adding")
    for kind in page.locator("input[name=kind]").evaluate_all("all => all.map(one => one.value)"):
        page.locator(f"input[name=kind][value={kind}]").check()
        expect(page.locator("#adding-rest")).to_be_visible()
        if kind in ("wrap", "knit", "pouch", "shell", "found"):
            usable(page, "#adding")
    page.locator("input[name=kind][value=wrap]").check()
    page.locator("#adding-edge-top-words").fill("halfway from knee to moon")
    page.keyboard.press("Tab")
    expect(page.locator("#adding-edge-top-words-trouble")).to_contain_text("moon")
    usable(page, "#adding")
    closed_by_escape(page, "#adding", "#add")


@SCREENS
def test_a_piece_unfolded_and_a_line_held(open_page: Opening, width: int, dark: bool) -> None:
    page = at_rest(open_page("/costume", width=width, dark=dark))
    expect(page.locator("#add")).to_be_enabled(timeout=SLOW)
    page.locator("#open-forearm_guard").click()
    for summary in page.locator(".piece-form summary").all():
        if summary.is_visible():
            summary.click()
    usable(page)
    page.locator("#held-edge").select_option("guard_top")
    expect(page.locator("#held-words")).to_be_visible(timeout=SLOW)
    usable(page)


@SCREENS
def test_a_conflict(open_page: Opening, root: Path, width: int, dark: bool) -> None:
    page = open_page("/costume", width=width, dark=dark)
    expect(page.locator("#add")).to_be_enabled(timeout=SLOW)
    page.locator("#open-forearm_guard").click()
    label = page.locator("#piece-forearm_guard-label")
    label.fill("Left guard")
    page.route("**/api/state", lambda route: route.abort())
    file = root / "costume.toml"
    file.write_text(file.read_text().replace('label = "Forearm guard"', 'label = "Arm plate"'))
    label.press("Tab")
    expect(page.locator("#conflict")).to_be_visible()
    usable(page, "#conflict")
    page.unroute("**/api/state")
    page.keyboard.press("Escape")
    expect(page.locator("#open-forearm_guard")).to_contain_text("Arm plate")


@SCREENS
def test_a_file_that_cannot_be_read(open_page: Opening, root: Path, width: int, dark: bool) -> None:
    (root / "costume.toml").write_text('format = 1\nname = "Broken\n')
    page = open_page("/costume", width=width, dark=dark)
    expect(page.locator("#trouble")).to_be_visible()
    usable(page)


@SCREENS
def test_one_wearer_unfolded_and_removed(open_page: Opening, width: int, dark: bool) -> None:
    page = open_page("/measure/me", width=width, dark=dark)
    expect(page.locator("#all-summary")).to_be_visible()
    expect(page.locator("#readings input").first).to_be_visible(timeout=SLOW)
    for summary in page.locator("main summary").all():
        summary.click()
    page.locator("#second").click()
    page.locator("#readings input").first.fill("twelve")
    page.locator("#keep").click()
    expect(page.locator("#measure-trouble")).not_to_be_empty()
    usable(page)
    page.locator("#remove").click()
    usable(page, "#removing")
    closed_by_escape(page, "#removing", "#remove")


@SCREENS
def test_how_a_piece_sits_and_its_paper(open_page: Opening, width: int, dark: bool) -> None:
    page = open_page("/cut/me", width=width, dark=dark)
    expect(page.locator("#drawing svg")).to_be_visible(timeout=SLOW)
    for summary in page.locator("main summary").all():
        summary.click()
    usable(page)
    page.locator("#sits-open").click()
    expect(page.locator("#sits-legend li").first).to_be_visible(timeout=SLOW)
    usable(page, "#sits")
    closed_by_escape(page, "#sits", "#sits-open")
    page.locator("#print-all").click()
    expect(page.locator("#paper-make")).to_be_enabled(timeout=SLOW)
    page.locator("#paper-what").select_option("some")
    expect(page.locator("#paper-some")).to_be_visible()
    expect(page.locator("#paper-make")).to_be_enabled(timeout=SLOW)
    page.locator("#paper-make").click()
    expect(page.locator("#paper-file")).to_be_visible(timeout=SLOW)
    usable(page, "#paper")
    closed_by_escape(page, "#paper", "#print-all")


@SCREENS
def test_another_material_tried(open_page: Opening, width: int, dark: bool) -> None:
    page = open_page("/buy/me", width=width, dark=dark)
    expect(page.locator("#try")).to_be_visible(timeout=SLOW)
    page.locator("#try-it").click()
    expect(page.locator("#tried > *").first).to_be_visible(timeout=SLOW)
    usable(page)


@SCREENS
def test_marking_a_picture(open_page: Opening, width: int, dark: bool) -> None:
    page = open_page("/look", width=width, dark=dark)
    page.set_input_files("#files", str(BRINDLE / "references" / "back.png"))
    expect(page.locator(".dropped-one")).to_be_visible()
    usable(page)
    page.get_by_role("button", name="Leave it").click()
    drop_front(page)
    usable(page)
    page.locator(".keys summary").click()
    page.get_by_role("button", name="Where the body ends").click()
    usable(page)
    page.get_by_role("button", name="Lines of the costume").click()
    page.locator(".begin-line > summary").click()
    page.fill("#new-name", "Stripe")
    page.fill("#new-words", "somewhere on the arm")
    expect(page.locator("#guide")).to_contain_text("is not a level of the body")
    usable(page)
    page.fill("#new-words", "")
    page.get_by_role("button", name="Begin it").click()
    expect(page.locator("#guide-title")).to_have_text("Stripe")
    page.locator("#easel").focus()
    for _ in range(3):
        page.keyboard.press("Enter")
        for _ in range(4):
            page.keyboard.press("Shift+ArrowDown")
    expect(page.locator("#list button")).to_have_count(3)
    for summary in page.locator("#guide summary").all():
        if summary.evaluate("one => !one.parentElement.open"):
            summary.click()
    usable(page)


@SCREENS
def test_one_piece_with_its_tapes(open_page: Opening, width: int, dark: bool) -> None:
    page = open_page("/", width=width, dark=dark)
    expect(page.locator("#kind option").first).to_be_attached(timeout=SLOW)
    page.get_by_label("Which piece").select_option("forearm_guard")
    for tape, size in (("Wrist girth", "a lot"), ("Forearm girth", "26 cm"), ("Forearm length", "24 cm")):
        page.get_by_label(tape).fill(size)
    wrong = page.locator("#quick [aria-invalid=true], #quick-trouble:not(:empty)").first
    expect(wrong).to_be_visible(timeout=SLOW)
    usable(page)
    page.get_by_label("Wrist girth").fill("16 cm")
    expect(page.locator("#sheets")).to_contain_text(re.compile(r"Prints on \d+ sheets?"), timeout=SLOW)
    usable(page)
