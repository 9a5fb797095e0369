"""Panels divided by seams that the design puts across them.

All seams are fields of one divided surface, so every part of every panel meets its neighbours in the same
vertices. A panel falls into parts where a seam runs right across it; a seam that ends at another seam leaves
the panel beyond whole, and only divides that panel's edge in name, where the two are matched when sewn.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import coo_matrix
from scipy.sparse.csgraph import connected_components

from layfigure.draft.panels.divided_plan import Part, Run, divided_plan
from layfigure.draft.panels.garment import Divided, GarmentPattern, divide
from layfigure.draft.panels.panel_mesh import PanelMesh, matched_runs, mesh_panel
from layfigure.draft.panels.patch import Patch, cut_patch, side_pairs
from layfigure.draft.panels.seam_line import CARRIED_ON, SeamLine
from layfigure.draft.panels.seam_refusals import (
    in_words,
    refuse_crossing,
    refuse_narrow,
    refuse_ring_inside,
    refuse_taken,
    side_keys,
)
from layfigure.draft.panels.surface import Surface
from layfigure.draft.panels.topology import GarmentPlan, PanelPlan
from layfigure.errors import DraftError

Points = NDArray[np.float64]
Indices = NDArray[np.int64]
Mask = NDArray[np.bool_]

STRAY_END = 70.0
"""A seam's end may reach this far into a panel that it does not divide: it is carried on past its end, and a
mark is never quite on the seam it is meant to end at [mm]."""


@dataclass(frozen=True, slots=True, eq=False)
class _Seam:
    """A seam on the divided surface: its field's number, the face sides on it, what its sides are called."""

    slug: str
    field: int
    on: Mask
    words: tuple[str, str]


def mesh_divided(
    pattern: GarmentPattern,
    surface: Surface,
    fields: Mapping[str, Points],
    seams: Mapping[str, SeamLine],
    *,
    spacing: float,
) -> tuple[GarmentPlan, tuple[PanelMesh, ...]]:
    """The plan of a garment divided by seams of the design, and the mesh of every part.

    seams : slug to its line on the surface, in the order in which parts are named after them. Raises
    DraftError for a seam that divides nothing, ends inside a panel or crosses another, and for a part too
    narrow to sew.
    """
    refuse_taken(pattern.plan, seams)
    own = {f"seam {slug}": line.past(surface.vertices) for slug, line in seams.items()}
    divided = divide(surface, {**fields, **own})
    lines = dict(pattern.lines(divided))
    places = _places(divided, surface)
    laid = [_seam(slug, line, divided, surface, places) for slug, line in seams.items()]
    parts: list[Part] = []
    crossed: set[str] = set()
    for plan in pattern.plan.panels:
        wanted = {edge.line for edge in plan.edges}
        own_lines = {name: sides for name, sides in lines.items() if name in wanted}
        whole = cut_patch(
            divided.arrangement, pattern.select(plan.slug, divided), own_lines, where=in_words(plan.slug)
        )
        found = _parts(plan, whole, own_lines, laid, divided, places)
        parts += found
        crossed |= {slug for part in found for slug in part.beside}
    for slug in seams:
        if slug not in crossed:
            raise DraftError(
                "the seam does not run right across any panel.",
                where=f"seam {slug}",
                advice="Let it run right round, or from one seam or edge of the garment to another, its ends "
                f"no more than {CARRIED_ON - 5.0:.0f} mm short of them.",
            )
    garment, firsts = divided_plan(pattern.plan, parts)
    faults = garment.faults()
    if faults:
        raise DraftError(f"the garment cannot be sewn: {faults[0]}.")
    template = (surface.vertices, surface.faces)
    return garment, tuple(
        mesh_panel(plan, divided.arrangement, part.patch, template, spacing=spacing, first=first)
        for plan, part, first in zip(garment.panels, parts, firsts, strict=True)
    )


