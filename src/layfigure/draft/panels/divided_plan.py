"""The plan of a garment whose panels are in parts: their edges, and what each stretch of a seam is called.

Stretches of a seam are numbered in its own direction, so that both mates call them alike.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from layfigure.draft.panels.patch import Patch
from layfigure.draft.panels.topology import GarmentPlan, PanelPlan, SeamUse

Indices = NDArray[np.int64]


@dataclass(frozen=True, slots=True, eq=False)
class Run:
    """A stretch of a part's outline along one edge of the whole panel, or along one of the design's seams.

    edge : the whole panel's, None along a seam of the design. line : name of that line. start : position in
    the part's loop. vertices : of the divided surface, in loop order, both ends included. met_by : seam that
    ends where it starts.
    """

    edge: SeamUse | None
    line: str
    start: int
    vertices: tuple[int, ...]
    met_by: str | None = None


@dataclass(frozen=True, slots=True, eq=False)
class Part:
    """A part of a panel. beside : seam slug to the side of it that the part lies on, +1 to the left."""

    plan: PanelPlan
    patch: Patch
    runs: tuple[Run, ...]
    beside: Mapping[str, int]


def divided_plan(base: GarmentPlan, parts: list[Part]) -> tuple[GarmentPlan, list[Indices]]:
    """The plan of all parts, and the loop positions at which each one's edges start."""
    numbered = [_split_runs(part, parts) for part in parts]
    chains = _chains(parts, numbered)
    panels, firsts = [], []
    mirrored: set[str] = set()
    for part, runs in zip(parts, numbered, strict=True):
        uses: list[SeamUse] = []
        for run in runs:
            use = run.edge
            if use is None:
                slug = run.line.removeprefix("seam ")
                against = part.beside[slug] < 0
                use = SeamUse(slug=slug, line=slug, seam=f"{slug}_{part.plan.of}", against=against)
            use = replace(use, met_by=run.met_by)
            if use.seam is not None:
                ends = _ends(run, use)
                links = chains[use.seam]
                if len(links) > 1:
                    number = links.index(ends) + 1
                    if use.seam in base.mirrored:
                        mirrored.add(f"{use.seam}_{number}")
                    use = replace(use, slug=f"{use.slug}_{number}", seam=f"{use.seam}_{number}")
                elif use.seam in base.mirrored:
                    mirrored.add(use.seam)
            uses.append(use)
        panels.append(replace(part.plan, edges=tuple(_own_names(uses))))
        firsts.append(np.array([run.start for run in runs], dtype=np.int64))
    return GarmentPlan(panels=tuple(panels), mirrored=frozenset(mirrored)), firsts


def _own_names(uses: list[SeamUse]) -> Iterator[SeamUse]:
    """Uses with no two of the same name: an opening may be met twice by one part."""
    names = [use.slug for use in uses]
    for k, use in enumerate(uses):
        twice = names.count(use.slug) > 1
        yield replace(use, slug=f"{use.slug}_part_{1 + names[:k].count(use.slug)}") if twice else use


def _split_runs(part: Part, parts: list[Part]) -> list[Run]:
    """A part's runs with its edges found, broken where a seam of the neighbour's ends."""
    corners: dict[int, list[str]] = defaultdict(list)
    for other in parts:
        for run in other.runs:
            for vertex in (run.vertices[0], run.vertices[-1]):
                if run.line.startswith("seam "):
                    corners[vertex].append(run.line)
    count = len(part.patch.loop)
    found = []
    for run in part.runs:
        edge = None if run.line.startswith("seam ") else part.plan.edges[int(run.line)]
        sewn = edge is None or edge.seam is not None
        stops = [0]
        stops += [i for i in range(1, len(run.vertices) - 1) if sewn and run.vertices[i] in corners]
        stops.append(len(run.vertices) - 1)
        for first, last in pairwise(stops):
            start = (run.start + first) % count
            # Where a seam ends at another one, both end for the parts beside it.
            ending = [line for line in corners[run.vertices[first]] if line != run.line] if first > 0 else []
            met_by = ending[0].removeprefix("seam ") if ending else None
            found.append(Run(edge, run.line, start, run.vertices[first : last + 1], met_by))
    return found


def _ends(run: Run, use: SeamUse) -> tuple[int, int]:
    """Ends of a run in the direction of its seam."""
    first, last = run.vertices[0], run.vertices[-1]
    return (last, first) if use.against else (first, last)


def _chains(parts: list[Part], numbered: list[list[Run]]) -> dict[str, list[tuple[int, int]]]:
    """Seam to the stretches it is divided into, in its own direction, as pairs of vertices."""
    links: dict[str, list[tuple[int, int]]] = defaultdict(list)
    for part, runs in zip(parts, numbered, strict=True):
        for run in runs:
            if run.edge is None:
                slug = run.line.removeprefix("seam ")
                name = f"{slug}_{part.plan.of}"
                first, last = run.vertices[0], run.vertices[-1]
                ends = (last, first) if part.beside[slug] < 0 else (first, last)
            elif run.edge.seam is not None:
                name, ends = run.edge.seam, _ends(run, run.edge)
            else:
                continue
            if ends not in links[name]:
                links[name].append(ends)
    return {name: _in_order(pairs) for name, pairs in links.items()}


def _in_order(pairs: list[tuple[int, int]]) -> list[tuple[int, int]]:
    """Stretches of a seam one after the other."""
    left = list(pairs)
    ordered = []
    while left:
        ends = {end for _, end in left}
        following = [next((pair for pair in left if pair[0] not in ends), left[0])]
        while following:
            ordered.append(following[0])
            left.remove(following[0])
            following = [pair for pair in left if pair[0] == ordered[-1][1]]
    return ordered
