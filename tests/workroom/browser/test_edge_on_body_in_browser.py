"""A line moved on the body in the browser: by pointer and by arrow keys, saved in words, taken back."""

import re
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from layfigure.pipeline.new_costume import start_costume

SLOW = 40_000
FIRST = "guard_top"


@pytest.fixture
def root(tmp_path) -> Path:
    """One forearm guard, all in words."""
    start_costume(tmp_path / "costume")
    return tmp_path / "costume"


def said(root: Path) -> str:
    return re.search(r'\[edges\.guard_top\]\n(?:.*\n)*?words = "(.+?)"', (root / "costume.toml").read_text())[
        1
    ]


def held(page: Page) -> Page:
    expect(page.locator(".panels .body-canvas")).to_have_count(1, timeout=SLOW)
    page.locator("#held-edge").select_option(FIRST)
    expect(page.locator("#held-words")).to_be_visible(timeout=SLOW)
    return page


def test_a_line_is_dragged_along_the_skin_and_its_words_are_saved(open_page, root):
    before = said(root)
    page = held(open_page("/costume"))
    grip = page.locator('.grip[data-grip="line"]')
    expect(grip).to_have_count(1)
    box = grip.bounding_box()
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x + 1, y + 8)
    page.mouse.move(x + 2, y + 16)
    expect(page.locator("#held-words")).not_to_have_text(before, timeout=SLOW)
    # The words follow while it is dragged; the file waits until it is let go.
    assert said(root) == before
    page.mouse.up()
    expect(page.locator("#saved")).to_have_text("Saved", timeout=SLOW)
    after = said(root)
    assert after != before
    expect(page.locator("#held-words")).to_have_text(after, timeout=SLOW)
    expect(page.locator(f"#edge-{FIRST}")).to_have_value(after, timeout=SLOW)
    page.locator("#undo").click()
    expect(page.locator("#held-words")).to_have_text(before, timeout=SLOW)
    assert said(root) == before


def test_a_line_is_moved_by_arrow_keys_and_said_the_other_way(open_page, root):
    before = said(root)
    page = held(open_page("/costume"))
    grip = page.locator('.grip[data-said="its height at the back"]')
    grip.focus()
    for _ in range(3):
        page.keyboard.press("ArrowUp")
    page.keyboard.press("Shift+ArrowDown")
    expect(page.locator("#held-words")).to_have_text(f"{before}, 1.4 cm higher at the back", timeout=SLOW)
    expect(grip).to_be_focused()
    page.keyboard.press("Enter")
    expect(page.locator("#saved")).to_have_text("Saved", timeout=SLOW)
    assert said(root) == f"{before}, 1.4 cm higher at the back"
    # Escape leaves it as the file has it.
    page.locator('.grip[data-grip="line"]').focus()
    page.keyboard.press("ArrowDown")
    expect(page.locator("#held-words")).not_to_have_text(said(root), timeout=SLOW)
    page.keyboard.press("Escape")
    expect(page.locator("#held-words")).to_have_text(said(root), timeout=SLOW)
    other = page.locator("#held-as-length")
    words = other.inner_text()
    assert re.match(r"[\d.]+ cm (above|below) the (wrist|elbow)", words)
    other.click()
    expect(page.locator("#held-words")).to_have_text(words, timeout=SLOW)
    assert said(root) == words


def test_it_stops_where_words_end_and_says_so(open_page, root):
    page = held(open_page("/costume"))
    page.locator('.grip[data-grip="line"]').focus()
    for _ in range(90):
        page.keyboard.press("ArrowDown")
    expect(page.locator("#held-trouble")).to_contain_text("beyond the fingertip", timeout=SLOW)
    page.keyboard.press("Enter")
    expect(page.locator("#held-words")).to_have_text(re.compile("fingertip"), timeout=SLOW)
    expect(page.locator("#saved")).to_have_text("Saved", timeout=SLOW)
    assert said(root) == page.locator("#held-words").inner_text()
