"""Panels' meshes laid on a wearer: places, the direction round the body, true side lengths."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from layfigure.draft.flatten.panel import Panel, PanelEdge
from layfigure.draft.panels.averaging import Averages, averages_of
from layfigure.draft.panels.garment_mesh import GarmentMesh, garment_mesh
from layfigure.draft.panels.panel_mesh import PanelMesh
from layfigure.draft.panels.seam_line import SeamLine
from layfigure.draft.panels.surface import Surface, face_crosses, vertex_normals
from layfigure.draft.panels.taut import drawn_taut
from layfigure.geometry.nearest_face import nearest_faces
from layfigure.geometry.polyline import arc_lengths, points_at
from layfigure.geometry.rows import crosses, lengths, products, unit

Points = NDArray[np.float64]
Indices = NDArray[np.int64]

REACH = 120.0
"""How far along a seam the move of its corner is felt [mm]."""

LEAST_MOVE = 3.0
"""Moves shorter than this do not leave the skin enough to matter [mm]."""

LEAST_PULLED, MOST_PULLED = 0.4, 1.6
"""An edge's steps that shrink or grow more than this are not to be trusted to nearest points."""

SMOOTHING = 12
"""Rounds that carry the direction round the body into places where it has none, such as a shoulder's top."""


def lay_panels(
    meshes: Sequence[PanelMesh],
    surface: Surface,
    targets: Mapping[str, Points] | None = None,
    seams: Mapping[str, SeamLine] | None = None,
) -> tuple[Panel, ...]:
    """A garment's panels on one wearer.

    targets : line name to (k, 3) curve on the wearer where that line must lie [mm]; the meshes know only
    where it lies on the template. The outlines are moved there and the inside follows smoothly. seams : the
    same of seams that the design puts across panels, which run on past the edges they end at.
    """
    mesh = garment_mesh(meshes)
    vertices = surface.places(mesh.face, mesh.weights)
    moved = np.concatenate(
        [
            _outline_moves(own, vertices[there], targets or {}, seams or {})
            for own, there in zip(meshes, mesh.vertices, strict=True)
        ]
    )
    if np.abs(moved).max(initial=0.0) > 1e-9:
        vertices = _back_on_skin(surface, vertices, _spread(mesh, moved), mesh.border)
    vertices, raised = drawn_taut(vertices, mesh.faces, mesh.border, spacing=mesh.spacing, sides=mesh.sides)
    normals = surface.normals_at(mesh.face, mesh.weights)
    free = raised > 1.0
    normals[free] = vertex_normals(vertices, mesh.faces)[free]
    around = _round_directions(vertices, mesh, surface.along_at(mesh.face, mesh.weights))
    side_lengths = _true_sides(vertices, normals, mesh.faces)
    return tuple(
        Panel(
            slug=own.plan.slug,
            vertices=vertices[there],
            faces=own.faces,
            outline=tuple(
                PanelEdge(slug=edge.slug, vertices=own.edge_vertices(k), seam=edge.seam, against=edge.against)
                for k, edge in enumerate(own.plan.edges)
            ),
            around=around[part],
            side_lengths=side_lengths[part],
        )
        for own, there, part in zip(meshes, mesh.vertices, mesh.parts, strict=True)
    )


def _outline_moves(
    mesh: PanelMesh, vertices: Points, targets: Mapping[str, Points], seams: Mapping[str, SeamLine]
) -> Points:
    """How far every outline vertex moves, (border, 3): onto the targets, fading along the seams between."""
    moves = np.zeros((mesh.border, 3))
    fixed = np.zeros(mesh.border, dtype=bool)
    # Seam after seam, in the same order on every panel: where two meet, all panels take the same one's word.
    for slug, seam in seams.items():
        for k, edge in enumerate(mesh.plan.edges):
            on = mesh.edge_vertices(k)
            if edge.line != slug:
                # A seam that ends at this edge from the other side moves that one point.
                on = on[:1] if edge.met_by == slug else on[:0]
            if on.size:
                moves[on] = seam.nearest(vertices[on]) - vertices[on]
                fixed[on] = True
    for k, edge in enumerate(mesh.plan.edges):
        if edge.line in targets:
            on = mesh.edge_vertices(k)
            # From where a seam has moved the corner to, or it would leave the seam's line again.
            moves[on] = _on_target(targets[edge.line], vertices[on] + moves[on]) - vertices[on]
            fixed[on] = True
    for k, edge in enumerate(mesh.plan.edges):
        if edge.line in targets or edge.line in seams:
            continue
        on = mesh.edge_vertices(k)
        s = arc_lengths(vertices[on])
        reach = min(REACH, s[-1])
        from_start = np.clip(1.0 - s / reach, 0.0, 1.0)[:, None] * moves[on[0]]
        from_end = np.clip(1.0 - (s[-1] - s) / reach, 0.0, 1.0)[:, None] * moves[on[-1]]
        inner = ~fixed[on]
        moves[on[inner]] = (from_start + from_end)[inner]
    return moves


