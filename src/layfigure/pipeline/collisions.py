"""Whether what is worn above stays above: every pair of worn surfaces, held together.

Layers are an ordered stack. A piece drafted too close to the body shows here as points that lie inside a
piece of a lower layer, before anybody cuts it. Of two pieces of one layer either may lie above the other, but
neither both above and inside. Cloth lies down by its ease, and hanging cloth without end, under what is worn
over it, which was drafted to its thickness.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from layfigure.body.form import Form
from layfigure.design.design import PieceStatement
from layfigure.draft.registry import Check, DraftResult
from layfigure.geometry.mesh import TriangleMesh
from layfigure.geometry.nearest_face import NearestFaces, nearest_faces
from layfigure.geometry.taut_line import Skin
from layfigure.piece.worn import HANGS, WornSurface

Points = NDArray[np.float64]

LIMIT = 5.0
"""A layer that lies deeper than this inside a lower one does not fit over it [mm]: about what cloth gives and
what the worn surfaces' coarse triangles hide (our judgement, no source)."""
ASKED = 200
"""So many faces of an open surface tell which of its sides is the outer one."""
REACH = 40.0
"""Points farther than this from a surface are not held against it [mm]."""
CLEARLY = 15.0
"""Places so high above the nearest face are above the surface [mm]."""
ON_SIDE = 1e-6
"""A corner that weighs less than this does not count: a place lies on the side across from it."""
ARMS = ("upper_arm", "forearm", "hand")


@dataclass(frozen=True, slots=True, kw_only=True)
class Overlap:
    """One piece inside another. share : of its points. deepest : [mm]. beneath : whether the other is of a
    lower layer; of one layer, both lie inside the other so deep.
    """

    outer: str
    inner: str
    share: float
    deepest: float
    beneath: bool = True


def collision_checks(
    pieces: Sequence[PieceStatement],
    drafts: Mapping[str, DraftResult],
    form: Form,
    covered: Mapping[str, Mapping[str, float]],
) -> dict[str, Check]:
    """A check for every piece that is worn over another or beside one, by slug: its deepest overlap.

    covered : regions that each piece covers. An arm gives way to what hangs beside it, so a piece is held
    against what is worn on an arm only where it covers that arm itself, and what is worn on an arm alone
    against nothing that is worn elsewhere.
    """
    layers = {piece.slug: piece.layer for piece in pieces}
    labels = {piece.slug: piece.label or piece.slug.replace("_", " ") for piece in pieces}
    worn = {slug: result.worn for slug, result in drafts.items() if result.worn and slug in layers}
    body = Skin.of(form.standing)
    sheets = {slug: _sheets(surfaces, body) for slug, surfaces in worn.items()}
    order = list(worn)
    off_arms = {slug: _arms_beside(form, covered.get(slug, {})) for slug in order}

    def overlap(outer: str, inner: str) -> Overlap | None:
        if _apart(covered.get(outer, {}), covered.get(inner, {})):
            return None
        places = np.concatenate([surface.mesh.vertices for surface in worn[outer]])
        depth = np.zeros(len(places))
        for gives, sheet in sheets[inner]:
            own, feet = sheet.depth(places)
            hit = np.flatnonzero(own > gives)
            if hit.size:
                on = nearest_faces(body.vertices, body.faces, feet[hit], tree=body.tree).face
                hit = hit[~off_arms[outer][on]]
                depth[hit] = np.maximum(depth[hit], own[hit] - gives)
        if not depth.any():
            return None
        share, deepest = float((depth > 0.0).mean()), float(depth.max())
        return Overlap(outer=outer, inner=inner, share=share, deepest=deepest)

    checks = {}
    for number, outer in enumerate(order):
        below = [slug for slug in order if layers[slug] < layers[outer]]
        beside = [slug for slug in order[:number] if layers[slug] == layers[outer]]
        found = [one for inner in below if (one := overlap(outer, inner)) is not None]
        for other in beside:
            # One of them may lie wholly over the other. Only what is inside on both sides passes through.
            ways = (overlap(outer, other), overlap(other, outer))
            if ways[0] is not None and ways[1] is not None:
                deepest = min(ways[0].deepest, ways[1].deepest)
                found.append(replace(ways[0], deepest=deepest, beneath=False))
        if below or any(not one.beneath and one.deepest > LIMIT for one in found):
            check = check_of(found)
            checks[outer] = replace(check, what=f"{labels[outer]}: {check.what}")
    return checks


