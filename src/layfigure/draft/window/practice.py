"""What a window asks of a material: how its edge is finished, and how much must be left beside it.

Common practice, no source, unless a line says otherwise: what leather workers, foam builders and tailors keep
to, put into numbers by us.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from layfigure.materials.cloth import Cloth, MaterialKind

Finish = Literal["raw", "folded", "faced", "bound", "bevelled"]


@dataclass(frozen=True, slots=True, kw_only=True)
class WindowPractice:
    """Rules of one material [mm].

    strip : least width of what is left beside a window. finish : the usual one. finishes : those it takes.
    corner : least radius of a corner, 0 where it may be sharp. sewn : what fills it is sewn in, not glued
    behind. why : what happens to a narrower strip.
    """

    strip: float
    finish: Finish
    finishes: tuple[Finish, ...]
    corner: float
    sewn: bool
    why: str


THICK = 3.0
"""Least strip of a sheet in its own thicknesses, where that is more."""

_PRACTICE: dict[MaterialKind, WindowPractice] = {
    "woven": WindowPractice(
        strip=20.0,
        finish="faced",
        finishes=("faced", "bound", "folded", "raw"),
        corner=0.0,
        sewn=True,
        why="its facing has no room and it frays through",
    ),
    "knit": WindowPractice(
        strip=15.0, finish="raw", finishes=("raw", "folded"), corner=0.0, sewn=True, why="it rolls up"
    ),
    "mesh": WindowPractice(
        strip=15.0, finish="raw", finishes=("raw", "folded"), corner=0.0, sewn=True, why="it rolls up"
    ),
    "leather": WindowPractice(
        strip=10.0,
        finish="raw",
        finishes=("raw", "folded"),
        corner=3.0,
        sewn=False,
        why="it stretches and tears",
    ),
    "foam": WindowPractice(
        strip=15.0, finish="raw", finishes=("raw", "bevelled"), corner=2.0, sewn=False, why="it tears"
    ),
    "thermoplastic": WindowPractice(
        strip=12.0,
        finish="raw",
        finishes=("raw", "bevelled"),
        corner=3.0,
        sewn=False,
        why="it cracks, or sags when it is warmed",
    ),
    "paper": WindowPractice(
        strip=10.0, finish="raw", finishes=("raw",), corner=0.0, sewn=False, why="it tears"
    ),
}


def window_practice(cloth: Cloth) -> WindowPractice:
    """Rules of a material; a thick sheet asks for wider strips."""
    return _PRACTICE[cloth.kind]


def least_strip(cloth: Cloth) -> float:
    """Least width of what is left of a material beside a window [mm]."""
    return max(_PRACTICE[cloth.kind].strip, THICK * cloth.thickness)
