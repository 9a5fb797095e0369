"""A string pulled tight round a body between two fixed places: it lies on the skin or spans its hollows.

The string is a row of points that wants the least sum of squared steps and must stay outside the body. Near
every point the body is stood for by the plane that touches it there; with these planes held, the string in
equilibrium and the forces that hold it off are one linear complementarity problem, solved by an active set.
Planes and string take turns until the string rests. On a smooth convex body the result is a shortest line
(geodesic); over a hollow it is straight.

Source: obstacle problem for an elastic string; primal-dual active set (Hintermueller, Ito and Kunisch, SIAM
J. Optim. 13 (2002) 865-888).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.spatial import cKDTree

from layfigure.geometry.mesh import TriangleMesh
from layfigure.geometry.nearest_face import face_tree, nearest_faces
from layfigure.geometry.polyline import length, resample

Points = NDArray[np.float64]

COARSE = 24
ROUNDS = 60
TOUCHES = 1.0
"""A line nearer than this to where it would lie touches the skin [mm]."""

RESTS = 0.02
"""The string rests when no point moves more than this in a round [mm]."""

KEEPS, STEPS = 0.01, 12
"""A step so small is the last that an end takes to its clearance [mm]; it takes at most so many."""

SLANT = 0.2
"""Skin that the way out meets at a smaller cosine than this is taken as met at it, for a step."""

STRAIGHT = 0.5
"""A place from which the skin is seen at a smaller cosine than this to its normal is not over it."""

RETURNS = 0.001
"""A string so near to where it was two rounds before goes to and fro between two places, over the edge
between two faces of a fold, and further rounds find nothing new [mm]."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class TautLine:
    """points : (n, 3) evenly spaced [mm]. outward : (n, 3) unit, away from the body, as at the brims over
    a hollow. gap : (n,) from the skin to the line [mm].
    """

    points: Points
    outward: Points
    gap: Points

    @property
    def length(self) -> float:
        """Length of the smooth line through the points [mm]: a chord that turns stands for its arc."""
        steps = np.diff(self.points, axis=0)
        sizes = np.linalg.norm(steps, axis=1)
        units = steps / np.maximum(sizes, 1e-12)[:, None]
        turn = np.arccos(np.clip(np.einsum("kd,kd->k", units[:-1], units[1:]), -1.0, 1.0))
        half = 0.25 * (np.append(turn, turn[-1:]) + np.append(turn[:1], turn))
        return float((sizes / np.sinc(half / np.pi)).sum())


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Skin:
    """A surface to stay outside of, with a normal at every vertex; faces counter-clockwise from outside.

    rows : which vertices of the mesh these are. tree : the faces' middles.
    """

    vertices: Points
    faces: NDArray[np.int64]
    normals: Points
    rows: NDArray[np.int64]
    tree: cKDTree

    @classmethod
    def of(cls, mesh: TriangleMesh) -> Skin:
        """The skin of a mesh; vertex normals weigh faces by their area."""
        used, faces = np.unique(mesh.faces, return_inverse=True)
        vertices, faces = mesh.vertices[used], faces.reshape(-1, 3)
        a, b, c = (vertices[faces[:, k]] for k in range(3))
        weighted, corners = np.cross(b - a, c - a), faces.ravel()
        normals: Points = np.stack([np.bincount(corners, np.repeat(way, 3)) for way in weighted.T], axis=1)
        normals /= np.maximum(np.linalg.norm(normals, axis=1, keepdims=True), 1e-12)
        return cls(
            vertices=vertices, faces=faces, normals=normals, rows=used, tree=face_tree(vertices, faces)
        )

    def near(self, places: Points) -> tuple[Points, Points, Points]:
        """Nearest skin and outward unit directions there, (k, 3) each, and heights above it (k,) [mm]."""
        found = nearest_faces(self.vertices, self.faces, places, tree=self.tree)
        foot, normal = found.foot, found.carried(self.faces, self.normals)
        normal /= np.maximum(np.linalg.norm(normal, axis=1, keepdims=True), 1e-12)
        return foot, normal, np.einsum("kd,kd->k", places - foot, normal)


