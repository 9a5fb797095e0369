"""Names as files write them, made from what a maker calls a thing."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Collection


def plain_name(called: str) -> str:
    """Small letters, digits and single underscores; empty where nothing of the name can be written."""
    plain = unicodedata.normalize("NFKD", called).encode("ascii", "ignore").decode().lower()
    return re.sub(r"[^a-z0-9]+", "_", plain).strip("_")


LONGEST = 60
"""Of a name in the files; a number may have to fit on."""


def free_name(called: str, taken: Collection[str] = (), *, otherwise: str) -> str:
    """A name for a new thing: ``Top of the guard`` is ``top_of_the_guard``; numbered where it is taken.

    otherwise : what it is called, or begins with, where its own does not begin with a letter.
    """
    name = plain_name(called)[: LONGEST - 4].strip("_")
    if not name or not name[0].isalpha():
        name = f"{otherwise}_{name}".strip("_")[: LONGEST - 4]
    return numbered(name, taken)


def numbered(name: str, taken: Collection[str]) -> str:
    """The name itself, or with the first number from 2 that nothing has."""
    own, number = name, 2
    while own in taken:
        own, number = f"{name}_{number}", number + 1
    return own
