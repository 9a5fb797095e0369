"""Pieces that are cut already, held against what would be cut now."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from layfigure.geometry.laid_on import farthest_apart, farthest_beyond, laid_on
from layfigure.piece.piece import Piece
from layfigure.piece.seam_allowance import cut_line

Points = NDArray[np.float64]
State = Literal["holds", "trim", "spoiled", "gone"]

HOLDS_WITHIN = 1.0
"""A piece that differs by no more than this is cut as well as hands cut [mm]. Common practice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CutPiece:
    """One piece as it was cut.

    outline : (n, 2) cut line, closed, first point not repeated [mm, to 0.01]. windows : name to the same.
    totals : what a tape reads on it [mm]. fingerprint : of all that was cut.
    """

    slug: str
    label: str
    cloth: str
    count: int
    edition: int
    outline: Points
    windows: Mapping[str, Points]
    totals: Mapping[str, float]

    @property
    def fingerprint(self) -> str:
        """A short name of what was cut: the same for the same outline, windows, totals, cloth and count."""
        shown = [self.cloth, str(self.count), _written(self.outline)]
        shown += [f"{name} {_written(line)}" for name, line in sorted(self.windows.items())]
        shown += [f"{what} {length:.2f}" for what, length in sorted(self.totals.items())]
        return hashlib.sha256("\n".join(shown).encode()).hexdigest()[:20]


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """How a cut piece stands to what would be cut now.

    state : ``holds``; ``trim``, too large only; ``spoiled``; ``gone``, no piece of the costume any more.
    differs : how far the two outlines are apart at most [mm], None where that says nothing. words : for the
    maker, without a size of the wearer's.
    """

    slug: str
    label: str
    state: State
    differs: float | None
    words: str


def cut_piece(piece: Piece) -> CutPiece:
    """The record of a piece that is cut now."""
    return CutPiece(
        slug=piece.slug,
        label=piece.label,
        cloth=piece.cloth,
        count=piece.count,
        edition=piece.edition,
        outline=np.round(cut_line(piece.edges), 2),
        windows={window.slug: np.round(window.curve, 2) for window in piece.windows},
        totals={total.what: round(total.length, 2) for total in piece.totals},
    )


def standing(cut: CutPiece, now: CutPiece | None) -> Standing:
    """How a cut piece stands to the piece as it would be cut now; None where the costume has it no more.

    Pieces are laid on each other as a maker would, turned and moved but never turned over; differences are
    read at every 2 mm of both outlines.
    """
    if now is None:
        return _stands(cut, "gone", None, "The costume has no such piece any more.")
    if now.cloth != cut.cloth:
        return _stands(
            cut, "spoiled", None, f"It is to be cut from {_spoken(now.cloth)}, and was cut from another."
        )
    if set(now.windows) != set(cut.windows):
        return _stands(cut, "spoiled", None, "It has other windows now.")
    if now.fingerprint == cut.fingerprint:
        return _stands(cut, "holds", 0.0, "It is as it was drawn.")
    turn, move = laid_on(cut.outline, now.outline)
    outline = cut.outline @ turn + move
    missing = farthest_beyond(now.outline, outline)
    over = farthest_beyond(outline, now.outline)
    windows = max(
        (farthest_apart(cut.windows[name] @ turn + move, now.windows[name]) for name in cut.windows),
        default=0.0,
    )
    differs = max(missing, over, windows)
    apart = f"{differs:.1f} mm"
    if differs <= HOLDS_WITHIN:
        if now.count > cut.count:
            return _stands(
                cut, "holds", differs, f"It holds, and {now.count - cut.count} more are to be cut."
            )
        return _stands(cut, "holds", differs, f"It holds: it differs by {apart} at most.")
    if missing <= HOLDS_WITHIN and windows <= HOLDS_WITHIN:
        return _stands(cut, "trim", differs, f"It is too large by {apart} at most: lay it on and trim it.")
    if missing <= HOLDS_WITHIN and over <= HOLDS_WITHIN:
        return _stands(cut, "spoiled", differs, f"Its windows lie elsewhere now, by {apart} at most.")
    return _stands(cut, "spoiled", differs, f"It is spoiled: the outline differs by {apart} at most.")


def _stands(cut: CutPiece, state: State, differs: float | None, words: str) -> Standing:
    return Standing(slug=cut.slug, label=cut.label, state=state, differs=differs, words=words)


def _spoken(cloth: str) -> str:
    return cloth.replace("_", " ") or "nothing"


def _written(line: Points) -> str:
    # Adding nought makes minus nought nought.
    return " ".join(f"{x:.2f},{y:.2f}" for x, y in np.round(line, 2) + 0.0)
