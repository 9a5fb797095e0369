"""Cutting a mesh until it lies flat: at each step the cut that saves most, for its length.

A part that is no single patch is divided in two where it turns from facing one way to the other. A patch that
would stretch too far is given a dart to, or a cut through, a place where the surface curves most or would
stretch most; each is tried out by laying the patch flat again. Darts to the place of greatest stretch alone
do little; to the place of greatest curvature, often elsewhere, they do more, so both are tried.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import coo_matrix
from scipy.sparse.csgraph import connected_components, dijkstra

from layfigure.draft.shell.chart import Chart, CutMesh, FlatChart, lay_alone
from layfigure.draft.shell.flattening import STRETCH_MOST, STRETCH_P95
from layfigure.geometry.corner_angle import angle_defects
from layfigure.geometry.mesh import TriangleMesh
from layfigure.geometry.mesh_repair import face_neighbours

Points = NDArray[np.float64]
Indices = NDArray[np.int64]

SMOOTHING = 12
"""Rounds of averaging over neighbours before a part is divided, for a smooth dividing line."""

ISLAND = 0.04
"""Islands smaller than this share of a part are no pieces of their own."""

HOPELESS = 5.0
"""A patch that stretches so many times too far is divided at once: single darts would not save it."""

LEAST_SAVED = 0.04
"""A cut that saves a smaller share of a patch's energy is not worth its glue."""

TARGETS = 2
SMALLEST = 3


def cut_flat(
    cut_mesh: CutMesh, *, most_pieces: int, margin: float, laid: Sequence[FlatChart] | None = None
) -> list[FlatChart]:
    """Cut until every chart lies flat within the limits, or there are as many as allowed; worst charts first.

    Marks the cuts in ``cut_mesh``; returns the charts. Parts that are no single patch are divided beyond the
    number allowed, since they cannot be laid flat at all. margin : share of the limits that is left to the
    charts. laid : charts to go on from, as they lie.
    """
    working = _patches(cut_mesh, np.arange(len(cut_mesh.mesh.faces))) if laid is None else list(laid)
    done: list[FlatChart] = []
    while working:
        worst = working.pop(int(np.argmax([_urgency(each) for each in working])))
        faces = worst.chart.faces
        room = len(done) + len(working) + 1 < most_pieces
        asks = _asks_for_cuts(worst, margin)
        hopeless = room and worst.p95 > HOPELESS * STRETCH_P95
        found = None if hopeless or not asks else _best_cut(cut_mesh, worst, through=room)
        if found is not None:
            path, left = found
            cut_mesh.cut[path] = True
            working += left
        elif room and asks:
            _halve(cut_mesh, faces)
            working += _patches(cut_mesh, faces)
        else:
            done.append(worst)
    return done


def _asks_for_cuts(laid: FlatChart, margin: float) -> bool:
    gentle = laid.p95 <= margin * STRETCH_P95 and laid.most <= margin * STRETCH_MOST
    return len(laid.chart.faces) >= SMALLEST and not (gentle and laid.clear)


def _urgency(laid: FlatChart) -> float:
    return laid.energy * (1.0 if laid.clear else 2.0)


def _patches(cut_mesh: CutMesh, faces: Indices) -> list[FlatChart]:
    """What hangs together of some faces, laid flat; divided first where it is no single patch."""
    waiting, laid = cut_mesh.charts(faces), []
    while waiting:
        chart = waiting.pop()
        loop = chart.loop()
        if loop is None:
            _halve(cut_mesh, chart.faces)
            waiting += cut_mesh.charts(chart.faces)
        else:
            laid.append(lay_alone(chart, loop))
    return laid


