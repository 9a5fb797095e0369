"""The hand test of stretch: a strip of cloth, pulled until more effort is needed, beside a ruler."""

from __future__ import annotations

import re

from layfigure.errors import UnitError
from layfigure.units import parse_length, parse_share

_PULLED = re.compile(r"(.+?)\s+(?:stretches|stretched|pulls|goes)?\s*to\s+(.+)")
_GREATEST = 3.0


def stretch_of(rest: float, stretched: float) -> float:
    """Stretch as a share of the rest length, from both lengths of the strip [mm].

    10 cm to 16 cm is 0.6. Raises UnitError when the strip grew shorter or more than fourfold. Source: the
    usual hand test; 4 in to 5 in is 25 %, 4 to 10 is 150 %.
    """
    if rest <= 0.0 or stretched < rest:
        raise UnitError(
            "a pulled strip cannot be shorter than at rest.", advice="Write rest first, then pulled."
        )
    stretch = round(stretched / rest - 1.0, 9)
    if stretch > _GREATEST:
        raise UnitError("no cloth stretches to four times its length.", advice="Check both lengths.")
    return stretch


def parse_stretch(text: str) -> tuple[float, bool]:
    """Stretch as a share, and whether a strip was pulled, from ``10 cm stretches to 16 cm`` or ``60 %``.

    Raises UnitError for anything else.
    """
    if not isinstance(text, str):
        raise UnitError("stretch needs quotes.", advice="Write '60 %' or '10 cm stretches to 16 cm'.")
    pulled = _PULLED.fullmatch(text.strip().lower())
    if pulled:
        return stretch_of(parse_length(pulled[1]), parse_length(pulled[2])), True
    share = parse_share(text)
    if not 0.0 <= share <= _GREATEST:
        raise UnitError(f"stretch {text!r} is not one of a cloth.", advice="Write '60 %' for 10 cm to 16 cm.")
    return share, False
