"""Parts that finish an edge or stiffen a part: facings, interfacings, folds and buttons."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from layfigure.piece.item import Item
from layfigure.piece.piece import InnerLine, LineKind, Piece

Points = NDArray[np.float64]

BUTTON_RADIUS = 7.0
"""Of the ring that marks a button's place [mm]."""


def interfacing_of(piece: Piece, cloth: str) -> Piece:
    """The same shape without allowances, to stiffen it from inside."""
    edges = tuple(
        replace(
            edge,
            allowance=0.0,
            seam=None,
            against=False,
            notches=(),
            role="butt" if edge.role != "fold" else "fold",
        )
        for edge in piece.edges
    )
    return replace(
        piece,
        slug=f"{piece.slug}_interfacing",
        label=f"{piece.label}, interfacing",
        cloth=cloth,
        edges=edges,
        lines=(),
        note=(
            f"Cut on the same grain; fuse or baste to the wrong side of {piece.label}, inside its seams.",
            "Try a hand-wide scrap on your cloth first: heat, steam and time are the interfacing's own.",
        ),
        cautions=("Iron: keep hands and cords clear, and let fused cloth cool before you lift it.",),
    )


def evenly(first: float, last: float, spacing: float) -> Points:
    """Places from first to last, both included, spacing apart or a little less [mm]."""
    places: Points = np.linspace(first, last, max(2, math.ceil(abs(last - first) / spacing - 1e-9) + 1))
    return places


def button_lines(places: Sequence[tuple[float, float]] | Points) -> tuple[InnerLine, ...]:
    """A ring where every button is sewn on."""
    angle = np.linspace(0.0, 2.0 * np.pi, 24, endpoint=False)
    ring = BUTTON_RADIUS * np.stack([np.cos(angle), np.sin(angle)], axis=1)
    return tuple(
        InnerLine(kind="placement", curve=ring + np.asarray(place), label=f"button {k}", closed=True)
        for k, place in enumerate(places, start=1)
    )


def buttonhole_lines(
    places: Sequence[tuple[float, float]] | Points, *, outward: float
) -> tuple[InnerLine, ...]:
    """A slit where every buttonhole is cut: from 3 mm past the centre, 20 mm back. outward : +1 or -1 in
    x.
    """
    return tuple(
        InnerLine(
            kind="slit",
            curve=np.array([[x + 3.0 * outward, y], [x - 17.0 * outward, y]]),
            label=f"buttonhole {k}",
        )
        for k, (x, y) in enumerate(np.asarray(places), start=1)
    )


def buttons(count: int, use: str) -> Item:
    """Buttons to buy."""
    return Item(slug="button_18mm", name="button, 18 mm", count=count, use=use)


def zip_item(size: float, use: str) -> Item:
    """A zip to buy, rounded up to the next 50 mm."""
    rounded = 50.0 * math.ceil(size / 50.0)
    return Item(slug=f"zip_{rounded:.0f}mm", name=f"zip, {rounded / 10.0:.0f} cm", length=rounded, use=use)


def marked_lines(lines: Sequence[Points], kind: LineKind, label: str) -> tuple[InnerLine, ...]:
    """Inner lines with one label."""
    return tuple(InnerLine(kind=kind, curve=line, label=label) for line in lines)
