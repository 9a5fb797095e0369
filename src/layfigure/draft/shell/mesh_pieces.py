"""Flat charts of a cut mesh as pieces to cut: upright, seams lettered, marks of pads and straps carried."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from layfigure.draft.registry import DraftRequest
from layfigure.draft.shell.chart import FlatChart
from layfigure.draft.shell.chart_seams import outline_of
from layfigure.draft.shell.cut_shell import CutShell
from layfigure.draft.shell.flat_pieces import FlatEdge, turned
from layfigure.draft.shell.gore_pieces import PieceWords, piece_of
from layfigure.geometry.mesh import TriangleMesh
from layfigure.geometry.nearest_face import nearest_faces
from layfigure.materials.cloth import Cloth
from layfigure.piece.piece import InnerLine, Piece, Total

Points = NDArray[np.float64]

MARK = 6.0
"""Half the size of a cross that marks a place [mm]."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class MeshMark:
    """A place on the shell to be marked. place : (3,). words : what is fixed there."""

    place: Points
    words: str


def mesh_pieces(
    request: DraftRequest,
    cloth: Cloth,
    words: PieceWords,
    shell: CutShell,
    label: str,
    marks: Sequence[MeshMark] = (),
) -> list[Piece]:
    """One piece a chart, its long way upright. Edges along a split are closures that clips hold."""
    at: dict[int, list[tuple[complex, str]]] = {}
    if marks:
        mesh = shell.cut_mesh.mesh
        near = nearest_faces(mesh.vertices, mesh.faces, np.stack([mark.place for mark in marks]))
        for mark, face, weights in zip(marks, near.face.tolist(), near.weights, strict=True):
            for number, laid in enumerate(shell.charts):
                own = np.flatnonzero(laid.chart.faces == face)
                if own.size:
                    flat = laid.flat[laid.chart.mesh.faces[own[0]]] @ weights
                    at.setdefault(number, []).append((complex(flat), mark.words))
    return [
        _piece(request, cloth, words, shell, number, label, at.get(number, ()))
        for number in range(len(shell.charts))
    ]


def _piece(
    request: DraftRequest,
    cloth: Cloth,
    words: PieceWords,
    shell: CutShell,
    number: int,
    label: str,
    marks: Sequence[tuple[complex, str]],
) -> Piece:
    laid = shell.charts[number]
    loop = laid.chart.loop()
    assert loop is not None
    turn, centre = _upright(laid)
    upright = turned(_flat(laid), turn, centre)
    low, high = upright[loop][:, 1].min(), upright[loop][:, 1].max()
    edges = []
    for place, use in enumerate(outline_of(laid.chart, loop, shell.chains, shell.cut_mesh), start=1):
        chain = shell.chains[use.chain]
        split = bool(shell.cut_mesh.held[chain.edges].any())
        bevel = float(shell.bevels[use.chain])
        edges.append(
            FlatEdge(
                slug=f"{'split' if split else 'edge'}_{place}",
                curve=upright[use.vertices],
                seam=None if chain.border else f"{request.statement.slug}_{use.chain + 1}",
                against=use.against,
                bevel=None if chain.border or split else (bevel, bevel),
                fastens=split,
            )
        )
    lines = [_cross(turned(np.array([[p.real, p.imag]]), turn, centre)[0], what) for p, what in marks]
    longest = sorted(edges, key=lambda edge: -len(edge.curve))[:2]
    piece = piece_of(
        request,
        cloth,
        words,
        slug=f"part_{number + 1}",
        label=f"{label}, part {number + 1} of {len(shell.charts)}",
        edges=edges,
        lines=lines,
        totals={edge.slug: edge.slug.replace("_", " ") for edge in longest},
        bottom=np.array([0.0, low]),
        top=np.array([0.0, high]),
    )
    extra = [Total(what="length over all, along the arrow", length=float(high - low))]
    if len(edges) < 2:
        extra.append(Total(what="width over all", length=float(np.ptp(upright[loop][:, 0]))))
    return replace(piece, totals=(*piece.totals, *extra))


def parts_of(shell: CutShell, slug: str) -> dict[str, tuple[TriangleMesh, Points]]:
    """Of every piece by its slug, its faces in space and its vertices as they are drawn."""
    return {
        f"{slug}_part_{number}": (laid.chart.mesh, turned(_flat(laid), *_upright(laid)))
        for number, laid in enumerate(shell.charts, start=1)
    }


def _flat(laid: FlatChart) -> Points:
    return np.column_stack([laid.flat.real, laid.flat.imag])


def _upright(laid: FlatChart) -> tuple[float, Points]:
    """The turn [rad] and the middle that bring a chart's long way upright."""
    loop = laid.chart.loop()
    assert loop is not None
    rim = _flat(laid)[loop]
    centre = rim.mean(axis=0)
    way = np.linalg.svd(rim - centre, full_matrices=False)[2][0]
    return 0.5 * np.pi - float(np.arctan2(way[1], way[0])), centre


def _cross(place: Points, words: str) -> InnerLine:
    arms = np.array([[-1.0, 0.0], [1.0, 0.0], [0.0, 0.0], [0.0, 1.0], [0.0, -1.0]])
    return InnerLine(kind="placement", curve=place + MARK * arms, label=words)
