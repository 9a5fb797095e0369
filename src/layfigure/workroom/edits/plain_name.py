"""Names as files write them, made from what a maker calls a thing."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Collection


def plain_name(called: str) -> str:
    """Small letters, digits and single underscores; empty where nothing of the name can be written."""
    plain = unicodedata.normalize("NFKD", called).encode("ascii", "ignore").decode().lower()
    return re.sub(r"[^a-z0-9]+", "_", plain).strip("_")


def numbered(name: str, taken: Collection[str]) -> str:
    """The name itself, or with the first number from 2 that nothing has."""
    own, number = name, 2
    while own in taken:
        own, number = f"{name}_{number}", number + 1
    return own
