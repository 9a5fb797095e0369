"""The crest of a helm: a flat fin over its middle from front to back."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from layfigure.draft.registry import DraftRequest
from layfigure.draft.shell.cap import Cap
from layfigure.draft.shell.flat_pieces import FlatEdge
from layfigure.draft.shell.gore_pieces import PieceWords, piece_of
from layfigure.geometry.mesh import TriangleMesh
from layfigure.geometry.polyline import arc_lengths, resample
from layfigure.geometry.tube import rows_mesh
from layfigure.materials.cloth import Cloth
from layfigure.piece.piece import Piece, Total

Points = NDArray[np.float64]

FROM_FRONT, FROM_BACK = 0.78, 0.88
"""How far down from the crown a crest starts and ends, as shares of the way to the rim."""

LEAN = 0.75
"""Power of the fin's rise from its ends: below 1 it stands up quickly."""


def crest_lines(cap: Cap, height: float) -> tuple[Points, Points]:
    """Seat and top of the crest, front to back, (n, 3) each [mm]; both lie in the helm's middle plane."""
    shares = np.linspace(1.0, 0.0, 61)
    front = cap.points(np.zeros_like(shares), FROM_FRONT * shares)
    back = cap.points(np.full_like(shares, np.pi), FROM_BACK * shares[::-1])
    seat = resample(np.concatenate([front, back[1:]]), 121)
    seat[:, 0] = cap.frame.centre[0]
    along = np.gradient(seat, axis=0)
    out = np.column_stack([np.zeros(len(seat)), -along[:, 2], along[:, 1]])
    out /= np.linalg.norm(out, axis=1, keepdims=True)
    run = arc_lengths(seat)
    rise = height * np.clip(np.sin(np.pi * run / run[-1]), 0.0, None) ** LEAN
    return seat, seat + rise[:, None] * out


def crest_mesh(cap: Cap, height: float) -> TriangleMesh:
    """The fin as a mesh."""
    seat, top = crest_lines(cap, height)
    return rows_mesh(np.stack([seat[1:-1:4], top[1:-1:4]]), closed=False)


def crest_piece(
    request: DraftRequest, cloth: Cloth, words: PieceWords, cap: Cap, height: float, label: str
) -> Piece:
    """The fin as a piece: seen from the wearer's left, its front to the left."""
    seat, top = (line[:, 1:] for line in crest_lines(cap, height))
    shift = seat.mean(axis=0)
    middle = len(seat) // 2
    piece = piece_of(
        request,
        cloth,
        words,
        slug="crest",
        label=f"{label}, crest",
        edges=[
            FlatEdge(slug="seat", curve=seat - shift, open_role="butt"),
            FlatEdge(slug="top", curve=top[::-1] - shift),
        ],
        lines=(),
        totals={"seat": "seat, along the helm", "top": "top edge"},
        bottom=seat[middle] - shift,
        top=top[middle] - shift,
    )
    return replace(piece, totals=(*piece.totals, Total(what="height in the middle", length=height)))