def check_of(overlaps: Sequence[Overlap]) -> Check:
    """The deepest of one piece's overlaps as a check; passed with nothing overlapping."""
    worst = max(overlaps, key=lambda overlap: overlap.deepest, default=None)
    if worst is None:
        return Check.at_most(
            what="how deep it lies inside what is worn beneath", unit="mm", value=0.0, limit=LIMIT
        )
    inner = worst.inner.replace("_", " ")
    deep = [one.inner.replace("_", " ") for one in overlaps if one.deepest > LIMIT and one is not worst]
    also = f" It also cuts into: {', '.join(deep)}." if deep else ""
    if not worst.beneath:
        return Check.at_most(
            what=f"how deep it and {inner}, of the same layer, pass through each other",
            unit="mm",
            value=round(worst.deepest, 1),
            limit=LIMIT,
            advice=f"It and {inner} are both of one layer and take each other's place by up to "
            f"{worst.deepest:.0f} mm: move one of the two, or say which lies above by giving it a higher "
            f"layer.{also}",
        )
    return Check.at_most(
        what=f"how deep it lies inside {inner}, worn beneath ({100.0 * worst.share:.1f} % of it does)",
        unit="mm",
        value=round(worst.deepest, 1),
        limit=LIMIT,
        advice=f"It lies up to {worst.deepest:.0f} mm inside {inner} as drafted: try it on over it before "
        f"cutting good material, move one of the two, give it more room, or swap their layers.{also}",
    )


def with_checks(drafts: Mapping[str, DraftResult], checks: Mapping[str, Check]) -> dict[str, DraftResult]:
    """The drafts, each with its own check last."""
    return {
        slug: replace(result, checks=(*result.checks, checks[slug])) if slug in checks else result
        for slug, result in drafts.items()
    }


@dataclass(frozen=True, slots=True, eq=False)
class Sheet:
    """Worn surfaces of one piece with their faces turned outward. rim : (m, 3) whether the side across from
    each corner is one that only this face has.
    """

    skin: Skin
    rim: NDArray[np.bool_]

    @classmethod
    def of(cls, meshes: Sequence[TriangleMesh], body: Skin) -> Sheet:
        """All surfaces of one piece. body : skin that they are worn on."""
        turned = [turned_outward(mesh, body) for mesh in meshes]
        starts = np.cumsum([0, *(len(mesh.vertices) for mesh in turned)])
        whole = TriangleMesh(
            np.concatenate([mesh.vertices for mesh in turned]),
            np.concatenate([mesh.faces + start for mesh, start in zip(turned, starts, strict=False)]),
        )
        skin = Skin.of(whole)
        return cls(skin, rim_sides(skin.faces))

    def depth(self, places: Points) -> tuple[Points, Points]:
        """How deep places lie under the sheet, (k,) [mm], 0 above or beside it, and the places of the sheet
        nearest to them, (k, 3).
        """
        skin = self.skin
        low, high = skin.vertices.min(axis=0) - REACH, skin.vertices.max(axis=0) + REACH
        near = np.flatnonzero(((places > low) & (places < high)).all(axis=1))
        depth, feet = np.zeros(len(places)), places.copy()
        if near.size:
            # Most places lie clear above: the nearest face's middle tells, and only the rest is worth more.
            off, middle = skin.tree.query(places[near], distance_upper_bound=2.0 * REACH)
            close = np.isfinite(off)
            near, middle = near[close], middle[close]
            corners = skin.vertices[skin.faces[middle]]
            square = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
            square /= np.maximum(np.linalg.norm(square, axis=1, keepdims=True), 1e-12)
            above = np.einsum("kd,kd->k", places[near] - corners.mean(axis=1), square)
            near = near[above < CLEARLY]
        if not near.size:
            return depth, feet
        found = nearest_faces(skin.vertices, skin.faces, places[near], tree=skin.tree)
        feet[near] = found.carried(skin.faces, skin.vertices)
        away = places[near] - feet[near]
        # The evened normal decides: a place near a ridge may lie under one face and over its neighbour.
        up = found.carried(skin.faces, skin.normals)
        up /= np.maximum(np.linalg.norm(up, axis=1, keepdims=True), 1e-12)
        high_above = np.einsum("kd,kd->k", away, up)
        # What is nearest to a rim lies beside the sheet, not under it.
        at_rim = meets_rim(found, skin.faces, self.rim)
        under = (high_above < 0.0) & (found.distance < REACH) & ~at_rim
        depth[near] = np.where(under, found.distance, 0.0)
        return depth, feet


