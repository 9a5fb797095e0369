"""Every page by axe-core, light and dark, wide and narrow: nothing serious, nothing critical."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect
from tests.workroom.browser.usable import serious_troubles

from layfigure.pipeline.new_costume import start_costume
from layfigure.workroom.pages import MOMENTS


@pytest.fixture
def root(tmp_path: Path) -> Path:
    """A costume of one piece: its pages are soon done with their work."""
    start_costume(tmp_path / "costume")
    return tmp_path / "costume"


@pytest.mark.parametrize(
    ("width", "dark"), [(1280, False), (360, True)], ids=["wide and light", "narrow and dark"]
)
@pytest.mark.parametrize("path", [*(address for _, address, _ in MOMENTS), "/measure/me", "/cut/me"])
def test_a_page_is_usable_by_everybody(
    open_page: Callable[..., Page], path: str, width: int, dark: bool
) -> None:
    page = open_page(path, width=width, dark=dark)
    expect(page.locator("main .working:visible")).to_have_count(0, timeout=60_000)
    assert not serious_troubles(page)
    assert page.evaluate("document.documentElement.scrollWidth") <= width


def test_the_check_can_fail(open_page: Callable[..., Page]) -> None:
    page = open_page("/")
    page.evaluate("document.querySelector('main').append(document.createElement('input'))")
    assert serious_troubles(page)
