"""The demonstration's front picture, dropped in and marked as a maker does."""

from __future__ import annotations

import json
from pathlib import Path

from playwright.sync_api import Page, expect

BRINDLE = Path(__file__).parents[3] / "examples" / "brindle"
TRUTH = json.loads((BRINDLE / "marks.json").read_text(encoding="utf-8"))["pictures"][0]
SIXTEEN = (
    "crown", "chin", "bust_left", "bust_right", "waist_left", "waist_right", "hip_left", "hip_right",
    "crotch", "elbow_left", "wrist_left", "wrist_right", "knee_left", "knee_right", "ankle_left",
    "ankle_right",
)  # fmt: skip


def spot(page: Page, place: list[float]) -> tuple[float, float]:
    """Where a place of the picture is on the screen, while the whole of it is shown."""
    box = page.locator("#easel").bounding_box()
    assert box is not None
    width, height = TRUTH["size"]
    scale = min((box["width"] - 16) / width, (box["height"] - 16) / height)
    left, top = (box["width"] - width * scale) / 2, (box["height"] - height * scale) / 2
    return box["x"] + left + place[0] * scale, box["y"] + top + place[1] * scale


def saved(page: Page) -> None:
    expect(page.locator("#saved")).to_have_text("Saved")


def drop_front(page: Page) -> None:
    page.set_input_files("#files", str(BRINDLE / "references" / "front.png"))
    expect(page.get_by_label("The front", exact=True)).to_be_checked()
    page.get_by_role("button", name="Take it in").click()
    page.wait_for_url("**/look/front")
    expect(page.locator("#guide-title")).to_have_text("Top of the head")


def set_sixteen(page: Page) -> None:
    for name in SIXTEEN:
        before = page.locator("#guide-title").inner_text()
        page.mouse.click(*spot(page, TRUTH["landmarks"][name]))
        expect(page.locator("#guide-title")).not_to_have_text(before)
