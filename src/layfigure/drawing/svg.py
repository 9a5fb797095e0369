"""SVG in millimetres, with a named group for every piece and every kind of line.

Coordinates are written in place, without transforms, so that any reader gets millimetres; y runs down,
as SVG has it. What each line is stands in ``data-`` attributes: see docs/exchange.md.
"""

from __future__ import annotations

from collections.abc import Sequence
from xml.sax.saxutils import escape, quoteattr

import numpy as np
from numpy.typing import NDArray

from layfigure.drawing.sheet import Sheet, arrange, record
from layfigure.piece.draw import Heading
from layfigure.piece.ink import STYLES, Ink
from layfigure.piece.lettering import CAPITAL
from layfigure.piece.pen import Anchor, Facts
from layfigure.piece.piece import Piece

Points = NDArray[np.float64]

INK_ORDER: tuple[Ink, ...] = tuple(STYLES)


class SvgPen:
    """Collects pieces as SVG groups. left, top : sheet coordinates of the picture's corner [mm]."""

    def __init__(self, left: float, top: float) -> None:
        self._corner = np.array([left, top])
        self._groups: dict[Ink, list[str]] = {}
        self._slug = ""
        self.body: list[str] = []

    def begin_piece(self, piece: Piece) -> None:
        """Open the piece's group."""
        self._groups = {}
        self._slug = piece.slug
        facts = {
            "piece": piece.slug,
            "label": piece.label,
            "kind": piece.kind,
            "side": piece.side,
            "count": str(piece.count),
            "cloth": piece.cloth,
            "layer": str(piece.layer),
            "edition": str(piece.edition),
        }
        self.body.append(f'<g id={quoteattr(piece.slug)} class="piece"{_data(facts)}>')

    def line(self, ink: Ink, points: Points, *, closed: bool = False, facts: Facts | None = None) -> None:
        """Add a path to the group of its kind."""
        placed = (points - self._corner) * [1.0, -1.0]
        steps = " ".join(f"{x:.3f},{y:.3f}" for x, y in (placed + 0.0).tolist())
        path = f"M {steps}{' Z' if closed else ''}"
        self._groups.setdefault(ink, []).append(f'<path d="{path}"{_data(facts or {})}/>')

    def text(
        self,
        words: str,
        at: tuple[float, float],
        *,
        height: float,
        angle: float = 0.0,
        anchor: Anchor = "start",
    ) -> None:
        """Add words to the group of words."""
        x, y = (np.array(at) - self._corner) * [1.0, -1.0]
        turned = f' transform="rotate({-angle:.2f} {x:.3f} {y:.3f})"' if abs(angle) > 0.005 else ""
        middle = ' text-anchor="middle"' if anchor == "middle" else ""
        self._groups.setdefault("words", []).append(
            f'<text x="{x:.3f}" y="{y:.3f}" font-size="{height / CAPITAL:.3f}"{middle}{turned}>'
            f"{escape(words)}</text>"
        )

    def end_piece(self) -> None:
        """Close the piece's group, its lines sorted by kind."""
        for ink in INK_ORDER:
            if ink in self._groups:
                name = quoteattr(f"{self._slug}-{ink}")
                self.body.append(f'<g id={name} class="{ink}">')
                self.body.extend(self._groups[ink])
                self.body.append("</g>")
        self.body.append("</g>")


def svg_of(pieces: Sequence[Piece], heading: Heading) -> str:
    """All pieces on one sheet, side by side, as an SVG document in millimetres."""
    return svg_of_sheet(arrange([record(piece, heading) for piece in pieces]), heading)


def svg_of_sheet(sheet: Sheet, heading: Heading) -> str:
    """A sheet of drawn pieces as an SVG document."""
    pen = SvgPen(0.0, sheet.height)
    for drawn, offset in sheet.placed:
        drawn.play(pen, offset)
    styles = "\n".join(f".{ink} path {{ {_css(ink)} }}" for ink in INK_ORDER if ink != "words")
    space = 'xmlns="http://www.w3.org/2000/svg"'
    width, height = f"{sheet.width:.3f}", f"{sheet.height:.3f}"
    return "\n".join(
        [
            '<?xml version="1.0" encoding="UTF-8"?>',
            f'<svg {space} width="{width}mm" height="{height}mm" viewBox="0 0 {width} {height}">',
            f"<title>{escape(heading.costume)}</title>",
            "<desc>Sewing pieces in millimetres; lines are described by data- attributes.</desc>",
            "<style>",
            "path { fill: none; stroke: black; stroke-linejoin: round; }",
            styles,
            'text { font-family: "Noto Sans", sans-serif; fill: black; }',
            "</style>",
            *pen.body,
            "</svg>",
            "",
        ]
    )


def _css(ink: Ink) -> str:
    style = STYLES[ink]
    if not style.width:
        return "stroke: none;"
    dash = f" stroke-dasharray: {' '.join(f'{d:g}' for d in style.dash)};" if style.dash else ""
    return f"stroke-width: {style.width:g};{dash}"


def _data(facts: Facts) -> str:
    return "".join(f" data-{key}={quoteattr(value)}" for key, value in facts.items())
