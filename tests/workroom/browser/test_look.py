"""A picture dropped in, sixteen points set, a line traced: what the maker sees and what is on disk."""

import json
import re
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import APIResponse, CDPSession, Route, expect
from tests.workroom.browser.marking_front import BRINDLE, SIXTEEN, TRUTH, drop_front, saved, set_sixteen, spot


@pytest.fixture
def root(tmp_path: Path) -> Path:
    """A costume about which nothing is said yet but its belt."""
    folder = tmp_path / "new"
    folder.mkdir()
    (folder / "costume.toml").write_text(
        'format = 1\nname = "New"\n\n# Mine.\n[edges.belt]\n', encoding="utf-8"
    )
    return folder


def marks_on_disk(root: Path) -> Any:
    return json.loads((root / "marks.json").read_text(encoding="utf-8"))["pictures"][0]


def test_from_a_dropped_picture_to_a_line_and_how_sure_it_is(open_page: Any, root: Path) -> None:
    page = open_page("/look")
    drop_front(page)
    assert (root / "references/front.png").is_file()
    set_sixteen(page)
    saved(page)
    kept = marks_on_disk(root)["landmarks"]
    assert set(kept) == set(SIXTEEN)
    for name, place in kept.items():
        # A click lands within a screen pixel, and a screen pixel is two of the picture.
        assert place == pytest.approx(TRUTH["landmarks"][name], abs=2.5), name

    # The chosen mark is moved by keys, and the moves are one step to take back.
    page.get_by_role("button", name=re.compile("^Left knee, the middle")).click()
    page.locator("#easel").focus()
    for key in ("ArrowRight", "ArrowRight", "Shift+ArrowDown"):
        page.keyboard.press(key)
    page.wait_for_timeout(500)
    saved(page)
    moved = marks_on_disk(root)["landmarks"]["knee_left"]
    assert moved == pytest.approx([kept["knee_left"][0] + 2, kept["knee_left"][1] + 10])
    page.keyboard.press("Control+z")
    expect(page.locator("#saved")).to_contain_text("Took back: move left knee")
    assert marks_on_disk(root)["landmarks"]["knee_left"] == kept["knee_left"]
    page.keyboard.press("Control+Shift+z")
    expect(page.locator("#saved")).to_contain_text("Did again")
    assert marks_on_disk(root)["landmarks"]["knee_left"] == moved
    page.keyboard.press("Control+z")

    # A line is traced, and the page says how sure it is.
    page.get_by_role("button", name="Lines of the costume").click()
    page.select_option("#line", "belt")
    # Every second one: neighbours nearer than a pointer's reach would take hold of each other.
    traced = TRUTH["edges"]["belt"][0]["points"][::2]
    for place in traced:
        page.mouse.click(*spot(page, place))
    expect(page.locator("#list button")).to_have_count(len(traced))
    expect(page.locator("#sure-words")).to_contain_text(
        re.compile(r"Belt: sure to \d+ mm on a person 1\.65 m tall"), timeout=60_000
    )
    expect(page.locator("#sure-words")).to_contain_text("Helps most now: In the front picture, ")
    expect(page.locator("#figure")).to_be_enabled()
    # The click that helps most is shown where it is, with what it is called.
    helps = page.locator("#sure-words .row").inner_text()
    page.get_by_role("button", name="Show me where").click()
    part = re.search(r"outline of the (?:left |right )?(\w+)", helps)
    if part:
        expect(page.locator("#guide-title")).to_contain_text("The edge of the ")
    else:
        expect(page.locator("#guide .step")).to_have_count(1)
    expect(page.locator("#easel")).to_be_focused()
    assert "# Mine.\n[edges.belt]\n" in (root / "costume.toml").read_text(encoding="utf-8")


def test_cannot_see_it_and_later(open_page: Any, root: Path) -> None:
    page = open_page("/look")
    drop_front(page)
    page.get_by_role("button", name="Cannot see it").click()
    expect(page.locator("#guide-title")).to_have_text("Chin, its lowest point")
    saved(page)
    assert marks_on_disk(root)["landmarks"] == {"crown": None}
    page.get_by_role("button", name="Later").click()
    expect(page.locator("#guide-title")).to_have_text("Chest, left edge")
    # What cannot be seen may be asked for again.
    page.get_by_role("button", name=re.compile("cannot be seen")).click()
    expect(page.locator("#guide-title")).to_have_text("Top of the head")
    expect(page.get_by_text("No mark", exact=True)).to_have_count(0)


