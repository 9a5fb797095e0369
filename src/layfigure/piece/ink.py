"""The lines of a pattern: what each means and how it looks, told apart by pattern and weight, not colour."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Ink = Literal[
    "boundary",
    "cut",
    "window",
    "slit",
    "stitch",
    "fold",
    "notch",
    "grain",
    "balance",
    "centre",
    "trim",
    "placement",
    "leader",
    "words",
]


@dataclass(frozen=True, slots=True, kw_only=True)
class Style:
    """Look of a line. width [mm]; dash : lengths on and off in turn [mm], empty for solid;
    meaning : what the legend says, empty where it needs no explaining.
    """

    width: float
    dash: tuple[float, ...] = ()
    meaning: str = ""


STYLES: dict[Ink, Style] = {
    # The whole outline of what is cut, closed: for machines. Paper shows it as cut lines and folds.
    "boundary": Style(width=0.0),
    "cut": Style(width=0.8, meaning="cut line, allowance included: cut here"),
    "window": Style(width=0.55, meaning="window: cut out"),
    "slit": Style(width=0.55, dash=(9.0, 1.2), meaning="slit: cut open, remove nothing"),
    "stitch": Style(width=0.35, dash=(4.0, 2.0), meaning="stitch line: edges meet here"),
    "fold": Style(
        width=0.5, dash=(12.0, 2.0, 2.0, 2.0, 2.0, 2.0), meaning="fold: lay on the fold, do not cut"
    ),
    "notch": Style(width=0.5, meaning="notch: meets the notch of the same name"),
    "grain": Style(width=0.4, meaning="arrow: along the grain, or the greatest stretch"),
    "balance": Style(width=0.25, dash=(8.0, 1.5, 0.6, 1.5), meaning="balance line: level when worn"),
    "centre": Style(width=0.25, dash=(14.0, 2.0, 4.0, 2.0), meaning="centre line"),
    "trim": Style(width=0.3, dash=(1.6, 1.6), meaning="trim away after sewing"),
    "placement": Style(width=0.4, dash=(0.6, 1.8), meaning="placement: something is set here"),
    "leader": Style(width=0.18),
    "words": Style(width=0.0),
}
"""How every line is drawn, on every medium that has line styles."""
