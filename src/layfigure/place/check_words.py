"""Tape checks in the words of a card: those of the same kind on one line, and how sure they are."""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil
from typing import Literal

from layfigure.place.placement import TapeCheck
from layfigure.units import format_length

Unit = Literal["cm", "in"]


def check_lines(checks: Sequence[TapeCheck], unit: Unit) -> list[str]:
    """Tape checks in plain words, those of the same kind on one line.

    ``down from the waist: front 8.6 cm, left side 7.9 cm``; what lies on a level has no length to read.
    """
    kinds: dict[str, list[str]] = {}
    for check in checks:
        place, colon, kind = check.what.partition(": ")
        length = "" if kind.startswith("on the ") else format_length(check.length, unit, denominator=8)
        reading = f"{place} {length}".rstrip() if colon else length
        kinds.setdefault(kind if colon else check.what, []).append(reading)
    return [f"{kind}: {', '.join(readings)}" for kind, readings in kinds.items()]


def sureness(checks: Sequence[TapeCheck], unit: Unit) -> str:
    """``sure to 8 mm``: two standard deviations of the least sure check; empty where there is no doubt."""
    doubt = 2.0 * max((check.spread for check in checks), default=0.0)
    if doubt < 0.5:
        return ""
    if unit == "in":
        return f"sure to {format_length(25.4 * ceil(doubt / 25.4 * 8) / 8, 'in')}"
    return f"sure to {ceil(doubt)} mm"
