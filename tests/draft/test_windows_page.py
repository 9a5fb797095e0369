"""The page on windows lists every kind and every material that takes them, and no other."""

from __future__ import annotations

import re
from pathlib import Path

from layfigure.draft.registry import known_kinds
from layfigure.draft.window.practice import _PRACTICE, THICK

PAGE = (Path(__file__).parents[2] / "docs" / "windows.md").read_text(encoding="utf-8")


def table(heading: str) -> list[list[str]]:
    part = PAGE.split(f"## {heading}\n")[1].split("\n## ")[0]
    rows = [line for line in part.splitlines() if line.startswith("| ")]
    return [[cell.strip() for cell in row.strip("|").split("|")] for row in rows[2:]]


def test_every_kind_that_takes_windows_is_on_the_page() -> None:
    named = {row[0].strip("`") for row in table("What takes windows")}
    assert named == {name for name, kind in known_kinds().items() if kind.windows}


def test_every_material_stands_there_with_its_edges_strip_and_corners() -> None:
    rows = {kind: row for row in table("By the rules of the material") for kind in row[0].split(", ")}
    assert set(rows) == set(_PRACTICE)
    assert THICK == 3.0
    for kind, practice in _PRACTICE.items():
        _, edges, strip, corners = rows[kind]
        assert tuple(re.findall(r"`(\w+)`", edges)) == practice.finishes
        assert practice.finishes[0] == practice.finish
        assert float(strip.split()[0]) == practice.strip
        if practice.corner:
            assert f"rounded to {practice.corner:g} mm" in corners