def _sheets(surfaces: Sequence[WornSurface], body: Skin) -> list[tuple[float, Sheet]]:
    """One sheet of all that gives alike, with how far that is [mm]; none of what hangs."""
    alike = sorted({one.gives for one in surfaces} - {HANGS})
    return [(gives, Sheet.of([one.mesh for one in surfaces if one.gives == gives], body)) for gives in alike]


def turned_outward(mesh: TriangleMesh, body: Skin) -> TriangleMesh:
    """A closed surface faces away from its inside, an open one, for the most part, away from the body."""
    a, b, c = (mesh.vertices[mesh.faces[:, k]] for k in range(3))
    if rim_sides(mesh.faces).any():
        some = slice(None, None, max(1, len(a) // ASKED))
        _, away, _ = body.near(((a + b + c) / 3.0)[some])
        outward = float(np.einsum("kd,kd->", np.cross(b - a, c - a)[some], away))
    else:
        outward = float(np.einsum("kd,kd->", a, np.cross(b, c)))
    return mesh if outward >= 0.0 else TriangleMesh(mesh.vertices, mesh.faces[:, ::-1])


def meets_rim(found: NearestFaces, faces: NDArray[np.int64], rim: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Whether nearest places lie on a surface's rim, (k,): on a side of it, or at a corner of one."""
    none = found.weights < ON_SIDE
    ends = np.zeros(int(faces.max()) + 1, dtype=np.bool_)
    for k in range(3):
        ends[faces[rim[:, k], k - 1]] = ends[faces[rim[:, k], k - 2]] = True
    corner = faces[found.face, found.weights.argmax(axis=1)]
    on_side = (none & rim[found.face]).any(axis=1)
    at_corner = (none.sum(axis=1) == 2) & ends[corner]
    meets: NDArray[np.bool_] = np.logical_or(on_side, at_corner)
    return meets


def rim_sides(faces: NDArray[np.int64]) -> NDArray[np.bool_]:
    """Whether the side across from each corner is one that only its face has, (m, 3)."""
    sides = np.sort(np.stack([faces[:, [1, 2]], faces[:, [2, 0]], faces[:, [0, 1]]], axis=1), axis=2)
    one = sides[..., 0] * (int(faces.max()) + 1) + sides[..., 1]
    _, place, count = np.unique(one.ravel(), return_inverse=True, return_counts=True)
    rim: NDArray[np.bool_] = (count[place] == 1).reshape(-1, 3)
    return rim


def _arms_beside(form: Form, covered: Mapping[str, float]) -> NDArray[np.bool_]:
    """Faces of the body on arms that a piece does not cover, (m,)."""
    arms = [
        number
        for number, name in enumerate(form.region_names)
        if name.rpartition("_")[0] in ARMS and name not in covered
    ]
    beside: NDArray[np.bool_] = np.isin(form.face_region, arms)
    return beside


def _apart(outer: Mapping[str, float], inner: Mapping[str, float]) -> bool:
    """Whether a piece is worn on arms alone, and the other elsewhere."""
    on_arms = all(name.rpartition("_")[0] in ARMS for name in outer)
    return bool(outer and inner) and on_arms and outer.keys().isdisjoint(inner)