def _on_target(curve: Points, places: Points) -> Points:
    """An edge's points on the curve it must lie on: the nearest, unless those bunch up or gape, as where a
    neckline is deeper on the wearer than on the template; then in the same proportions between the same ends.

    A curve that does not close ends at a point of the design, and the edge ends there too.
    """
    if np.linalg.norm(curve[0] - curve[-1]) > 1e-6:
        return _to_its_point(curve, places)
    nearest = _nearest_on(curve, places)
    steps, before = (np.linalg.norm(np.diff(p, axis=0), axis=1) for p in (nearest, places))
    if (steps < MOST_PULLED * before).all() and (steps > LEAST_PULLED * before).all():
        return nearest
    along = arc_lengths(curve)
    starts = [int(np.linalg.norm(curve[:-1] - end, axis=1).argmin()) for end in (nearest[0], nearest[-1])]
    whole, first, last = along[-1], along[starts[0]], along[starts[1]]
    share = arc_lengths(places) / arc_lengths(places)[-1]
    ways = []
    for span in ((last - first) % whole, -((first - last) % whole)):
        on = points_at(curve[:-1], first + share * (span or whole), closed=True)
        on[[0, -1]] = nearest[[0, -1]]
        ways.append(on)
    return min(ways, key=lambda on: float(np.linalg.norm(on - places, axis=1).sum()))


def _to_its_point(curve: Points, places: Points) -> Points:
    """An edge's points on a curve whose last point the nearer end of the edge meets."""
    ends = np.linalg.norm(places[[0, -1]] - curve[-1], axis=1)
    run = places if ends[1] < ends[0] else places[::-1]
    start = arc_lengths(curve)[np.linalg.norm(curve - run[0], axis=1).argmin()]
    share = arc_lengths(run) / arc_lengths(run)[-1]
    on = points_at(curve, start + share * (arc_lengths(curve)[-1] - start))
    on[0] = _nearest_on(curve, run[:1])[0]
    return on if ends[1] < ends[0] else on[::-1]


def _nearest_on(curve: Points, places: Points) -> Points:
    """Nearest points of a polyline in space, (k, 3)."""
    a, b = curve[:-1], curve[1:]
    side = b - a
    square = np.maximum((side * side).sum(axis=1), 1e-12)
    t = np.clip(((places[:, None] - a) * side).sum(axis=2) / square, 0.0, 1.0)
    at = a + t[..., None] * side
    pick = np.linalg.norm(at - places[:, None], axis=2).argmin(axis=1)
    nearest: Points = at[np.arange(len(places)), pick]
    return nearest


def _spread(mesh: GarmentMesh, moves: Points) -> Points:
    """Moves of all vertices from those of the outline: every inner vertex the mean of its neighbours."""
    averages = averages_of(mesh.faces, mesh.border)
    return np.concatenate([moves, averages.settle(averages.pull @ moves)])


def _back_on_skin(surface: Surface, vertices: Points, moves: Points, border: int) -> Points:
    """Moved vertices; inner ones that a straight move has taken off the rounded body are put back on it."""
    moved = vertices + moves
    rows = border + np.flatnonzero(np.linalg.norm(moves[border:], axis=1) > LEAST_MOVE)
    if rows.size == 0:
        return moved
    places = moved[rows]
    middles = surface.vertices[surface.faces[:, 0]]
    near = ((middles > places.min(axis=0) - REACH) & (middles < places.max(axis=0) + REACH)).all(axis=1)
    faces = surface.faces[near]
    moved[rows] = nearest_faces(surface.vertices, faces, places).carried(faces, surface.vertices)
    return moved


def _round_directions(vertices: Points, mesh: GarmentMesh, along: Points) -> Points:
    """Unit direction round the body in every face, square to ``along`` and to the face's normal, (m, 3)."""
    averages = averages_of(mesh.faces, mesh.border)
    normal = unit(face_crosses(vertices, mesh.faces))
    # The cross product is short where the two agree and the direction is weakly defined: a weight for free.
    direction = crosses(averages.corners @ along, normal)
    size = lengths(direction)
    weak = [part for part in mesh.parts if size[part].min() < 0.5]
    if weak:
        carried = _carried_over(direction, size, averages)
        carried -= products(carried, normal)[:, None] * normal
        for part in weak:
            direction[part] = carried[part]
    return unit(direction)


def _carried_over(direction: Points, size: Points, averages: Averages) -> Points:
    """Directions averaged over neighbours, over and over, the well-defined ones outweighing the rest."""
    share = 1.0 / np.diff(averages.around.indptr)[:, None]
    weight = size[:, None]
    fixed, rest, smooth = weight * direction, 1.0 - weight, direction
    for _ in range(SMOOTHING):
        smooth = averages.corners @ ((averages.around @ smooth) * share)
        smooth *= rest
        smooth += fixed
    return smooth


def _true_sides(vertices: Points, normals: Points, faces: Indices) -> Points:
    """Side lengths along the surface: a chord under which the normal turns by φ is an arc of
    chord (φ/2) / sin(φ/2), (m, 3) [mm].
    """
    at, facing = vertices[faces], normals[faces]
    true = np.empty((len(faces), 3))
    for k in range(3):
        i, j = (k + 1) % 3, (k + 2) % 3
        side = at[:, j] - at[:, i]
        chord = lengths(side)
        half_sine = 0.5 * np.abs(products(facing[:, j] - facing[:, i], side)) / chord
        # Beyond 35° a step the mesh is too coarse to speak of curvature: a fold, not an arc.
        half_sine = np.clip(half_sine, 1e-6, 0.3)
        true[:, k] = chord * np.arcsin(half_sine) / half_sine
    return true