def test_keyboard_alone_sets_moves_and_takes_away(open_page: Any, root: Path) -> None:
    page = open_page("/look")
    drop_front(page)
    page.locator("#easel").focus()
    page.keyboard.press("Enter")
    saved(page)
    middle = marks_on_disk(root)["landmarks"]["crown"]
    assert middle == pytest.approx([TRUTH["size"][0] / 2, TRUTH["size"][1] / 2], abs=2)
    page.keyboard.press("ArrowUp")
    page.wait_for_timeout(500)
    saved(page)
    assert marks_on_disk(root)["landmarks"]["crown"][1] == pytest.approx(middle[1] - 1)
    page.keyboard.press("Delete")
    expect(page.locator("#list")).to_contain_text("Nothing yet.")
    expect(page.locator("#guide-title")).to_have_text("Top of the head")
    expect(page.locator("#undo")).to_have_attribute("title", re.compile("^Take back: take away"))
    assert marks_on_disk(root)["landmarks"] == {}


def test_a_bad_picture_is_refused_in_words(open_page: Any, root: Path, tmp_path: Path) -> None:
    page = open_page("/look")
    bad = tmp_path / "front.png"
    bad.write_bytes((BRINDLE / "references" / "front.png").read_bytes()[:20_000])
    page.set_input_files("#files", str(bad))
    page.get_by_role("button", name="Take it in").click()
    expect(page.locator(".dropped-one .bad")).to_contain_text("The picture cannot be opened.")
    assert not (root / "marks.json").exists()


def test_another_hand_on_the_file_is_shown_and_not_overwritten(open_page: Any, root: Path) -> None:
    page = open_page("/look")
    drop_front(page)
    page.mouse.click(*spot(page, TRUTH["landmarks"]["crown"]))
    saved(page)
    theirs = (root / "marks.json").read_text(encoding="utf-8").replace('"crown"', '"chin"')
    page.route("**/api/state", lambda route: route.abort())  # nobody has told the page yet
    (root / "marks.json").write_text(theirs, encoding="utf-8")
    page.mouse.click(*spot(page, TRUTH["landmarks"]["crotch"]))
    expect(page.locator("#conflict")).to_be_visible()
    assert (root / "marks.json").read_text(encoding="utf-8") == theirs
    page.unroute("**/api/state")
    page.get_by_role("button", name="Show what is there now").click()
    expect(page.locator("#list")).to_contain_text("Chin, its lowest point")
    expect(page.locator("#list button")).to_have_count(1)
    assert (root / "marks.json").read_text(encoding="utf-8") == theirs


def test_a_new_line_is_begun_by_name_and_one_is_said_in_words(open_page: Any, root: Path) -> None:
    page = open_page("/look")
    drop_front(page)
    page.get_by_role("button", name="Lines of the costume").click()
    page.get_by_text("A new line", exact=True).click()
    page.fill("#new-name", "Guard, top")
    page.select_option("#new-side", "left")
    page.fill("#new-words", "somewhere on the arm")
    expect(page.locator("#guide")).to_contain_text("is not a level of the body")
    page.fill("#new-words", "70 % from wrist to elbow")
    expect(page.locator("#guide")).to_contain_text("Right round the left forearm, ")
    page.get_by_role("button", name="Begin it").click()
    expect(page.locator("#guide-title")).to_have_text("Guard top")
    text = (root / "costume.toml").read_text(encoding="utf-8")
    assert '[edges.guard_top]\nwords = "70 % from wrist to elbow"\nside = "left"\n' in text