def _halve(cut_mesh: CutMesh, faces: Indices) -> None:
    """Divide a part in two where it turns from facing one way to facing the other.

    The ways are the ends of the axis along which its faces' normals differ most. Islands too small for a
    piece go to what surrounds them.
    """
    chart = cut_mesh.chart(faces).mesh
    pairs, _ = face_neighbours(chart.faces)
    normal, area = chart.face_normals(), chart.face_areas()
    spread = normal - np.average(normal, axis=0, weights=area)
    axis = np.linalg.eigh((spread * area[:, None]).T @ spread)[1][:, -1]
    m = len(chart.faces)
    both = np.concatenate([pairs, pairs[:, ::-1]])
    around = coo_matrix((area[both[:, 1]], (both[:, 0], both[:, 1])), shape=(m, m)).tocsr()
    whole = np.asarray(around.sum(axis=1)).ravel() + area
    facing = spread @ axis
    for _ in range(SMOOTHING):
        facing = (around @ facing + area * facing) / whole
    facing -= np.median(facing) if (facing > 0.0).all() or (facing < 0.0).all() else 0.0
    front = facing > 0.0
    for _ in range(4):
        side = front[pairs[:, 0]] == front[pairs[:, 1]]
        links = coo_matrix((np.ones(int(side.sum())), tuple(pairs[side].T)), shape=(m, m))
        island = connected_components(links, directed=False)[1]
        small = np.bincount(island, weights=area) < ISLAND * area.sum()
        if not small.any() or small.all():
            break
        front ^= small[island]
    divided = front[pairs[:, 0]] != front[pairs[:, 1]]
    if not divided.any():
        half = np.argsort(chart.face_corners().mean(axis=1) @ np.linalg.svd(spread)[2][0])[: m // 2]
        front = np.isin(np.arange(m), half)
        divided = front[pairs[:, 0]] != front[pairs[:, 1]]
    cut_mesh.cut[_shared_edges(cut_mesh, faces[pairs[divided]])] = True


def _shared_edges(cut_mesh: CutMesh, pairs: Indices) -> Indices:
    """The uncut edge that each pair of faces shares, (k,)."""
    one, other = cut_mesh.which[pairs[:, 0]], cut_mesh.which[pairs[:, 1]]
    alike = (one[:, :, None] == other[:, None, :]).any(axis=2) & ~cut_mesh.cut[one]
    shared: Indices = one[np.arange(len(pairs)), alike.argmax(axis=1)]
    return shared


def _best_cut(cut_mesh: CutMesh, laid: FlatChart, *, through: bool) -> tuple[Indices, list[FlatChart]] | None:
    """Edges of the cut that saves most energy for its length, and what it leaves, or None where none saves
    enough.
    """
    chart = laid.chart
    size = float(np.sqrt(laid.areas.sum()))
    enough = (1.0 - LEAST_SAVED) * laid.energy
    best, best_score = None, 0.0
    for path in _candidates(chart, laid, laid.stiffness.loop, through=through):
        edges = _edges_along(cut_mesh, chart, path)
        cut_mesh.cut[edges] = True
        left = _left_over(cut_mesh, chart.faces, below=enough)
        cut_mesh.cut[edges] = False
        if left is None:
            continue
        saved = laid.energy - sum(each.energy for each in left)
        run = float(np.linalg.norm(np.diff(chart.mesh.vertices[path], axis=0), axis=1).sum())
        score = saved / (run + 0.25 * size)
        if score > best_score:
            best, best_score = (edges, left), score
    return best


def _left_over(cut_mesh: CutMesh, faces: Indices, *, below: float) -> list[FlatChart] | None:
    """What is left of some faces, laid flat; None where a part is no patch that can be cut, or all of them
    together keep no less energy than ``below``.
    """
    laid: list[FlatChart] = []
    for chart in reversed(cut_mesh.charts(faces)):
        loop = chart.loop()
        if loop is None:
            return None
        laid.append(lay_alone(chart, loop))
        if not laid[-1].clear or sum(each.energy for each in laid) >= below:
            return None
    return laid


def _candidates(chart: Chart, laid: FlatChart, loop: Indices, *, through: bool) -> Iterator[Indices]:
    """Paths of the chart's vertices: from the border to a target, and through it to the border beyond."""
    mesh = chart.mesh
    edges = mesh.edges()
    lengths = np.linalg.norm(mesh.vertices[edges[:, 0]] - mesh.vertices[edges[:, 1]], axis=1)
    n = len(mesh.vertices)
    on_border = np.zeros(n, dtype=bool)
    on_border[loop] = True
    # A path must not run along the border or touch it on its way.
    inner = ~on_border[edges].all(axis=1)
    graph = coo_matrix((lengths[inner], (edges[inner, 0], edges[inner, 1])), shape=(n, n)).tocsr()
    place = np.empty(n, dtype=np.int64)
    place[loop] = np.arange(len(loop))
    for target in _targets(mesh, laid, on_border):
        distance, before = dijkstra(graph, directed=False, indices=target, return_predecessors=True)
        near = int(loop[distance[loop].argmin()])
        if not np.isfinite(distance[near]):
            continue
        dart = _path(before, near)
        if not on_border[dart[1:]].any():
            yield dart
        if not through:
            continue
        gap = np.abs(place[loop] - place[near])
        far = np.minimum(gap, len(loop) - gap) >= len(loop) // 4
        beyond = int(loop[far][distance[loop[far]].argmin()])
        way = _path(before, beyond)
        whole = np.concatenate([dart, way[::-1][1:]])
        simple = len(np.unique(whole)) == len(whole) and not on_border[whole[1:-1]].any()
        if np.isfinite(distance[beyond]) and simple:
            yield whole


def _targets(mesh: TriangleMesh, laid: FlatChart, on_border: NDArray[np.bool_]) -> list[int]:
    """Inner vertices, apart, where the surface curves most and where it would stretch most."""
    n = len(mesh.vertices)
    defect = angle_defects(mesh)
    strain, share = np.zeros(n), np.zeros(n)
    for k in range(3):
        np.add.at(strain, mesh.faces[:, k], laid.stretch**2 * laid.areas)
        np.add.at(share, mesh.faces[:, k], laid.areas)
    defect[on_border] = 0.0
    edges = mesh.edges()
    gathered = defect.copy()
    for a, b in ((0, 1), (1, 0)):
        np.add.at(gathered, edges[:, a], defect[edges[:, b]])
    size = 0.25 * float(np.sqrt(laid.areas.sum()))
    targets: list[int] = []
    for merit, many in ((np.abs(gathered), TARGETS), (strain / np.maximum(share, 1e-12), TARGETS - 1)):
        left = np.where(on_border, -1.0, merit)
        for _ in range(many):
            best = int(left.argmax())
            if left[best] <= 0.0:
                break
            if best not in targets:
                targets.append(best)
            left[np.linalg.norm(mesh.vertices - mesh.vertices[best], axis=1) < size] = -1.0
    return targets


def _path(before: Indices, end: int) -> Indices:
    """From an end back to where the search started."""
    path = [end]
    while before[path[-1]] >= 0:
        path.append(int(before[path[-1]]))
    return np.array(path, dtype=np.int64)


def _edges_along(cut_mesh: CutMesh, chart: Chart, path: Indices) -> Indices:
    """Edges of the whole mesh along a path of the chart's vertices."""
    along = np.sort(chart.origin[np.column_stack([path[:-1], path[1:]])], axis=1)
    n = len(cut_mesh.mesh.vertices)
    keys = cut_mesh.edges[:, 0] * n + cut_mesh.edges[:, 1]
    edges: Indices = np.searchsorted(keys, along[:, 0] * n + along[:, 1])
    return edges
