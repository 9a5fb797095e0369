"""A stripe traced down a shin on a picture, point by point, and then said in words on the page Costume.

No outside source: the marks are set between the knee's and the ankle's own, so that the words are known.
"""

import json
import re
from pathlib import Path

import pytest
from playwright.sync_api import expect
from tests.workroom.browser.marking_front import TRUTH, drop_front, saved, set_sixteen, spot

from layfigure.design.words import parse_words
from layfigure.design.words_on_body import ruler_of
from layfigure.pipeline.new_costume import start_costume
from layfigure.pipeline.stages import neutral_body

SLOW = 60_000
SHARES = (0.15, 0.35, 0.6, 0.85)
"""Of the way from knee to ankle."""
NEAR = 0.06
"""The drawn figure's ankle and knee lie by so much of the shin beside those of a figure of a body."""
FRONT = 0.1
"""Of the way round. What is in the middle of a picture is at the front, as far as the leg is turned."""


@pytest.fixture
def root(tmp_path: Path) -> Path:
    start_costume(tmp_path / "costume")
    return tmp_path / "costume"


def test_a_stripe_traced_down_a_shin_is_said_in_words(open_page, root):
    page = open_page("/look")
    drop_front(page)
    set_sixteen(page)
    saved(page)
    page.get_by_role("button", name="Lines of the costume").click()
    page.get_by_text("A new line", exact=True).click()
    page.fill("#new-name", "Stripe")
    page.select_option("#new-side", "left")
    page.get_by_label("On the body it closes on itself").uncheck()
    page.get_by_role("button", name="Begin it").click()
    expect(page.locator("#guide-title")).to_have_text("Stripe")
    knee, ankle = (TRUTH["landmarks"][name] for name in ("knee_left", "ankle_left"))
    for number, share in enumerate(SHARES, start=1):
        page.mouse.click(*spot(page, [knee[k] + share * (ankle[k] - knee[k]) for k in (0, 1)]))
        expect(page.locator("#list button")).to_have_count(number)
    saved(page)
    (picture,) = json.loads((root / "marks.json").read_text(encoding="utf-8"))["pictures"]
    assert [len(stretch["points"]) for stretch in picture["edges"]["stripe"]] == [len(SHARES)]
    expect(page.locator("#sure-words")).to_contain_text(re.compile(r"Stripe.*: sure to \d+ mm"), timeout=SLOW)

    page.get_by_role("link", name="Costume", exact=True).click()
    expect(page.locator(".panels .body-canvas").first).to_be_visible(timeout=SLOW)
    page.locator("#held-edge").select_option("stripe")
    expect(page.locator("#held-now")).to_have_text("Traced on pictures.", timeout=SLOW)
    # What is not said in words has no handles to move it by.
    expect(page.locator(".grip")).to_have_count(0)
    told = page.locator("#held-told").inner_text()
    off = re.search(r"The nearest words lie at most (\d+) mm from it: (along .+ from .+ to .+)\.\n", told)
    assert off, told
    assert int(off[1]) < 25
    page.get_by_role("button", name="Say it in these words").click()
    saved(page)
    expect(page.locator("#held-words")).to_have_text(off[2], timeout=SLOW)
    expect(page.locator("#edge-stripe")).to_have_value(off[2], timeout=SLOW)
    # Now it is held by its two ends and as a whole.
    expect(page.locator('.grip[data-grip="top"]')).not_to_have_count(0, timeout=SLOW)

    text = (root / "costume.toml").read_text(encoding="utf-8")
    block = re.search(r"\[edges\.stripe\]\n((?:.+\n)+)", text)
    assert block
    assert f'words = "{off[2]}"\n' in block[1]
    assert 'side = "left"\n' in block[1]
    lies_on_the_shin(off[2])

    page.locator("#undo").click()
    expect(page.locator("#held-now")).to_have_text("Traced on pictures.", timeout=SLOW)
    assert "words" not in re.search(r"\[edges\.stripe\]\n((?:.+\n)+)", (root / "costume.toml").read_text())[1]


def lies_on_the_shin(words: str) -> None:
    body = neutral_body()
    said, whole = (parse_words(one, side="left") for one in (words, "along the front from knee to ankle"))
    ruler = ruler_of(whole.top.chain, "left", body.charts, body.level_heights)
    top, bottom = ruler.position(whole.top), ruler.position(whole.bottom)
    for end, share in ((said.top, SHARES[0]), (said.bottom, SHARES[-1])):
        assert (ruler.position(end) - top) / (bottom - top) == pytest.approx(share, abs=NEAR)
    assert abs((said.around - whole.around + 0.5) % 1.0 - 0.5) < FRONT
