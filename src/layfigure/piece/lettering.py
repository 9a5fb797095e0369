"""How much room words take, before any medium has drawn them.

Deliberately generous: a label that fits by this reckoning fits in the embedded font and in most
engraving fonts of cutters and plotters.
"""

from __future__ import annotations

import unicodedata

CAPITAL = 0.714
"""Height of a capital as a share of the type size, as in the embedded font."""

DESCENT = 0.30
"""How far letters hang below the baseline, as a share of the height of a capital."""

LEADING = 1.75
"""Distance from line to line, as a share of the height of a capital."""

_NARROW = frozenset("iljtfrI.,:;'’|!()[] ·-/")
_WIDE = frozenset("mwMW@%—…")


def text_width(words: str, height: float) -> float:
    """Width of a line of words whose capitals are ``height`` high [mm]."""
    shares = 0.0
    for letter in words:
        if unicodedata.combining(letter):
            continue
        if letter in _NARROW:
            shares += 0.42
        elif letter in _WIDE or unicodedata.east_asian_width(letter) in "WF":
            shares += 1.02
        elif letter.isupper():
            shares += 0.75
        else:
            shares += 0.64
    return shares * height / CAPITAL
