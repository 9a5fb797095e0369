"""Both whole ways through the work, as a maker goes: one piece from three tapes, a costume from a picture."""

from __future__ import annotations

import io
import re
import tomllib
from collections.abc import Callable
from pathlib import Path

import pikepdf
import pypdfium2
import pytest
from playwright.sync_api import Page, expect
from tests.workroom.browser.marking_front import TRUTH, drop_front, saved, set_sixteen, spot

from layfigure.body.measures import CATALOGUE
from layfigure.body.prior import estimate

Opening = Callable[..., Page]
SLOW = 150_000
STATURE = 1680.0
expect.set_options(timeout=SLOW)


@pytest.fixture
def root(tmp_path: Path) -> Path:
    """A costume about which nothing is said."""
    folder = tmp_path / "new"
    folder.mkdir()
    (folder / "costume.toml").write_text('format = 1\nname = "New"\n', encoding="utf-8")
    return folder


def printed(page: Page, link: str) -> bytes:
    """The bytes of the file that a link opens."""
    address = page.locator(link).get_attribute("href")
    answer = page.request.get("/".join(page.url.split("/")[:3]) + str(address))
    assert answer.ok
    return answer.body()


def test_one_piece_from_three_tapes_to_a_pattern_that_opens(open_page: Opening) -> None:
    page = open_page("/")
    page.locator("#way-piece").click()
    expect(page.locator("#kind option").first).to_be_attached(timeout=SLOW)
    page.get_by_label("Which piece").select_option("forearm_guard")
    for tape, size in (("Wrist girth", "16 cm"), ("Forearm girth", "26 cm"), ("Forearm length", "24 cm")):
        page.get_by_label(tape).fill(size)
    expect(page.locator("#sheets")).to_contain_text(re.compile(r"Prints on \d+ sheets?"), timeout=SLOW)
    said = int(re.findall(r"\d+", page.locator("#sheets").inner_text())[0])
    page.get_by_role("button", name="Make the pattern").click()
    expect(page.get_by_role("link", name="Open the pattern to print")).to_be_visible(timeout=SLOW)
    with pypdfium2.PdfDocument(io.BytesIO(printed(page, "#ready-files a[href$='.pdf']"))) as document:
        assert len(document) == said
        assert document[said - 1].render(scale=0.5).to_numpy().min() < 128


def trace_a_window(page: Page, root: Path) -> None:
    page.get_by_role("button", name="Lines of the costume").click()
    page.get_by_label("What do you call it?").fill("Lens")
    page.get_by_role("button", name="Begin it").click()
    expect(page.locator("#guide-title")).to_have_text("Lens")
    # Nearer, or its points would lie within a pointer's reach of each other.
    whole = TRUTH["edges"]["window_1"][0]["points"]
    for place in whole[::2]:
        page.mouse.click(*spot(page, place))
    expect(page.locator("#list button")).to_have_count(len(whole[::2]))
    page.get_by_label("Seen whole: it runs back to its first point").check()
    saved(page)
    assert "[edges.lens]" in (root / "costume.toml").read_text()
    expect(page.locator("#sure-words")).to_contain_text(re.compile(r"Lens: sure to \d+ mm"), timeout=SLOW)
    # The figure that was fitted lies over the picture as soon as there is one.
    expect(page.locator("#figure")).to_have_attribute("aria-pressed", "true")


