"""Lengths inside sentences, in the unit that the maker reads.

Stages write what they say in millimetres and centimetres, as they compute. Somebody whose tape has inches
reads the same sentence in inches: ``overlap its ends 12 mm`` becomes ``overlap its ends 1/2 in``.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable
from typing import Literal

from layfigure.units import INCH, LENGTHS, LengthUnit, format_length

_NUMBER = r"\d+(?:\.\d+)?"
_LENGTH = re.compile(
    rf"(?<![\w.,/])(?P<numbers>{_NUMBER}(?:(?: x | × | by | to |–){_NUMBER})*) (?P<unit>mm|cm)\b"
    r"(?![²³]|/| \([^()]* in\))"
)
"""One number or several, of one unit. What says the inches itself, ``10 cm (4 in)``, stays as it is."""

FINE = 0.25 * INCH
"""Below this a sixteenth of an inch is coarse [mm]."""
LEAST = 0.75
"""No fraction that a tape shows is as small [mm]."""


def unit_typed(sizes: Iterable[str]) -> Literal["cm", "in"]:
    """The unit of somebody who typed these: inches where any of them is in feet or inches."""
    return "in" if any(mark in size for size in sizes for mark in ("in", "ft", '"', "″", "”")) else "cm"


def told_in(unit: LengthUnit, words: str, keep: Collection[str] = ()) -> str:
    """A sentence with its lengths in inches where the unit is ``in``, by sixteenths, below a quarter inch
    by thirty-seconds; else as it is.

    keep : words that stay as they are, such as the name of a material ("foam, 5 mm").
    """
    if unit != "in" or not _LENGTH.search(words):
        return words
    if not keep:
        return _LENGTH.sub(_in_inches, words)
    longest_first = sorted(keep, key=len, reverse=True)
    parts = re.split(f"({'|'.join(re.escape(name) for name in longest_first)})", words)
    return "".join(part if k % 2 else _LENGTH.sub(_in_inches, part) for k, part in enumerate(parts))


def _in_inches(found: re.Match[str]) -> str:
    sizes = [float(number) * LENGTHS[found["unit"]] for number in re.findall(_NUMBER, found["numbers"])]
    if any(0.0 < size < LEAST for size in sizes):
        return found[0]
    told = [format_length(size, "in", denominator=32 if size < FINE else 16) for size in sizes]
    between = re.split(_NUMBER, found["numbers"])[1:-1]
    ends = [*(told_one.removesuffix(" in") for told_one in told[:-1]), told[-1]]
    return "".join(one + joint for one, joint in zip(ends, [*between, ""], strict=True))