def test_on_a_small_screen_one_finger_sets_a_mark_and_nothing_is_cut_off(open_page: Any, root: Path) -> None:
    page = open_page("/look", width=360, height=740)
    drop_front(page)
    assert page.evaluate("document.documentElement.scrollWidth") <= 360
    page.locator("#easel").scroll_into_view_if_needed()
    x, y = spot(page, TRUTH["landmarks"]["crown"])
    fingers = page.context.new_cdp_session(page)
    touch(fingers, "touchStart", [(x + 30, y + 30)])
    touch(fingers, "touchMove", [(x + 15, y + 15)])
    touch(fingers, "touchMove", [(x, y)])
    touch(fingers, "touchEnd", [])
    saved(page)
    assert marks_on_disk(root)["landmarks"]["crown"] == pytest.approx(TRUTH["landmarks"]["crown"], abs=6)
    # Two fingers move the picture and set nothing.
    touch(fingers, "touchStart", [(x, y + 80)])
    touch(fingers, "touchStart", [(x, y + 80), (x + 60, y + 80)])
    for step in range(1, 6):
        touch(fingers, "touchMove", [(x - 8 * step, y + 80), (x + 60 + 8 * step, y + 80)])
    touch(fingers, "touchEnd", [])
    page.wait_for_timeout(300)
    assert set(marks_on_disk(root)["landmarks"]) == {"crown"}


def touch(fingers: CDPSession, kind: str, places: list[tuple[float, float]]) -> None:
    points = [{"x": x, "y": y, "id": number} for number, (x, y) in enumerate(places)]
    fingers.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})


def test_a_slow_reading_of_the_files_takes_no_mark_off_again(open_page: Any, root: Path) -> None:
    page = open_page("/look")
    drop_front(page)
    held: list[tuple[Route, APIResponse]] = []

    def hold(route: Route) -> None:
        if held:
            route.continue_()
        else:
            held.append((route, route.fetch()))

    # Another hand touches the costume; the page reads anew, and is answered late.
    page.route("**/api/marks?*", hold)
    with page.expect_request("**/api/marks?*"):
        (root / "costume.toml").write_text(
            (root / "costume.toml").read_text(encoding="utf-8") + "# More.\n", encoding="utf-8"
        )
    page.wait_for_timeout(300)
    page.mouse.click(*spot(page, TRUTH["landmarks"]["crown"]))
    saved(page)
    ((route, answer),) = held
    route.fulfill(response=answer)
    page.wait_for_timeout(500)
    expect(page.locator("#list")).to_contain_text("Top of the head")
    # Nor does the late answer make the next edit look like one of an older file.
    page.mouse.click(*spot(page, TRUTH["landmarks"]["chin"]))
    expect(page.locator("#guide-title")).to_have_text("Chest, left edge")
    expect(page.locator("#undo")).to_have_attribute("title", re.compile("chin"))
    assert set(marks_on_disk(root)["landmarks"]) == {"crown", "chin"}


def begin_a_line(page: Any, root: Path, *, closes: bool) -> list[Any]:
    """Three points of a line that was just begun, far apart; where they are on the screen."""
    page.get_by_role("button", name="Lines of the costume").click()
    page.get_by_text("A new line", exact=True).click()
    page.fill("#new-name", "Stripe")
    page.select_option("#new-side", "left")
    page.get_by_label("On the body it closes on itself").set_checked(closes)
    page.get_by_role("button", name="Begin it").click()
    expect(page.locator("#guide-title")).to_have_text("Stripe")
    marks = TRUTH["landmarks"]
    places = [marks["bust_left"], marks["hip_left"], marks["ankle_left"]]
    for place in places:
        page.mouse.click(*spot(page, place))
    expect(page.locator("#list button")).to_have_count(3)
    saved(page)
    return places


def stripe(root: Path) -> Any:
    (stretch,) = marks_on_disk(root)["edges"]["stripe"]
    return stretch["points"]


def between(a: Any, b: Any, share: float) -> list[float]:
    return [a[k] + share * (b[k] - a[k]) for k in (0, 1)]


