"""What finishes a skirt: its waistband, the facings of its front edges, and how it lies on the wearer."""

from __future__ import annotations

import itertools
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from layfigure.draft.registry import DraftRequest
from layfigure.draft.woven.options import WovenOptions
from layfigure.draft.woven.skirt import SkirtPart
from layfigure.draft.woven.skirt_pieces import extension_of, part_label, part_name, waist_seam
from layfigure.draft.woven.skirt_shape import SkirtShape
from layfigure.draft.woven.waistband import BandStretch, waistband
from layfigure.geometry.mesh import TriangleMesh
from layfigure.geometry.polyline import arc_lengths, length, points_at
from layfigure.piece.piece import Grainline, Piece, PieceEdge, Total, Verdict

Points = NDArray[np.float64]

TUCKED = 15.0
"""Least cloth between a facing and the first pleat [mm]."""
RIDGE = 16.0
"""How far pleats stand open at the hem in pictures [mm]."""


def skirt_band(
    request: DraftRequest, parts: Sequence[SkirtPart], options: WovenOptions, verdict: Verdict
) -> Piece:
    """The waistband of a skirt, divided like its pleats."""
    closure = options.closure or "front_buttons"
    order = [*parts[2:], *parts[:2]] if closure == "back_zip" else list(parts)
    stretches = []
    for part in order:
        left, right = extension_of(part.place, options, closure)
        last = len(part.strips) - 1
        for k, strip in enumerate(part.flat.visible):
            own = length(strip) + (left if k == 0 else 0.0) + (right if k == last else 0.0)
            seam = waist_seam(request.statement.slug, part.place.slug, k)
            stretches.append(BandStretch(slug=f"{part.place.slug}_{k + 1}", length=own, seam=seam))
    whole = sum(stretch.length for stretch in stretches)
    centres = (options.overlap, whole - options.overlap) if closure == "front_buttons" else ()
    return waistband(request, stretches, options, verdict, centres=centres)


def front_facings(
    request: DraftRequest, parts: Sequence[SkirtPart], options: WovenOptions, verdict: Verdict, cloth: str
) -> list[Piece]:
    """A facing for both front edges, the front edge and what lies beside it over again."""
    closure = options.closure or "front_buttons"
    slug, name = part_name(request, options), part_label(request, options)
    pieces = []
    for part in (parts[0], parts[3]):
        flat = part.flat
        at_left = part.place.left_seam == "centre_front"
        ext = max(extension_of(part.place, options, closure))
        strip = flat.visible[0] if at_left else flat.visible[-1][::-1]
        wide = min(options.facing_width, length(strip) - TUCKED)
        top = _upto(strip, wide)
        outward = -1.0 if at_left else 1.0
        top = np.vstack([top[:1] + np.array([outward * ext, 0.0]), top]) if ext else top
        low = -flat.hem
        bottom = np.array([[top[0, 0], low], [top[-1, 0], low]])
        # Facings are sewn with their right side to the panel's and turned: cut as the mirror image.
        top, bottom = top * (-1.0, 1.0), bottom * (-1.0, 1.0)
        side = "left" if at_left else "right"
        seam = f"{slug}_front_edge_{'left' if at_left else 'right'}"
        front = np.array([top[0], bottom[0]])
        inner = np.array([top[-1], bottom[-1]])
        if at_left:
            # Mirrored, the front edge is on the right: up it, back along the top, down the inner edge.
            loop = (("hem", bottom[::-1]), ("front_edge", front[::-1]), ("waist", top), ("inner", inner))
        else:
            loop = (("hem", bottom), ("inner", inner[::-1]), ("waist", top[::-1]), ("front_edge", front))
        edges = tuple(
            PieceEdge(
                slug=edge,
                curve=curve,
                role={"hem": "hem", "inner": "opening"}.get(edge, "seam"),  # type: ignore[arg-type]
                allowance=options.hem_allowance
                if edge == "hem"
                else (6.0 if edge == "inner" else options.seam_allowance),
                seam=seam if edge == "front_edge" else None,
                against=not at_left and edge == "front_edge",
            )
            for edge, curve in loop
        )
        middle = float(0.5 * (bottom[0, 0] + bottom[1, 0]))
        pieces.append(
            Piece(
                slug=f"{slug}_front_facing_{side}",
                label=f"{name}, front facing {side}",
                kind=request.statement.kind,
                cloth=cloth,
                edges=edges,
                grainline=Grainline(
                    start=(middle, low + 40.0), end=(middle, low + 0.7 * flat.hem), kind="grain"
                ),
                totals=(
                    Total(what="front edge", length=length(front)),
                    Total(what="inner edge", length=length(inner)),
                    Total(what="hem", length=length(bottom)),
                ),
                verdict=verdict,
                side=side,  # type: ignore[arg-type]
                note=(
                    "Finish the inner edge. Sew right sides together along the front edge, turn, and press.",
                ),
                layer=request.statement.layer,
                edition=request.edition,
            )
        )
    return pieces


def _upto(curve: Points, distance: float) -> Points:
    """The first part of a curve, by length."""
    along = arc_lengths(curve)
    return np.vstack([curve[along < distance - 1e-6], points_at(curve, [distance])])


def worn_skirt(shape: SkirtShape, parts: Sequence[SkirtPart], *, gap: float) -> TriangleMesh:
    """The skirt hanging, with its pleats a little open toward the hem. gap : front left open [turns]."""
    share = []
    for part in parts:
        ends = np.concatenate([[0.0], np.cumsum(part.strips)]) / sum(part.strips)
        share.append(part.place.first + ends * (part.place.last - part.place.first))
    breaks = np.unique(np.round(np.concatenate(share), 9))
    # Every strip rises from its lower fold to its upper one, then steps down: two columns at each fold.
    turns, lift = [], []
    for start, end in itertools.pairwise(breaks):
        inset = 0.04 * (end - start)
        turns += [start + inset, 0.5 * (start + end), end - inset]
        lift += [0.0, 0.5, 1.0] if start < 0.5 else [1.0, 0.5, 0.0]
    t = np.array(turns)
    if gap:
        t = np.clip(t, gap, 1.0 - gap)
    levels = np.linspace(0.0, 1.0, 14)
    down = levels[:, None] * shape.down_at(t)[None]
    places = shape.fall.at(np.broadcast_to(t, down.shape), down)
    angle = 2.0 * np.pi * t
    out = np.stack([np.sin(angle), -np.cos(angle), np.zeros_like(angle)], axis=1)
    places = places + (RIDGE * levels[:, None] * np.array(lift)[None])[..., None] * out
    n, m = down.shape
    index = np.arange(n * m).reshape(n, m)
    a, b, c, d = index[:-1, :-1], index[:-1, 1:], index[1:, :-1], index[1:, 1:]
    faces = np.concatenate([np.stack([a, c, b], -1).reshape(-1, 3), np.stack([b, c, d], -1).reshape(-1, 3)])
    if not gap:
        last, first = index[:, -1], index[:, 0]
        faces = np.concatenate(
            [
                faces,
                np.stack([last[:-1], last[1:], first[:-1]], -1),
                np.stack([first[:-1], last[1:], first[1:]], -1),
            ]
        )
    return TriangleMesh(places.reshape(-1, 3), faces)