def measure_somebody(page: Page, root: Path) -> None:
    page.get_by_role("link", name="Measure", exact=True).click()
    page.get_by_label("Name").fill("Ada")
    page.get_by_role("button", name="Begin to measure").click()
    guessed = estimate({"stature": STATURE}, "woman")
    for taken in range(1, 5):
        expect(page.locator("#readings input").first).to_be_visible(timeout=SLOW)
        title = page.locator("#measure-title").inner_text()
        name = title.lower().replace(" ", "_")
        size = STATURE if name == "stature" else guessed[CATALOGUE[name].sided()[0]].value
        page.locator("#readings input").first.fill(f"{size / 10:.1f}")
        page.locator("#keep").click()
        if taken < 4:
            expect(page.locator("#measure-title")).not_to_have_text(title, timeout=SLOW)
    # Nothing more is asked for: the last one stays, taken.
    expect(page.locator("#take-away")).to_be_visible(timeout=SLOW)
    expect(page.locator("#body canvas, #body img")).to_be_visible(timeout=SLOW)
    kept = tomllib.loads((root / "wearers/ada.toml").read_text())["measures"]
    assert len(kept) == 4
    assert "stature" in kept


def add_a_knit_with_a_window(page: Page, root: Path) -> None:
    page.get_by_role("link", name="Costume", exact=True).click()
    expect(page.locator("#add")).to_be_enabled(timeout=SLOW)
    page.locator("#add").click()
    page.locator("input[name=kind][value=knit]").check()
    page.locator("#adding-label").fill("Suit")
    page.locator("#adding-cloth").select_option("nylon_elastane_tricot")
    page.locator("#adding-options-garment").select_option("bodysuit")
    page.locator("#adding-done").click()
    expect(page.locator("#open-suit")).to_be_focused(timeout=SLOW)
    page.locator(".piece-form summary", has_text="Windows").click()
    # A backing without a window is answered at its field.
    page.locator("#piece-suit-backing").select_option("power_mesh")
    expect(page.locator("#piece-suit-backing-trouble")).to_contain_text("it names none", timeout=SLOW)
    page.locator(".piece-form details[open] summary", has_text="Add one").first.click()
    page.locator("#piece-suit-new-windows-0").select_option("lens")
    page.locator("#piece-suit-windows-0-add").click()
    expect(page.locator("#piece-suit-windows-0")).to_have_value("lens", timeout=SLOW)
    page.locator("#piece-suit-backing").select_option("power_mesh")
    saved(page)
    (piece,) = tomllib.loads((root / "costume.toml").read_text())["pieces"]
    assert (piece["windows"], piece["backing"]) == (["lens"], "power_mesh")
    # Both bodies carry the window.
    expect(page.locator(".panels .body-canvas")).to_have_count(2, timeout=SLOW)


def print_its_front(page: Page) -> None:
    page.get_by_role("link", name="Cut", exact=True).click()
    expect(page.locator("#drawing svg")).to_be_visible(timeout=SLOW)
    page.locator("#search").fill("suit front")
    page.locator("#shelf-list button").first.click()
    expect(page.locator("#drawing svg g.window").first).to_be_attached(timeout=SLOW)
    page.locator("#print-one").click()
    expect(page.locator("#paper-count")).to_have_text(re.compile(r"^\d+ sheets? in all"), timeout=SLOW)
    said = int(page.locator("#paper-count").inner_text().split()[0])
    page.locator("#paper-make").click()
    expect(page.locator("#paper-file")).to_be_visible(timeout=SLOW)
    content = printed(page, "#paper-file")
    with pypdfium2.PdfDocument(io.BytesIO(content)) as document:
        assert len(document) == said
    with pikepdf.open(io.BytesIO(content)) as pdf:
        layers = {str(group.Name) for group in pdf.Root.OCProperties.OCGs}
    # Windows are cut, and so lie with the cut lines.
    assert layers == {
        "Cut lines and allowances",
        "Stitch lines and notches",
        "Balance lines and grain",
        "Words",
    }


def test_a_costume_from_a_picture_to_a_pattern_with_its_layers(open_page: Opening, root: Path) -> None:
    page = open_page("/")
    page.set_default_timeout(SLOW)
    page.get_by_role("link", name="A costume").click()
    page.wait_for_url("**/look", wait_until="load")
    drop_front(page)
    set_sixteen(page)
    saved(page)
    trace_a_window(page, root)
    measure_somebody(page, root)
    add_a_knit_with_a_window(page, root)
    print_its_front(page)