def test_the_middle_of_a_line_is_dragged_to_put_a_point_there(open_page: Any, root: Path) -> None:
    page = open_page("/look")
    drop_front(page)
    begin_a_line(page, root, closes=False)
    before = stripe(root)
    at = between(before[1], before[2], 0.4)
    to = [at[0] + 40, at[1] + 10]
    x, y = spot(page, at)
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x + 8, y + 2)
    page.mouse.move(*spot(page, to))
    # Nothing is kept until it is let go, and the picture stays where it is.
    assert stripe(root) == before
    page.mouse.up()
    expect(page.locator("#list button")).to_have_count(4)
    saved(page)
    after = stripe(root)
    assert [after[0], after[1], after[3]] == before
    assert after[2] == pytest.approx(to, abs=2.5)
    # Put in and moved by one drag: one step to take back.
    page.keyboard.press("Control+z")
    expect(page.locator("#saved")).to_contain_text("Took back: put in stripe, point 3")
    expect(page.locator("#list button")).to_have_count(3)
    assert stripe(root) == before
    page.keyboard.press("Control+Shift+z")
    expect(page.locator("#saved")).to_contain_text("Did again")
    expect(page.locator("#list button")).to_have_count(4)
    assert stripe(root) == after
    # A point is dragged as ever, and off the line the picture is.
    x, y = spot(page, after[2])
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x - 20, y)
    page.mouse.up()
    saved(page)
    assert len(stripe(root)) == 4
    x, y = spot(page, between(after[0], after[1], 0.5))
    page.mouse.move(x + 60, y)
    page.mouse.down()
    page.mouse.move(x + 100, y + 30)
    page.mouse.up()
    page.wait_for_timeout(300)
    assert len(stripe(root)) == 4


def test_a_point_is_put_between_two_by_keyboard(open_page: Any, root: Path) -> None:
    page = open_page("/look")
    drop_front(page)
    begin_a_line(page, root, closes=False)
    before = stripe(root)
    page.get_by_role("button", name=re.compile("^Stripe, point 1")).focus()
    page.keyboard.press("Enter")
    page.locator("#put-between").focus()
    page.keyboard.press("Enter")
    expect(page.locator("#easel")).to_be_focused()
    expect(page.locator("#list button")).to_have_count(4)
    saved(page)
    middle = between(before[0], before[1], 0.5)
    assert stripe(root)[1] == pytest.approx(middle, abs=0.1)
    page.keyboard.press("Shift+ArrowRight")
    page.wait_for_timeout(500)
    saved(page)
    assert stripe(root)[1] == pytest.approx([middle[0] + 10, middle[1]], abs=0.1)
    page.keyboard.press("Insert")
    expect(page.locator("#list button")).to_have_count(5)
    expect(page.get_by_role("button", name=re.compile("^Stripe, point 3"))).to_have_attribute(
        "aria-pressed", "true"
    )
    # Nothing follows the last point of a line with two ends.
    page.get_by_role("button", name=re.compile("^Stripe, point 5")).click()
    expect(page.locator("#put-between")).to_be_disabled()
    page.get_by_label("Seen whole").check()
    expect(page.locator("#put-between")).to_be_enabled()


def test_a_finger_drags_a_point_out_of_a_line_and_a_second_one_takes_it_back(
    open_page: Any, root: Path
) -> None:
    page = open_page("/look", width=360, height=740)
    drop_front(page)
    begin_a_line(page, root, closes=False)
    before = stripe(root)
    page.locator("#easel").scroll_into_view_if_needed()
    fingers = page.context.new_cdp_session(page)
    x, y = spot(page, between(before[1], before[2], 0.5))
    touch(fingers, "touchStart", [(x, y)])
    touch(fingers, "touchMove", [(x + 12, y)])
    touch(fingers, "touchMove", [(x + 20, y)])
    touch(fingers, "touchStart", [(x + 20, y), (x + 60, y + 40)])
    touch(fingers, "touchEnd", [])
    page.wait_for_timeout(300)
    expect(page.locator("#list button")).to_have_count(3)
    assert stripe(root) == before
    page.locator("#whole").click()
    page.locator("#easel").scroll_into_view_if_needed()
    x, y = spot(page, between(before[1], before[2], 0.5))
    touch(fingers, "touchStart", [(x, y)])
    touch(fingers, "touchMove", [(x + 12, y)])
    touch(fingers, "touchMove", [(x + 20, y)])
    touch(fingers, "touchEnd", [])
    expect(page.locator("#list button")).to_have_count(4)
    saved(page)
    assert len(stripe(root)) == 4


def test_a_line_along_a_leg_is_traced_and_its_sureness_told(open_page: Any, root: Path) -> None:
    page = open_page("/look")
    drop_front(page)
    set_sixteen(page)
    saved(page)
    begin_a_line(page, root, closes=False)
    assert re.search(r"\[edges\.stripe\]\n(?:.+\n)*?closed = false", (root / "costume.toml").read_text())
    expect(page.locator("#sure-words")).to_contain_text(
        re.compile(r"Stripe, left: sure to \d+ mm|Stripe: sure to \d+ mm"), timeout=60_000
    )
