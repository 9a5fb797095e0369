"""A line along a limb, held by its handles in the browser: its words follow, and come back with undo."""

import re
from pathlib import Path

import pytest
from playwright.sync_api import Locator, Page, expect

from layfigure.pipeline.new_costume import start_costume

SLOW = 40_000
WORDS = "along 30 % round from 4 cm below the hip to 10 cm above the ankle"
READ = re.compile(
    r"along (?:(?P<way>[\d.]+) %|the (?P<side>\w+))(?: round)? from (?P<top>.+) to (?P<bottom>.+)", re.ASCII
)
HANDLES = {"line": "the whole line", "top": "its upper end", "bottom": "its lower end"}


@pytest.fixture(params=["left", "right"])
def side(request) -> str:
    return request.param


@pytest.fixture
def root(tmp_path, side) -> Path:
    """A forearm guard, and a stripe down one leg that bounds nothing."""
    start_costume(tmp_path / "costume")
    path = tmp_path / "costume" / "costume.toml"
    stripe = f'[edges.stripe]\nwords = "{WORDS}"\nside = "{side}"\n\n'
    path.write_text(path.read_text().replace("[edges.guard_foot]", f"{stripe}[edges.guard_foot]"))
    return tmp_path / "costume"


def said(root: Path) -> str:
    found = re.search(r'\[edges\.stripe\]\nwords = "(.+?)"', (root / "costume.toml").read_text())
    assert found
    return found[1]


def parts(words: str) -> dict[str, str]:
    found = READ.fullmatch(words)
    assert found, words
    return found.groupdict()


def held(page: Page) -> Page:
    expect(page.locator(".panels .body-canvas")).to_have_count(1, timeout=SLOW)
    page.locator("#held-edge").select_option("stripe")
    expect(page.locator("#held-words")).to_have_text(WORDS, timeout=SLOW)
    return page


def handle(page: Page, name: str) -> Locator:
    found = page.locator(f'.grip[data-said="{HANDLES[name]}"]')
    expect(found).to_have_count(1)
    return found


def middle(one: Locator) -> tuple[float, float]:
    box = one.bounding_box()
    assert box is not None
    return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2


@pytest.mark.parametrize(("name", "across", "down"), [("line", -9, 1), ("top", 1, 12), ("bottom", 1, -12)])
def test_a_handle_is_dragged_and_only_its_part_of_the_words_follows(
    open_page, root, side, name, across, down
):
    page = held(open_page("/costume"))
    grip = handle(page, name)
    expect(grip).to_have_attribute("data-grip", name)
    x, y = middle(grip)
    # Toward the front, which is to the other hand on the other leg.
    across = across if side == "left" else -across
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x + across / 2, y + down / 2)
    page.mouse.move(x + across, y + down)
    expect(page.locator("#held-words")).not_to_have_text(WORDS, timeout=SLOW)
    # The words follow while it is dragged; the file waits until it is let go.
    assert said(root) == WORDS
    page.mouse.up()
    expect(page.locator("#saved")).to_have_text("Saved", timeout=SLOW)
    after = said(root)
    expect(page.locator("#held-words")).to_have_text(after, timeout=SLOW)
    expect(page.locator("#edge-stripe")).to_have_value(after, timeout=SLOW)
    now, before = parts(after), parts(WORDS)
    moved = {"line": "way"}.get(name, name)
    assert {part for part in now if now[part] != before[part]} == {moved}
    if name == "line":
        assert float(now["way"]) < 30.0
    elif name == "top":
        assert float(re.fullmatch(r"([\d.]+) cm below the hip", now["top"])[1]) > 4.0
    else:
        assert float(re.fullmatch(r"([\d.]+) cm above the ankle", now["bottom"])[1]) > 10.0
    # The handle went where the pointer was let go: an end on its own line, the line round.
    at_x, at_y = middle(handle(page, name))
    assert abs(at_y - y - down) < 4.0
    if name == "line":
        assert abs(at_x - x - across) < 4.0
    page.locator("#undo").click()
    expect(page.locator("#held-words")).to_have_text(WORDS, timeout=SLOW)
    expect(page.locator("#edge-stripe")).to_have_value(WORDS, timeout=SLOW)
    assert said(root) == WORDS
    back_x, back_y = middle(handle(page, name))
    assert (back_x, back_y) == pytest.approx((x, y), abs=1.0)


@pytest.mark.parametrize(
    ("name", "keys", "after"),
    [
        ("line", ["ArrowRight", "ArrowRight", "Shift+ArrowLeft"],
         "along 31.8 % round from 4 cm below the hip to 10 cm above the ankle"),
        ("top", ["ArrowDown", "ArrowDown", "Shift+ArrowUp"],
         "along 30 % round from 4.9 cm below the hip to 10 cm above the ankle"),
        ("bottom", ["ArrowUp", "ArrowUp", "Shift+ArrowDown"],
         "along 30 % round from 4 cm below the hip to 10.9 cm above the ankle"),
    ],
)  # fmt: skip
def test_a_handle_is_moved_by_keys(open_page, root, name, keys, after):
    page = held(open_page("/costume"))
    grip = handle(page, name)
    grip.focus()
    for key in keys:
        page.keyboard.press(key)
    expect(page.locator("#held-words")).to_have_text(after, timeout=SLOW)
    expect(grip).to_be_focused()
    page.keyboard.press("Enter")
    expect(page.locator("#saved")).to_have_text("Saved", timeout=SLOW)
    assert said(root) == after
    # Escape leaves it as the file has it.
    page.keyboard.press(keys[0])
    expect(page.locator("#held-words")).not_to_have_text(after, timeout=SLOW)
    page.keyboard.press("Escape")
    expect(page.locator("#held-words")).to_have_text(after, timeout=SLOW)
    assert said(root) == after
    page.keyboard.press("Control+z")
    expect(page.locator("#held-words")).to_have_text(WORDS, timeout=SLOW)
    assert said(root) == WORDS


def test_it_goes_on_round_the_limb_by_keys_and_its_ends_stop_where_they_would_meet(open_page, root):
    page = held(open_page("/costume"))
    handle(page, "line").focus()
    for _ in range(5):
        page.keyboard.press("ArrowLeft")
    expect(page.locator("#held-words")).to_contain_text("along the outside from", timeout=SLOW)
    for _ in range(30):
        page.keyboard.press("ArrowLeft")
    expect(page.locator("#held-words")).to_contain_text("along 95 % round from", timeout=SLOW)
    page.keyboard.press("Enter")
    expect(page.locator("#saved")).to_have_text("Saved", timeout=SLOW)
    assert parts(said(root))["way"] == "95"
    handle(page, "bottom").focus()
    for _ in range(45):
        page.keyboard.press("ArrowDown")
    expect(page.locator("#held-trouble")).to_contain_text("beyond the ankle", timeout=SLOW)
    page.keyboard.press("Enter")
    ends_there = re.compile(r"to (ankle|0\.[0-9] cm above the ankle)$")
    expect(page.locator("#held-words")).to_have_text(ends_there, timeout=SLOW)
    expect(page.locator("#edge-stripe")).to_have_value(ends_there, timeout=SLOW)
    # The words stand on the page before they are saved.
    for _ in range(SLOW // 100):
        if page.locator("#held-words").inner_text() == said(root):
            break
        page.wait_for_timeout(100)
    assert page.locator("#held-words").inner_text() == said(root)