def _places(divided: Divided, surface: Surface) -> Points:
    """Where every vertex of the divided surface lies, (v, 3) [mm]."""
    made = divided.arrangement
    at_corners = np.einsum("mcb,mbk->mck", made.corners, surface.vertices[surface.faces[made.parent]])
    places = np.zeros((len(made.values), 3))
    places[made.faces.ravel()] = at_corners.reshape(-1, 3)
    return places


def _seam(slug: str, line: SeamLine, divided: Divided, surface: Surface, places: Points) -> _Seam:
    field = divided.names.index(f"seam {slug}")
    zero = np.flatnonzero(divided.arrangement.values[:, field] == 0.0)
    near = np.zeros(len(places), dtype=bool)
    near[zero] = line.near(places[zero])
    faces = divided.arrangement.faces
    by_it = np.stack([near[faces[:, (c + 1) % 3]] & near[faces[:, (c + 2) % 3]] for c in range(3)], axis=1)
    nearest = [int(np.linalg.norm(surface.vertices - at, axis=1).argmin()) for at in line.line[::4]]
    left, right = line.sides(surface.along[nearest].mean(axis=0))
    return _Seam(slug, field, divided.arrangement.zero_sides(field) & by_it, (left, right))


def _parts(
    plan: PanelPlan,
    whole: Patch,
    lines: Mapping[str, Mask],
    seams: list[_Seam],
    divided: Divided,
    places: Points,
) -> list[Part]:
    """The parts that the seams make of one panel."""
    made = divided.arrangement
    edge_of = _edges_by_step(plan, whole)
    inside = np.zeros(len(made.faces), dtype=bool)
    inside[whole.rows] = True
    own = {seam.slug: seam.on & inside[:, None] for seam in seams}
    for slug, on in own.items():
        # A seam along the outline itself divides nothing here.
        own[slug] = on & ~_outline_sides(made.faces, edge_of)
    outline = np.zeros(made.faces.shape, dtype=bool)
    for sides in lines.values():
        outline |= sides
    part_of = _components(made.faces, whole.rows, outline, own)
    for slug, on in own.items():
        own[slug] = on & ~_loose(plan, slug, made.faces, on, part_of, places)
    refuse_crossing(plan, own, made.faces)
    refuse_ring_inside(plan, own, made.faces, edge_of)
    part_of = _components(made.faces, whole.rows, outline, own)
    parts = []
    for number in range(int(part_of.max()) + 1):
        rows = part_of == number
        beside = {}
        for seam in seams:
            at = rows & own[seam.slug].any(axis=1)
            signs = set(made.signs[at, seam.field].tolist()) - {0}
            if len(signs) > 1:
                raise DraftError(
                    f"the seam does not divide the {in_words(plan.slug)}: cloth lies round one of its ends.",
                    where=f"seam {seam.slug}",
                    advice="Let it end at a seam or an edge of the garment.",
                )
            if signs:
                beside[seam.slug] = int(signs.pop())
        words = {
            seam.slug: seam.words[0 if beside[seam.slug] > 0 else 1] for seam in seams if seam.slug in beside
        }
        name = "_".join([plan.slug, *(f"{word}_{slug}" for slug, word in words.items())])
        refuse_narrow(made.faces[rows], places, in_words(name))
        if not beside:
            parts.append(Part(plan, whole, _runs(whole, edge_of), beside))
            continue
        cuts = {f"seam {slug}": on for slug, on in own.items()}
        patch = cut_patch(made, rows, {**cuts, **lines}, where=in_words(name))
        by_seams = tuple((word, slug) for slug, word in words.items())
        own_plan = PanelPlan(slug=name, edges=plan.edges, whole=plan.slug, beside=by_seams)
        parts.append(Part(own_plan, patch, _runs(patch, edge_of), beside))
    names = [part.plan.slug for part in parts]
    return [
        part
        if names.count(part.plan.slug) == 1
        else replace(part, plan=replace(part.plan, slug=f"{part.plan.slug}_{1 + names[:k].count(names[k])}"))
        for k, part in enumerate(parts)
    ]


