"""Seams of a cut mesh: chains of cut edges between the places where they meet, and who uses them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from layfigure.draft.shell.chart import Chart, CutMesh

Points = NDArray[np.float64]
Indices = NDArray[np.int64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Chain:
    """A run of cut edges or of the mesh's own border.

    vertices : (k,) of the whole mesh, in the seam's own direction. edges : (k - 1,).
    border : nothing meets it.
    """

    vertices: Indices
    edges: Indices
    border: bool


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ChainUse:
    """An edge of a chart's outline. chain : its number. against : it runs against the chain.
    vertices : (k,) of the chart, in loop order.
    """

    chain: int
    against: bool
    vertices: Indices


def chains_of(cut_mesh: CutMesh) -> list[Chain]:
    """All chains of cut edges and borders. A ring that nothing else meets becomes two."""
    drawn = np.flatnonzero(cut_mesh.cut | (cut_mesh.uses == 1))
    ends = cut_mesh.edges[drawn]
    border = cut_mesh.uses[drawn] == 1
    at: dict[int, list[int]] = {}
    for number, (a, b) in enumerate(ends.tolist()):
        at.setdefault(a, []).append(number)
        at.setdefault(b, []).append(number)
    node = {v for v, own in at.items() if len(own) != 2 or border[own[0]] != border[own[1]]}
    left = set(range(len(drawn)))
    chains: list[Chain] = []

    def walk(start: int, number: int) -> None:
        vertices, edges = [start], []
        while True:
            left.discard(number)
            edges.append(number)
            a, b = ends[number].tolist()
            here = b if a == vertices[-1] else a
            vertices.append(here)
            following = [other for other in at[here] if other in left]
            if here in node or not following:
                break
            number = following[0]
        chains.append(
            Chain(vertices=np.array(vertices), edges=drawn[np.array(edges)], border=bool(border[edges[0]]))
        )

    for vertex in sorted(node):
        for number in at[vertex]:
            if number in left:
                walk(vertex, number)
    while left:
        number = min(left)
        walk(int(ends[number].min()), number)
        ring = chains.pop()
        half = len(ring.edges) // 2
        for part in (slice(0, half), slice(half, None)):
            stop = part.stop + 1 if part.stop is not None else None
            chains.append(
                Chain(
                    vertices=ring.vertices[slice(part.start, stop)],
                    edges=ring.edges[part],
                    border=ring.border,
                )
            )
    return chains


def outline_of(chart: Chart, loop: Indices, chains: Sequence[Chain], cut_mesh: CutMesh) -> list[ChainUse]:
    """A chart's outline as uses of chains, in loop order. loop : (b,) its border vertices in order."""
    n = len(cut_mesh.mesh.vertices)
    chain_of: dict[int, tuple[int, int]] = {}
    for number, chain in enumerate(chains):
        for place, (a, b) in enumerate(zip(chain.vertices[:-1], chain.vertices[1:], strict=True)):
            chain_of[int(min(a, b) * n + max(a, b))] = (number, place)
    following = np.roll(loop, -1)
    origin, after = chart.origin[loop], chart.origin[following]
    sides: list[tuple[int, bool, int]] = []
    for a, b in zip(origin.tolist(), after.tolist(), strict=True):
        number, place = chain_of[min(a, b) * n + max(a, b)]
        sides.append((number, int(chains[number].vertices[place]) != a, place))
    starts = [k for k in range(len(sides)) if not _runs_on(sides[k - 1], sides[k])]
    first = starts[0] if starts else 0
    order = list(range(first, len(sides))) + list(range(first))
    uses: list[ChainUse] = []
    run: list[int] = []
    for k in order:
        if run and not _runs_on(sides[run[-1]], sides[k]):
            uses.append(_use(sides, run, loop, following))
            run = []
        run.append(k)
    uses.append(_use(sides, run, loop, following))
    return uses


def _runs_on(before: tuple[int, bool, int], now: tuple[int, bool, int]) -> bool:
    """Whether two sides of an outline follow each other along one chain."""
    return before[0] == now[0] and before[1] == now[1] and now[2] - before[2] == (-1 if now[1] else 1)


def _use(
    sides: Sequence[tuple[int, bool, int]], run: Sequence[int], loop: Indices, following: Indices
) -> ChainUse:
    vertices = np.append(loop[np.array(run)], following[run[-1]])
    return ChainUse(chain=sides[run[0]][0], against=sides[run[0]][1], vertices=vertices)


def chain_bevels(cut_mesh: CutMesh, chains: Sequence[Chain]) -> Points:
    """Mean bevel along each chain, (c,) [degrees]: half of what the two faces lack of lying straight.

    Positive over a ridge, negative in a valley, 0 along a border.
    """
    order = np.argsort(cut_mesh.which.ravel(), kind="stable")
    first = np.searchsorted(cut_mesh.which.ravel()[order], np.arange(len(cut_mesh.edges)))
    normal, middle = cut_mesh.mesh.face_normals(), cut_mesh.mesh.face_corners().mean(axis=1)
    bevels = []
    for chain in chains:
        if chain.border:
            bevels.append(0.0)
            continue
        one, other = order[first[chain.edges]] // 3, order[first[chain.edges] + 1] // 3
        cosine = np.clip((normal[one] * normal[other]).sum(axis=1), -1.0, 1.0)
        ridge = ((middle[other] - middle[one]) * normal[one]).sum(axis=1) < 0.0
        runs = np.linalg.norm(np.diff(cut_mesh.mesh.vertices[chain.vertices], axis=0), axis=1)
        bevel = 0.5 * np.degrees(np.arccos(cosine)) * np.where(ridge, 1.0, -1.0)
        bevels.append(float(np.average(bevel, weights=runs)))
    return np.array(bevels)