def taut_line(skin: Skin, through: ArrayLike, *, clearance: float = 0.0, step: float = 8.0) -> TautLine:
    """The string from the first to the last of some places, pulled tight.

    through : (m, 3) where it would run loose; both ends stay, the others only tell which way round.
    clearance : kept from the skin [mm]; an end nearer to it is moved straight out to where it keeps it.
    step : from point to point, about.
    """
    guide = np.asarray(through, dtype=np.float64)
    count = max(8, int(np.ceil(length(guide) / step)) + 1)
    line = resample(guide, min(COARSE, count))
    line[[0, -1]] = _clear(skin, guide[[0, -1]], clearance)
    for last in (False, True):
        line = _pulled(skin, resample(line, count) if last else line, clearance)
    _, normal, gap = skin.near(line)
    return TautLine(points=line, outward=_spanned(normal, gap < clearance + TOUCHES), gap=gap)


def _spanned(normal: Points, touches: NDArray[np.bool_]) -> Points:
    """Outward directions where the line touches, carried over the hollows that it spans between."""
    if touches.all() or not touches.any():
        return normal
    place = np.arange(len(normal))
    carried = np.column_stack([np.interp(place, place[touches], column[touches]) for column in normal.T])
    unit: Points = carried / np.maximum(np.linalg.norm(carried, axis=1, keepdims=True), 1e-12)
    return unit


def _clear(skin: Skin, places: Points, clearance: float) -> Points:
    """Places moved straight out, along the normal of the skin nearest to each, until they keep the clearance
    from all the skin; from the skin, where they are beneath it or beside its rim. Over a hollow a place is
    left where it is. In a fold too narrow for all this it keeps the clearance from its own side alone.
    """
    foot, out, high = skin.near(places)
    near = high < clearance
    over = high > STRAIGHT * np.linalg.norm(places - foot, axis=1)
    start = np.where((~near | over)[:, None], places, foot)
    alone = np.where(near, clearance - np.where(over, high, 0.0), 0.0)
    rise, rests = alone, ~near
    for _ in range(STEPS):
        if rests.all():
            break
        # Only how far out is sought anew: a smooth normal leans from its flat face, and a place moved out
        # from foot to foot along it walks sideways, to the corner of the face.
        _, normal, high = skin.near(start + rise[:, None] * out)
        further = (clearance - high) / np.maximum(np.einsum("kd,kd->k", normal, out), SLANT)
        rests = ~near | (np.abs(further) < KEEPS)
        rise = np.where(near, rise + further, 0.0)
    fits = rests & (np.abs(rise - alone) < clearance)
    clear: Points = start + np.where(fits, rise, alone)[:, None] * out
    return clear


def _pulled(skin: Skin, line: Points, clearance: float) -> Points:
    line = line.copy()
    inner = len(line) - 2
    i = np.arange(1.0, inner + 1.0)
    # How far point i moves for a unit force on point j: the string's own influence function.
    influence = np.minimum(i[:, None], i) * (inner + 1.0 - np.maximum(i[:, None], i)) / (inner + 1.0)
    straight = line[0] + (i / (inner + 1.0))[:, None] * (line[-1] - line[0])
    held = np.zeros(inner, dtype=bool)
    before = line[1:-1].copy()
    for left in reversed(range(ROUNDS)):
        foot, normal, _ = skin.near(line[1:-1])
        above = np.einsum("kd,kd->k", straight - foot, normal) - clearance
        force, held = _contact(influence * (normal @ normal.T), above, held)
        pulled = straight + influence @ (force[:, None] * normal)
        moved, returned = (float(np.abs(pulled - earlier).max()) for earlier in (line[1:-1], before))
        before = line[1:-1].copy()
        line[1:-1] = pulled
        # Of two such places it is left at the one where all the rounds would leave it.
        if moved < RESTS or (returned < RETURNS and left % 2 == 0):
            break
    return line


def _contact(give: Points, above: Points, held: NDArray[np.bool_]) -> tuple[Points, NDArray[np.bool_]]:
    """Forces >= 0 that lift every point to its plane and push none that lies above it.

    give : (k, k) height that unit forces give. above : (k,) heights without forces. held : first guess.
    """
    force = np.zeros(len(above))
    if not held.any():
        held = above < 0.0
    seen: set[bytes] = set()
    while held.tobytes() not in seen:
        seen.add(held.tobytes())
        force = np.zeros(len(above))
        if held.any():
            soft = give[np.ix_(held, held)]
            soft.flat[:: len(soft) + 1] += 1e-9
            force[held] = np.linalg.solve(soft, -above[held])
        held = np.where(held, force > 0.0, above + give @ force < -1e-9)
    return np.maximum(force, 0.0), held