def _edges_by_step(plan: PanelPlan, whole: Patch) -> dict[tuple[int, int], int]:
    """Step of the whole panel's outline, as two vertices of the divided surface, to number of the edge."""
    first = matched_runs(plan, whole)
    count = len(whole.loop)
    vertices = whole.origin[whole.loop]
    found = {}
    for k, start in enumerate(first):
        end = first[(k + 1) % len(first)]
        for i in range(int((end - start) % count or count)):
            at = (int(start) + i) % count
            found[int(vertices[at]), int(vertices[(at + 1) % count])] = k
    return found


def _outline_sides(faces: Indices, edge_of: Mapping[tuple[int, int], int]) -> Mask:
    """Sides of faces that are steps of the whole panel's outline, (m, 3)."""
    count = int(faces.max()) + 1
    steps = np.array([min(step) * count + max(step) for step in edge_of], dtype=np.int64)
    keys, row = side_keys(faces, np.ones(faces.shape, dtype=bool))
    found: Mask = np.isin(keys, steps).reshape(faces.shape)
    assert row.size == faces.size
    return found


def _components(faces: Indices, rows: Indices, outline: Mask, own: Mapping[str, Mask]) -> Indices:
    """Part of the panel that every face lies in, (m,); -1 outside the panel."""
    opened = outline.copy()
    for on in own.values():
        opened |= on
    f, g, _, _ = side_pairs(faces[rows], opened[rows])
    graph = coo_matrix((np.ones(len(f)), (f, g)), shape=(len(rows), len(rows)))
    _, label = connected_components(graph, directed=False)
    part_of = np.full(len(faces), -1, dtype=np.int64)
    part_of[rows] = label
    return part_of


def _loose(plan: PanelPlan, slug: str, faces: Indices, on: Mask, part_of: Indices, places: Points) -> Mask:
    """Sides of a seam that have the same part to both sides, (m, 3): an end that leads nowhere.

    Raises DraftError where it is longer than a mark's own inaccuracy explains.
    """
    keys, row = side_keys(faces, on)
    order = np.argsort(keys, kind="stable")
    keys, row = keys[order], row[order]
    pair = np.flatnonzero(keys[1:] == keys[:-1])
    same = pair[part_of[row[pair]] == part_of[row[pair + 1]]]
    count = int(faces.max()) + 1
    a, b = np.divmod(keys[same], count)
    stray = float(np.linalg.norm(places[a] - places[b], axis=1).sum())
    if stray > 2.0 * STRAY_END or (stray > STRAY_END and same.size == pair.size):
        raise DraftError(
            f"the seam ends inside the {in_words(plan.slug)} and does not divide it.",
            where=f"seam {slug}",
            advice="Let it run right round, or on to a seam or an edge of the garment; a dart is no seam.",
        )
    all_keys, all_row = side_keys(faces, on)
    corner = np.nonzero(on)[1]
    loose = np.zeros(on.shape, dtype=bool)
    chosen = np.isin(all_keys, keys[same])
    loose[all_row[chosen], corner[chosen]] = True
    return loose


def _runs(patch: Patch, edge_of: Mapping[tuple[int, int], int]) -> tuple[Run, ...]:
    """The runs of a patch's outline; edges of the whole panel by number, as text, seams by their line."""
    count = len(patch.loop)
    vertices = patch.origin[patch.loop]
    kinds: list[str] = []
    for i in range(count):
        step = int(vertices[i]), int(vertices[(i + 1) % count])
        kinds.append(str(edge_of[step]) if step in edge_of else patch.names[patch.line[i]])
    starts = [i for i in range(count) if kinds[i] != kinds[i - 1]]
    runs = []
    for k, start in enumerate(starts):
        end = starts[(k + 1) % len(starts)]
        steps = (end - start) % count or count
        on = tuple(int(vertices[(start + i) % count]) for i in range(steps + 1))
        runs.append(Run(None, kinds[start], start, on))
    return tuple(runs)
