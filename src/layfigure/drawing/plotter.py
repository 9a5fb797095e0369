"""Small drawings that go on paper and on the screen alike: lines, grey areas and words, in mm, y up."""

from __future__ import annotations

from typing import Protocol
from xml.sax.saxutils import escape

import numpy as np
from numpy.typing import NDArray
from reportlab.pdfgen.canvas import Canvas

from layfigure.drawing.paper.pdf_pen import stroke, write
from layfigure.piece.lettering import CAPITAL
from layfigure.piece.pen import Anchor

Points = NDArray[np.float64]


class Plotter(Protocol):
    """A medium of small drawings."""

    def line(
        self, points: Points, *, width: float, dash: tuple[float, ...] = (), closed: bool = False
    ) -> None:
        """Stroke a polyline, (n, 2) [mm]."""

    def area(self, points: Points, *, shade: float) -> None:
        """Fill an outline with grey: 0 black, 1 white."""

    def words(
        self,
        words: str,
        at: tuple[float, float],
        *,
        height: float,
        anchor: Anchor = "start",
        angle: float = 0.0,
    ) -> None:
        """Write a line of words, capitals so high [mm]."""


class PdfPlotter:
    """On a reportlab canvas that is already scaled to millimetres."""

    def __init__(self, canvas: Canvas) -> None:
        self._canvas = canvas

    def line(
        self, points: Points, *, width: float, dash: tuple[float, ...] = (), closed: bool = False
    ) -> None:
        """Stroke a polyline."""
        stroke(self._canvas, points, width=width, dash=dash, closed=closed)

    def area(self, points: Points, *, shade: float) -> None:
        """Fill an outline."""
        path = self._canvas.beginPath()
        path.moveTo(*points[0].tolist())
        for point in points[1:].tolist():
            path.lineTo(*point)
        path.close()
        self._canvas.setFillGray(shade)
        self._canvas.drawPath(path, stroke=0, fill=1)

    def words(
        self,
        words: str,
        at: tuple[float, float],
        *,
        height: float,
        anchor: Anchor = "start",
        angle: float = 0.0,
    ) -> None:
        """Write a line of words."""
        write(self._canvas, words, at, height=height, anchor=anchor, angle=angle)


class SvgPlotter:
    """Collects an SVG document of a page so large [mm]."""

    def __init__(self, width: float, height: float, title: str) -> None:
        self._size = (width, height)
        self._title = title
        self._body: list[str] = []

    def line(
        self, points: Points, *, width: float, dash: tuple[float, ...] = (), closed: bool = False
    ) -> None:
        """Stroke a polyline."""
        dashes = f' stroke-dasharray="{" ".join(f"{d:g}" for d in dash)}"' if dash else ""
        look = f'fill="none" stroke="black" stroke-width="{width:g}" stroke-linejoin="round"{dashes}'
        self._body.append(f'<path d="{self._path(points, closed)}" {look}/>')

    def area(self, points: Points, *, shade: float) -> None:
        """Fill an outline."""
        grey = round(255 * shade)
        self._body.append(
            f'<path d="{self._path(points, True)}" fill="#{grey:02x}{grey:02x}{grey:02x}" stroke="none"/>'
        )

    def words(
        self,
        words: str,
        at: tuple[float, float],
        *,
        height: float,
        anchor: Anchor = "start",
        angle: float = 0.0,
    ) -> None:
        """Write a line of words."""
        x, y = at[0], self._size[1] - at[1]
        middle = ' text-anchor="middle"' if anchor == "middle" else ""
        turned = f' transform="rotate({-angle:g} {x:.3f} {y:.3f})"' if angle else ""
        self._body.append(
            f'<text x="{x:.3f}" y="{y:.3f}" font-size="{height / CAPITAL:.3f}"{middle}{turned}>'
            f"{escape(words)}</text>"
        )

    def _path(self, points: Points, closed: bool) -> str:
        steps = " ".join(f"{x:.3f},{self._size[1] - y:.3f}" for x, y in points.tolist())
        return f"M {steps}{' Z' if closed else ''}"

    def document(self) -> str:
        """The whole drawing."""
        width, height = (f"{size:g}" for size in self._size)
        return "\n".join(
            [
                '<?xml version="1.0" encoding="UTF-8"?>',
                (
                    f'<svg xmlns="http://www.w3.org/2000/svg" width="{width}mm" height="{height}mm"'
                    f' viewBox="0 0 {width} {height}">'
                ),
                f"<title>{escape(self._title)}</title>",
                '<style>text { font-family: "Noto Sans", sans-serif; fill: black; }</style>',
                f'<rect width="{width}" height="{height}" fill="white"/>',
                *self._body,
                "</svg>",
                "",
            ]
        )
