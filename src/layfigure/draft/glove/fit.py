"""What cloth and construction ask of a glove."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class GloveFit:
    """What cloth and construction ask.

    round, along : added to girths and to lengths of digits, as shares, negative for a cloth that stretches.
    beneath : worn under the glove, added all round [mm]. slot : width between neighbouring fingers [mm].
    strips : set between the fingers. fan : from one finger to the next [degrees].
    at_web : without strips, stretch that the cloth may take where fingers begin, as a share.
    thumb_in_outline : the thumb is part of the outline, not set in.
    """

    round: float
    along: float
    beneath: float
    slot: float
    strips: bool
    fan: float
    at_web: float
    thumb_in_outline: bool
