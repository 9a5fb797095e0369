"""A small costume in the browser: a guard added by keyboard, drawn, printed, cut, and spoiled by a tape."""

import io
import re
from pathlib import Path

import pypdfium2
import pytest
from playwright.sync_api import Page, expect

from layfigure.pipeline.new_costume import start_costume

SLOW = 90_000
expect.set_options(timeout=20_000)


@pytest.fixture
def root(tmp_path) -> Path:
    """One forearm guard, all in words."""
    start_costume(tmp_path / "costume")
    return tmp_path / "costume"


def tab_to(page: Page, selector: str, *, most: int = 120, back: bool = False) -> None:
    """Press Tab until an element has the focus, as a maker without a mouse must."""
    for _ in range(most):
        if page.evaluate("s => document.activeElement?.matches(s) ?? false", selector):
            return
        page.keyboard.press("Shift+Tab" if back else "Tab")
    raise AssertionError(f"Tab never reaches {selector}")


def add_shin_guard(page: Page) -> None:
    keys = page.keyboard
    tab_to(page, "#add")
    keys.press("Enter")
    expect(page.locator("#adding")).to_be_visible()
    tab_to(page, "input[name=kind]")
    while page.evaluate("document.activeElement.value") != "wrap":
        keys.press("ArrowDown")
    # Its own fields are there once it is chosen.
    expect(page.locator("#adding-edge-bottom-words")).to_be_visible()
    tab_to(page, "#adding-label")
    keys.type("Shin guard")
    tab_to(page, "#adding-cloth")
    keys.type("vegetable-tanned")
    tab_to(page, "#adding-side")
    keys.type("left")
    assert page.locator("#adding-side").input_value() == "left"
    tab_to(page, "#adding-edge-bottom-words")
    keys.type("halfway from knee to moon")
    keys.press("Tab")
    expect(page.locator("#adding-edge-bottom-words-trouble")).to_contain_text("moon")
    expect(page.locator("#adding-edge-bottom-words")).to_have_attribute("aria-invalid", "true")
    keys.press("Shift+Tab")
    keys.press("Control+a")
    keys.type("80 % from knee to ankle")
    tab_to(page, "#adding-edge-top-words")
    expect(page.locator("#adding-edge-bottom-words-trouble")).to_be_empty()
    keys.type("15 % from knee to ankle")
    keys.press("Tab")
    expect(page.locator("#adding-done")).to_be_enabled()
    tab_to(page, "#adding-done")
    keys.press("Enter")
    expect(page.locator("#adding")).to_be_hidden()


def test_a_piece_from_its_words_to_a_spoiled_cut_without_a_mouse(open_page, root):
    page = open_page("/costume")
    expect(page.locator("#pieces > li")).to_have_count(1)
    add_shin_guard(page)
    expect(page.locator("#pieces > li")).to_have_count(2)
    expect(page.locator("#open-shin_guard")).to_be_focused()
    assert 'words = "15 % from knee to ankle"' in (root / "costume.toml").read_text()
    # An option, refused with its reason beside it, then taken.
    air = page.locator("#piece-shin_guard-options-air")
    page.get_by_text("Choices").first.focus()
    page.keyboard.press("Enter")
    air.focus()
    page.keyboard.type("5")
    page.keyboard.press("Tab")
    expect(page.locator("#piece-shin_guard-options-air-trouble")).to_contain_text("unit")
    air.focus()
    page.keyboard.type(" mm")
    page.keyboard.press("Tab")
    expect(page.locator("#saved")).to_have_text("Saved")
    assert 'air = "5 mm"' in (root / "costume.toml").read_text()
    expect(page.locator("#held-edge option[value=shin_guard_top]")).to_be_attached(timeout=SLOW)

    page.goto(page.url.split("/costume")[0] + "/cut")
    expect(page.locator("#drawing svg")).to_be_visible(timeout=SLOW)
    tab_to(page, "#search")
    page.keyboard.type("shin")
    # Two bands of it; the forearm guard is not among what is found.
    expect(page.locator("#shelf-list li")).to_have_count(2)
    tab_to(page, "#shelf-list button")
    page.keyboard.press("Enter")
    expect(page.locator("#piece-title")).to_have_text(re.compile("^Shin guard"))
    expect(page.locator(".verdict-words")).to_be_visible()
    expect(page.locator(".verdict li").first).to_contain_text("Knee girth on the left is guessed")
    assert page.locator("#drawing svg g.stitch").count() == 1

    tab_to(page, "#print-one")
    page.keyboard.press("Enter")
    expect(page.locator("#paper-count")).to_have_text(re.compile(r"^\d+ sheets? in all"), timeout=SLOW)
    said = int(page.locator("#paper-count").inner_text().split()[0])
    expect(page.locator("#paper-tiles rect.page").first).to_be_attached()
    tab_to(page, "#paper-make")
    page.keyboard.press("Enter")
    expect(page.locator("#paper-file")).to_be_visible(timeout=SLOW)
    pdf = page.request.get(page.url.split("/cut")[0] + page.locator("#paper-file").get_attribute("href"))
    assert pdf.ok
    with pypdfium2.PdfDocument(io.BytesIO(pdf.body())) as opened:
        assert len(opened) == said
        assert opened[0].render(scale=0.5).to_numpy().min() < 128
    page.keyboard.press("Escape")

    tab_to(page, "#mark", back=True)
    page.keyboard.press("Enter")
    expect(page.locator("#mark")).to_have_attribute("aria-pressed", "true")
    expect(page.locator("#cut-standing")).to_contain_text("as it was drawn")
    assert (root / "wearers/me.cut.json").is_file()

    wearer = root / "wearers/me.toml"
    wearer.write_text(wearer.read_text() + 'calf_girth = "43 cm"\n')
    expect(page.locator(".spoiled-list")).to_contain_text("1 cut piece no longer fits", timeout=SLOW)
    expect(page.locator(".spoiled-list")).to_contain_text(re.compile(r"Shin guard.*by [\d.]+ mm at most"))
    assert "43" not in page.locator(".spoiled-list").inner_text()

    page.locator("#undo").click()
    expect(page.locator("#mark")).to_have_attribute("aria-pressed", "false", timeout=SLOW)
    expect(page.locator(".spoiled-list")).to_have_count(0)


