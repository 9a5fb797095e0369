"""The brim of a helm: a ruled ring outward from its rim, in two halves joined at front and back."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from layfigure.draft.flatten.panel import FlatPanel
from layfigure.draft.flatten.rest_shape import face_stretches
from layfigure.draft.shell.cap import Cap
from layfigure.draft.shell.flat_pieces import FlatEdge
from layfigure.draft.shell.gores import Gores
from layfigure.draft.shell.shell_checks import straight
from layfigure.geometry.mesh import TriangleMesh
from layfigure.geometry.polyline import arc_lengths, length, points_at
from layfigure.geometry.strip import StripLengths, lay_strip, strip_lengths
from layfigure.geometry.tube import rows_mesh

Points = NDArray[np.float64]

FIELDS = 14
"""Fields of the strip along each gore's rim."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Brim:
    """width : of the ring [mm]. drop : how steeply it falls outward [rad]."""

    width: float
    drop: float

    def rows(self, cap: Cap, azimuth: Points) -> tuple[Points, Points]:
        """The rim and the brim's outer edge at azimuths, (n, 3) each [mm]."""
        step = 1e-3
        ahead, behind = (cap.points(azimuth + s, np.ones_like(azimuth)) for s in (step, -step))
        up = cap.frame.axis
        out = np.cross(ahead - behind, up)
        out /= np.linalg.norm(out, axis=1, keepdims=True)
        rim = cap.points(azimuth, np.ones_like(azimuth))
        return rim, rim + self.width * (np.cos(self.drop) * out - np.sin(self.drop) * up)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BrimHalf:
    """Half a brim laid flat. edges : of its outline, counter-clockwise. stretch : (m,) largest stretch or
    slack of each triangle, a share; areas : (m,) theirs [mm²].
    """

    slug: str
    edges: tuple[FlatEdge, ...]
    stretch: Points
    areas: Points


def brim_mesh(cap: Cap, brim: Brim, *, ways: int = 96) -> TriangleMesh:
    """The brim as a mesh, its upper side outward."""
    azimuth = np.linspace(0.0, 2.0 * np.pi, ways, endpoint=False)
    rim, outer = brim.rows(cap, azimuth)
    return rows_mesh(np.stack([outer, rim]), closed=True)


def brim_halves(gores: Gores, brim: Brim, seam: str) -> tuple[BrimHalf, BrimHalf]:
    """Both halves, from the first seam of the gores to the middle one and on round; an even number of gores.

    Where gores, laid flat, came out a little longer or shorter along the rim than in space, the brim's inner
    edge does too, so that both meet; what that stretches the brim is counted.
    """
    half = gores.count // 2
    return _half(gores, brim, seam, range(half)), _half(gores, brim, seam, range(half, gores.count))


def _half(gores: Gores, brim: Brim, seam: str, mine: range) -> BrimHalf:
    ways, inner_sides = [], []
    for number in mine:
        ways.append(gores.field_azimuths(number, FIELDS)[:-1])
        inner_sides.append(_rim_sides(gores.flats[f"gore_{number + 1}"]))
    azimuth = np.concatenate([*ways, gores.azimuths[mine[-1] + 1 : mine[-1] + 2]])
    rim, outer = brim.rows(gores.cap, azimuth)
    in_space = strip_lengths(rim, outer)
    sides = np.concatenate(inner_sides)
    # A field is nearly an isosceles trapezoid, whose diagonal follows from its sides (Ptolemy).
    change = (sides - in_space.left) * in_space.right
    lengths = replace(in_space, left=sides, diagonal=np.sqrt(in_space.diagonal**2 + change))
    flat = lay_strip(lengths)
    stretch, areas = _stretch(in_space, lengths)
    first = mine[0] == 0
    front, back = f"{seam}_brim_front", f"{seam}_brim_back"
    stops = [FIELDS * k for k in range(len(mine) + 1)]
    inner = [
        FlatEdge(
            slug=f"inner_{number + 1}",
            curve=flat.left[stops[k] : stops[k + 1] + 1][::-1],
            seam=f"{seam}_rim_{number + 1}",
            against=True,
        )
        for k, number in enumerate(mine)
    ]
    edges = (
        FlatEdge(slug="outer", curve=flat.right, open_role="hem"),
        FlatEdge(
            slug="back" if first else "front",
            curve=straight(flat.right[-1], flat.left[-1]),
            seam=back if first else front,
        ),
        *reversed(inner),
        FlatEdge(
            slug="front" if first else "back",
            curve=straight(flat.left[0], flat.right[0]),
            seam=front if first else back,
            against=True,
        ),
    )
    return BrimHalf(slug="brim_1" if first else "brim_2", edges=edges, stretch=stretch, areas=areas)


def _rim_sides(flat: FlatPanel) -> Points:
    """Lengths of a flat gore's rim between places at equal azimuths, (``FIELDS``,) [mm]."""
    curve = flat.curves["rim"]
    row = flat.panel.outline[0].vertices
    run = arc_lengths(flat.panel.vertices[row])
    share = np.interp(np.linspace(0.0, 1.0, FIELDS + 1), np.linspace(0.0, 1.0, len(row)), run / run[-1])
    whole = length(curve)
    sides = np.diff(arc_lengths(points_at(curve, share * whole)))
    # Chords between the places are shorter than the curve by a few micrometres.
    equal: Points = sides * (whole / sides.sum())
    return equal


def _stretch(in_space: StripLengths, flat: StripLengths) -> tuple[Points, Points]:
    """Largest stretch or slack of each triangle of the strip, and areas, (2 (m - 1),) each."""
    worn, cut = _triangles(in_space), _triangles(flat)
    corners = np.arange(cut.size).reshape(-1, 3)
    stretch, _ = face_stretches(worn, cut.ravel(), corners)
    u, v = worn[:, 1] - worn[:, 0], worn[:, 2] - worn[:, 0]
    return np.abs(stretch).max(axis=1), 0.5 * (u.conj() * v).imag


def _triangles(lengths: StripLengths) -> NDArray[np.complex128]:
    """The strip's triangles, two a field, each laid out by its three sides, (2 (m - 1), 3)."""
    turned = lengths.turned
    base = np.concatenate([lengths.across[:-1], lengths.diagonal])
    from_start = np.concatenate(
        [np.where(turned, lengths.diagonal, lengths.left), np.where(turned, lengths.left, lengths.right)]
    )
    from_end = np.concatenate([np.where(turned, lengths.right, lengths.diagonal), lengths.across[1:]])
    along = (base**2 + from_start**2 - from_end**2) / (2.0 * base)
    height = np.sqrt(np.maximum(from_start**2 - along**2, 0.0))
    return np.stack([np.zeros_like(base) + 0j, base + 0j, along + 1j * height], axis=1)
