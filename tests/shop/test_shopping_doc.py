"""The file of money on the page is read as told."""

import re
from pathlib import Path

from layfigure.shop.money_file import parse_money

PAGE = (Path(__file__).parents[2] / "docs/shopping.md").read_text(encoding="utf-8")


def test_the_file_of_money_reads_as_told() -> None:
    (text,) = re.findall(r"```toml money\n(.*?)```", PAGE, re.DOTALL)
    money = parse_money(text)
    assert (money.budget, money.rate, money.beginner) == (250.0, 12.0, False)
    assert money.pieces["helm"].hours == (25.0, 50.0)
    assert money.pieces["helm"].buy == 280.0
    assert money.pace["foam"] == 0.8
