"""The colours of a costume's folder, judged where its maker described any."""

from __future__ import annotations

from pathlib import Path

from layfigure.colour.colours import COLOURS_FILE
from layfigure.colour.words import ColourSection


def costume_colours(root: Path) -> ColourSection | None:
    """What is said of them, None where there is no ``colours.toml``. Raises FileError for a slip in it."""
    if not (root / COLOURS_FILE).is_file():
        return None
    from layfigure.colour.judge import judge_folder
    from layfigure.colour.words import colour_section

    return colour_section(judge_folder(root))
