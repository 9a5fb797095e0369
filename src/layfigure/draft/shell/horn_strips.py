"""A horn as flat-sided strips along its curve, each unrolled exactly."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray
from shapely import LinearRing

from layfigure.draft.registry import DraftRequest
from layfigure.draft.shell.flat_pieces import FlatEdge, turned
from layfigure.draft.shell.gore_pieces import PieceWords, piece_of
from layfigure.draft.shell.shell_checks import straight
from layfigure.geometry.mesh import TriangleMesh
from layfigure.geometry.strip import strip_lengths, unroll_strip
from layfigure.materials.cloth import Cloth
from layfigure.piece.piece import Piece

Points = NDArray[np.float64]

MOST_PARTS = 6


@dataclass(frozen=True, kw_only=True, eq=False)
class Horn:
    """A horn's corners, (m, sides, 3) [mm], root to tip, counter-clockwise seen from its tip."""

    rings: Points

    @property
    def pointed(self) -> bool:
        """Ends in a point."""
        return bool(np.linalg.norm(self.rings[-1, 0] - self.rings[-1, 1]) < 1e-9)

    @cached_property
    def bevels(self) -> Points:
        """Bevel along each line between strips, one a field, (m - 1, sides) [degrees]."""
        ahead = np.roll(self.rings, -1, axis=1)
        across = ahead - self.rings
        along = np.diff(0.5 * (ahead + self.rings), axis=0)
        normal = np.cross(0.5 * (across[1:] + across[:-1]), along)
        normal /= np.linalg.norm(normal, axis=2, keepdims=True)
        cosine = np.clip((normal * np.roll(normal, 1, axis=1)).sum(axis=2), -1.0, 1.0)
        bevels: Points = np.degrees(0.5 * np.arccos(cosine))
        return bevels


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class HornStrip:
    """One strip, or a part of one. mesh : on the horn, its outside out. flat : (n, 2) the same vertices in
    the drawing [mm].
    """

    piece: Piece
    mesh: TriangleMesh
    flat: Points


def horn_strips(
    request: DraftRequest, cloth: Cloth, words: PieceWords, horn: Horn, label: str
) -> list[HornStrip]:
    """Strips numbered counter-clockwise from the one behind; cut across where one would lie over itself."""
    sides = horn.rings.shape[1]
    for parts in range(1, MOST_PARTS + 1):
        stops = np.linspace(0, len(horn.rings) - 1, parts + 1).round().astype(np.int64)
        strips = [
            (side, part, _strip_edges(horn, side, part, parts, stops, request.statement.slug))
            for side in range(sides)
            for part in range(parts)
        ]
        outlines = [np.concatenate([edge.curve[:-1] for edge in edges]) for _, _, edges in strips]
        if all(LinearRing(outline).is_simple for outline in outlines):
            break
    drawn = []
    for side, part, edges in strips:
        name = f"strip_{side + 1}" if parts == 1 else f"strip_{side + 1}_{'abcdef'[part]}"
        bottom = edges[0].curve.mean(axis=0)
        right = next(edge.curve for edge in edges if edge.slug == "right")
        left = next(edge.curve for edge in edges if edge.slug == "left")
        top = 0.5 * (right[-1] + left[0])
        turn = 0.5 * np.pi - float(np.arctan2(*(top - bottom)[::-1]))
        upright = [replace(edge, curve=turned(edge.curve, turn, bottom)) for edge in edges]
        of = f"{sides}" if parts == 1 else f"{sides}, part {'abcdef'[part]} from the root"
        piece = piece_of(
            request,
            cloth,
            words,
            slug=name,
            label=f"{label}, strip {side + 1} of {of}",
            edges=upright,
            lines=(),
            totals={"right": "right edge", "left": "left edge", "root": "root edge", "low": "lower end"},
            bottom=np.zeros(2),
            top=np.array([0.0, float(np.linalg.norm(top - bottom))]),
        )
        rows = horn.rings[int(stops[part]) : int(stops[part + 1]) + 1]
        mesh = strip_mesh(rows[:, side], rows[:, (side + 1) % sides])
        flat = turned(np.concatenate([left[::-1], right]), turn, bottom)
        drawn.append(HornStrip(piece=piece, mesh=mesh, flat=flat))
    return drawn


def strip_mesh(left: Points, right: Points) -> TriangleMesh:
    """The triangles of a strip between two lines, (m, 3) each, those that it is unrolled by."""
    count = len(left)
    low, high = np.arange(count - 1), np.arange(count - 1) + count
    up = strip_lengths(left, right).turned[:, None]
    first = np.where(up, np.stack([low, high, high + 1], axis=1), np.stack([low, high, low + 1], axis=1))
    second = np.where(
        up, np.stack([low, high + 1, low + 1], axis=1), np.stack([high, high + 1, low + 1], axis=1)
    )
    mesh = TriangleMesh(np.concatenate([left, right]), np.concatenate([first, second]))
    a, b, c = (mesh.vertices[mesh.faces[:, k]] for k in range(3))
    # At a point the last field is one triangle.
    real = np.linalg.norm(np.cross(b - a, c - a), axis=1) > 1e-9
    return TriangleMesh(mesh.vertices, mesh.faces[real])


def _strip_edges(
    horn: Horn, side: int, part: int, parts: int, stops: NDArray[np.int64], slug: str
) -> list[FlatEdge]:
    """Outline of one part of a strip, counter-clockwise."""
    sides = horn.rings.shape[1]
    after = (side + 1) % sides
    rows = slice(int(stops[part]), int(stops[part + 1]) + 1)
    flat = unroll_strip(horn.rings[rows, side], horn.rings[rows, after])
    bevels = horn.bevels
    low, high = rows.start, rows.stop - 2

    def seam(line: int) -> str:
        return f"{slug}_{line + 1}" if parts == 1 else f"{slug}_{line + 1}_{part + 1}"

    ends = {0: "root", parts: "tip"}
    edges = [
        FlatEdge(
            slug=ends.get(part, "low"),
            curve=straight(flat.left[0], flat.right[0]),
            seam=None if part == 0 else f"{slug}_across_{side + 1}_{part}",
            against=part > 0,
            open_role="butt",
        ),
        FlatEdge(
            slug="right",
            curve=flat.right,
            seam=seam(after),
            bevel=(float(bevels[low, after]), float(bevels[high, after])),
        ),
    ]
    if part < parts - 1 or not horn.pointed:
        edges.append(
            FlatEdge(
                slug=ends.get(part + 1, "high"),
                curve=straight(flat.right[-1], flat.left[-1]),
                seam=None if part == parts - 1 else f"{slug}_across_{side + 1}_{part + 1}",
            )
        )
    edges.append(
        FlatEdge(
            slug="left",
            curve=flat.left[::-1],
            seam=seam(side),
            against=True,
            bevel=(float(bevels[high, side]), float(bevels[low, side])),
        )
    )
    return edges
