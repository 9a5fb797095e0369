"""DXF with one block a piece, on the layer numbers of ASTM D6673 (numbers from memory, see docs/exchange.md).

Millimetres, y up. Identities are TEXT on layer 15, placed exactly on the line they name, so that a stranger
can walk every seam with nothing but this file.
"""

from __future__ import annotations

import io
from collections.abc import Sequence

import numpy as np
from ezdxf import options  # type: ignore[attr-defined]  # documented there, not in __all__
from ezdxf.document import Drawing
from ezdxf.enums import TextEntityAlignment
from ezdxf.filemanagement import new
from ezdxf.layouts.blocklayout import BlockLayout
from numpy.typing import NDArray

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
    ("edge", "seam", "runs", "role", "allowance", "cut"),
    ("window", "backing"),
    ("line", "label"),
)
"""Facts written beside a line, by the fact that says what it is."""

TURN = np.cos(np.radians(20.0))
"""A boundary vertex that bends more than 20 degrees is a turn point, any other a curve point."""


class DxfPen:
    """Writes pieces as blocks of one drawing."""

    def __init__(self, document: Drawing) -> None:
        self.document = document
        self._block: BlockLayout | None = None

    @property
    def block(self) -> BlockLayout:
        """The block of the piece now being drawn."""
        assert self._block is not None, "a line outside begin_piece and end_piece"
        return self._block

    def begin_piece(self, piece: Piece) -> None:
        """Open the piece's block and state what it is."""
        self._block = self.document.blocks.new(name=piece.slug)
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
        attributes = {"layer": LAYERS[ink]}
        self.block.add_polyline2d(points.tolist(), close=closed, dxfattribs=attributes)
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
        """Add words on layer 15."""
        self._write(words, at, height, angle, anchor)

    def end_piece(self) -> None:
        """Close the block."""
        self._block = None

    def _write(
        self, words: str, at: tuple[float, float], height: float, angle: float, anchor: Anchor = "start"
    ) -> None:
        entity = self.block.add_text(
            words, height=height, rotation=angle, dxfattribs={"layer": LAYERS["words"]}
        )
        middle = anchor == "middle"
        entity.set_placement(at, align=TextEntityAlignment.CENTER if middle else TextEntityAlignment.LEFT)

    def _boundary_points(self, ring: Points) -> None:
        steps = np.roll(ring, -1, axis=0) - ring
        steps = steps / np.linalg.norm(steps, axis=1, keepdims=True)
        turns = np.einsum("ij,ij->i", steps, np.roll(steps, 1, axis=0)) < TURN
        for point, turn in zip(ring.tolist(), turns.tolist(), strict=True):
            self.block.add_point(point, dxfattribs={"layer": "2" if turn else "3"})


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
    # Fixed dates and identifiers: the same pieces give the same file, byte for byte.
    before = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True
    try:
        stream = io.StringIO()
        _document(pieces, heading).write(stream)
        return stream.getvalue()
    finally:
        options.write_fixed_meta_data_for_testing = before


def _document(pieces: Sequence[Piece], heading: Heading) -> Drawing:
    document = new("R2010", units=4)
    document.header["$MEASUREMENT"] = 1
    document.header["$LTSCALE"] = 1.0
    for number, meaning in LAYER_NAMES.items():
        document.layers.add(number).description = meaning
    dashed: tuple[Ink, ...] = ("stitch", "fold", "balance")
    for ink in dashed:
        document.layers.get(LAYERS[ink]).dxf.linetype = _linetype(document, ink)
    pen = DxfPen(document)
    sheet = arrange([record(piece, heading) for piece in pieces])
    space = document.modelspace()
    for drawn, offset in sheet.placed:
        drawn.play(pen)
        assert drawn.piece is not None
        space.add_blockref(drawn.piece.slug, offset)
    return document


def _linetype(document: Drawing, ink: Ink) -> str:
    dash = STYLES[ink].dash
    pattern = [sum(dash)] + [length if i % 2 == 0 else -length for i, length in enumerate(dash)]
    name = ink.upper()
    document.linetypes.add(name, pattern, description=STYLES[ink].meaning)
    return name