def test_the_table_is_used_with_one_thumb(open_page):
    page = open_page("/cut", width=360, height=720)
    expect(page.locator("#drawing svg")).to_be_visible(timeout=SLOW)
    for button in ("#previous", "#mark", "#next"):
        box = page.locator(button).bounding_box()
        # In the lower third of what is seen, and large enough for a thumb: 44 px (WCAG 2.5.5).
        assert box["y"] > 480
        assert box["height"] >= 44
        assert box["width"] >= 44
    assert page.evaluate("document.documentElement.scrollWidth") <= 360
    page.locator("#mark").click()
    expect(page.locator("#mark")).to_have_attribute("aria-pressed", "true")


def scale(page: Page) -> float:
    """Pixels of a millimetre, as drawn."""
    return page.evaluate(
        "document.querySelector('#stage').clientWidth"
        " / document.querySelector('#drawing svg').viewBox.baseVal.width"
    )


def test_the_drawing_is_zoomed_moved_and_measured(open_page):
    page = open_page("/cut")
    expect(page.locator("#drawing svg")).to_be_visible(timeout=SLOW)
    stage = page.locator("#stage")
    stage.focus()
    page.keyboard.press("1")
    expect(page.locator("#scale")).to_have_text("true size")
    assert scale(page) == pytest.approx(96 / 25.4, rel=1e-3)
    # A long mark each centimetre or more: the first two are as far apart as they say.
    marks = page.evaluate(
        """() => [...document.querySelectorAll('#ruler text:not(.ruler-unit-name)')]
           .slice(0, 2).map(t => [Number(t.textContent.replace('−', '-')), Number(t.getAttribute('x'))])"""
    )
    (first, x), (second, further) = marks
    assert (further - x) / (second - first) == pytest.approx(10 * 96 / 25.4, rel=1e-3)
    before = page.locator("#drawing svg").get_attribute("viewBox")
    page.keyboard.press("ArrowRight")
    expect(page.locator("#drawing svg")).not_to_have_attribute("viewBox", before)
    box = stage.bounding_box()
    page.mouse.move(box["x"] + 300, box["y"] + 200)
    at = scale(page)
    page.mouse.wheel(0, -300)
    page.wait_for_function("s => document.querySelector('#scale').textContent !== 'true size'", arg="")
    assert scale(page) > at
    page.keyboard.press("0")
    page.get_by_text("What is shown").click()
    page.get_by_label("Names and words").uncheck()
    expect(page.locator("#drawing g.words")).to_be_hidden()
    page.get_by_label("Names and words").check()
    expect(page.locator("#drawing g.words")).to_be_visible()


def test_an_edit_made_elsewhere_is_shown_and_a_conflict_is_asked_about(open_page, root):
    page = open_page("/costume")
    expect(page.locator("#pieces > li")).to_have_count(1)
    file = root / "costume.toml"
    file.write_text(file.read_text().replace('label = "Forearm guard"', 'label = "Vambrace"'))
    expect(page.locator("#open-forearm_guard")).to_contain_text("Vambrace")
    page.locator("#open-forearm_guard").click()
    label = page.locator("#piece-forearm_guard-label")
    label.fill("Left guard")
    file.write_text(file.read_text().replace("Vambrace", "Arm plate"))
    label.press("Tab")
    expect(page.locator("#conflict")).to_be_visible()
    assert "Arm plate" in file.read_text()
    page.locator("#conflict button[value=theirs]").click()
    expect(page.locator("#open-forearm_guard")).to_contain_text("Arm plate")
