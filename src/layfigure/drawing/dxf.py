"""DXF with one block a piece, on the layer numbers of ASTM D6673 (numbers from memory, see docs/exchange.md).

Millimetres, y up. Identities are TEXT on layer 15, placed exactly on the line they name, so that a stranger
can walk every seam with nothing but this file.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from layfigure.drawing.dxf_file import DxfBlock, dxf_text
from layfigure.drawing.sheet import arrange, record
from layfigure.piece.draw import Heading
from layfigure.piece.ink import STYLES, Ink
from layfigure.piece.pen import Anchor, Facts
from layfigure.piece.piece import Piece

Points = NDArray[np.float64]

LAYERS: dict[Ink, str] = {
    "boundary": "1",
    "notch": "4",
    "fold": "6",
    "grain": "7",
    "balance": "8",
    "centre": "8",
    "trim": "8",
    "placement": "8",
    "slit": "8",
    "window": "11",
    "stitch": "14",
    "words": "15",
    "leader": "15",
}
"""Layer of every kind of line but ``cut``, which is the boundary without its folds, for paper.
A stitch line on the fold lies on 6, the mirror line."""

LAYER_NAMES = {
    "1": "piece boundary",
    "2": "turn points",
    "3": "curve points",
    "4": "notches",
    "6": "mirror line",
    "7": "grain line",
    "8": "internal lines",
    "11": "internal cutouts",
    "14": "sew lines",
    "15": "annotation text",
}
IDENTITIES = (
    ("notch", "edge", "seam"),
    ("edge", "seam", "runs", "role", "allowance", "cut", "eased"),
    ("window", "backing"),
    ("line", "label"),
)
"""Facts written beside a line, by the fact that says what it is."""

DASHED: tuple[Ink, ...] = ("stitch", "fold", "balance")
"""Kinds of line whose layer is dashed as they are."""

TURN = np.cos(np.radians(20.0))
"""A boundary vertex that bends more than 20 degrees is a turn point, any other a curve point."""


class DxfPen:
    """Writes pieces as blocks."""

    def __init__(self) -> None:
        self._block: DxfBlock | None = None

    @property
    def block(self) -> DxfBlock:
        """The block of the piece drawn last."""
        assert self._block is not None, "a line before begin_piece"
        return self._block

    def begin_piece(self, piece: Piece) -> None:
        """Open the piece's block and state what it is."""
        self._block = DxfBlock(piece.slug)
        west, south = piece.stitch_line.min(axis=0)
        for row, words in enumerate(
            (
                f"PIECE NAME: {piece.slug}",
                f"QUANTITY: {piece.count}",
                f"SIDE: {piece.side}",
                f"MATERIAL: {piece.cloth}",
                f"EDITION: {piece.edition}",
                "UNITS: METRIC",
            )
        ):
            self._write(words, (west, south - 8.0 * row), 0.5, 0.0)

    def line(self, ink: Ink, points: Points, *, closed: bool = False, facts: Facts | None = None) -> None:
        """Add a polyline on its layer, and its identity as text on its first point."""
        if ink not in LAYERS:
            return
        self.block.polyline(points, LAYERS[ink], closed=closed)
        if ink == "boundary":
            self._boundary_points(points)
        if facts:
            identity = identity_text(ink, facts)
            if identity:
                place = points[0]
                if ink == "notch":
                    place = np.array([float(part) for part in facts["at"].split()])
                self._write(identity, (float(place[0]), float(place[1])), 0.5, 0.0)

    def text(
        self,
        words: str,
        at: tuple[float, float],
        *,
        height: float,
        angle: float = 0.0,
        anchor: Anchor = "start",
    ) -> None:
        """Add words on layer 15, with plain commas: not every cutter knows letters beyond ASCII."""
        self._write(words.replace(" · ", ", "), at, height, angle, anchor)

    def end_piece(self) -> None:
        """Nothing to close."""

    def _write(
        self, words: str, at: tuple[float, float], height: float, angle: float, anchor: Anchor = "start"
    ) -> None:
        self.block.text(words, at, LAYERS["words"], height=height, angle=angle, middle=anchor == "middle")

    def _boundary_points(self, ring: Points) -> None:
        steps = np.roll(ring, -1, axis=0) - ring
        steps = steps / np.linalg.norm(steps, axis=1, keepdims=True)
        turns = np.einsum("ij,ij->i", steps, np.roll(steps, 1, axis=0)) < TURN
        self.block.points(ring, ["2" if turn else "3" for turn in turns.tolist()])


def identity_text(ink: Ink, facts: Facts) -> str:
    """What a line is, in one line of text: ``EDGE side; SEAM leg_side; RUNS along; ROLE seam; …``."""
    if ink == "notch" and facts.get("stroke") != "1":
        return ""
    for first, *others in IDENTITIES:
        if first in facts:
            return "; ".join(f"{key.upper()} {facts[key]}" for key in (first, *others) if key in facts)
    return ""


def dxf_of(pieces: Sequence[Piece], heading: Heading) -> str:
    """All pieces as one DXF document (text), blocks inserted side by side."""
    sheet = arrange([record(piece, heading) for piece in pieces])
    blocks = []
    for drawn, offset in sheet.placed:
        pen = DxfPen()
        drawn.play(pen)
        blocks.append((pen.block, offset))
    dashed = {LAYERS[ink]: ink.upper() for ink in DASHED}
    return dxf_text(
        blocks,
        layers={number: dashed.get(number, "CONTINUOUS") for number in LAYER_NAMES},
        dashes={ink.upper(): STYLES[ink].dash for ink in DASHED},
    )
