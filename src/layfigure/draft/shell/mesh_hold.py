"""What holds a mesh on a head: pads between it and the skin, straps, and clips along a split."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from layfigure.body.form import Form
from layfigure.draft.shell.behind import length_behind
from layfigure.draft.shell.cap_place import region_points
from layfigure.draft.shell.mesh_place import PlacedMesh
from layfigure.draft.shell.options import ShellOptions
from layfigure.geometry.mesh import TriangleMesh
from layfigure.geometry.nearest_face import nearest_faces
from layfigure.piece.item import Item

Points = NDArray[np.float64]

THINNEST_PAD, THICKEST_PAD = 3.0, 60.0
"""Thinner, the mesh sits on the hair itself; thicker, a pad is a block that tips over [mm]."""

CLIP_SPACING = 80.0
"""Clips or snaps along the split of a helm [mm]: snaps 75 to 100 mm apart on a slack edge is common practice,
no source."""

FASTENING = 40.0
STRAP_WIDTH = 20.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Zone:
    """A part of the head where a pad goes. around : (least, most) way round from the front, either side
    [degrees]. side : 0 both, 1 left, -1 right. height : (least, most) above the brow [mm], or above the
    crown where from_top. size : of the pad.
    """

    name: str
    around: tuple[float, float]
    height: tuple[float, float]
    size: tuple[float, float]
    side: int = 0
    from_top: bool = False


HELM_ZONES = (
    Zone(name="forehead", around=(0.0, 32.0), height=(15.0, 55.0), size=(120.0, 40.0)),
    Zone(name="left temple", around=(60.0, 120.0), height=(15.0, 65.0), size=(100.0, 50.0), side=1),
    Zone(name="right temple", around=(60.0, 120.0), height=(15.0, 65.0), size=(100.0, 50.0), side=-1),
    Zone(name="back of the head", around=(145.0, 180.0), height=(-10.0, 50.0), size=(120.0, 60.0)),
    Zone(name="crown", around=(0.0, 180.0), height=(-15.0, 0.0), size=(90.0, 90.0), from_top=True),
)
MASK_ZONES = (
    Zone(name="forehead", around=(0.0, 35.0), height=(18.0, 50.0), size=(90.0, 25.0)),
    Zone(name="left cheek", around=(28.0, 65.0), height=(-75.0, -35.0), size=(40.0, 25.0), side=1),
    Zone(name="right cheek", around=(28.0, 65.0), height=(-75.0, -35.0), size=(40.0, 25.0), side=-1),
)
"""Five pads of a helm and three of a mask: common practice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Pad:
    """thickness, least, most : of the gap it fills, hair taken off [mm]. place : (3,) on the skin."""

    zone: Zone
    thickness: float
    least: float
    most: float
    place: tuple[float, float, float]


def pads_of(inside: TriangleMesh, placed: PlacedMesh, options: ShellOptions, form: Form) -> tuple[Pad, ...]:
    """Pads that fill what is left between skin or hair and the inside of the sheet, zone by zone."""
    zones = MASK_ZONES if options.on == "face" else HELM_ZONES
    skin = region_points(form, frozenset({"head"}))
    off = skin - placed.need.middle
    azimuth = np.degrees(np.arctan2(off[:, 0], -off[:, 1]))
    hair = 0.0 if options.on == "face" else options.hair
    pads = []
    for zone in zones:
        within = (np.abs(azimuth) >= zone.around[0]) & (np.abs(azimuth) <= zone.around[1])
        above = off[:, 2] - (off[:, 2].max() if zone.from_top else 0.0)
        within &= (above >= zone.height[0]) & (above <= zone.height[1])
        within &= (zone.side == 0) | (np.sign(azimuth) == zone.side)
        if not within.any():
            continue
        gap = nearest_faces(inside.vertices, inside.faces, skin[within]).distance - hair
        thickness = float(np.median(gap))
        if not THINNEST_PAD <= thickness <= THICKEST_PAD:
            continue
        place = skin[within][int(np.abs(gap - thickness).argmin())]
        pads.append(
            Pad(
                zone=zone,
                thickness=thickness,
                least=float(np.percentile(gap, 10.0)),
                most=float(np.percentile(gap, 90.0)),
                place=(float(place[0]), float(place[1]), float(place[2])),
            )
        )
    return tuple(pads)


def pad_items(pads: Sequence[Pad]) -> tuple[Item, ...]:
    """Soft foam for the pads, one line each."""
    return tuple(
        Item(
            slug=f"soft_foam_{_even(pad.thickness):.0f}mm",
            name=f"Pad of soft foam, {_even(pad.thickness):.0f} mm thick, "
            f"{pad.zone.size[0] / 10.0:g} by {pad.zone.size[1] / 10.0:g} cm",
            use=f"inside, {pad.zone.name}: the gap there is {max(0.0, pad.least):.0f} to {pad.most:.0f} mm "
            "beyond the hair; hook and loop on its back lets it come off for washing.",
        )
        for pad in pads
    )


def _even(thickness: float) -> float:
    """To 2 mm, as foam is sold and split."""
    return max(4.0, 2.0 * round(thickness / 2.0))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class StrapEnds:
    """A strap of a mask. ends : (2, 3) on the mask, left and right. length : to cut, fastening counted."""

    name: str
    ends: Points
    length: float


def mask_straps(mesh: TriangleMesh, placed: PlacedMesh, form: Form) -> tuple[StrapEnds, ...]:
    """Two elastic straps round behind the head, from the mask's edge above and below the ears."""
    head = region_points(form, frozenset({"head"}))
    middle = placed.need.middle
    rim = np.unique(np.concatenate(mesh.boundary_loops() or [np.arange(len(mesh.vertices))]))
    straps = []
    for name, height in (("upper", 25.0), ("lower", -55.0)):
        ends = []
        for side in (1.0, -1.0):
            wanted = middle + np.array([side * 80.0, -10.0, height])
            ends.append(mesh.vertices[rim[int(np.linalg.norm(mesh.vertices[rim] - wanted, axis=1).argmin())]])
        both = np.stack(ends)
        around = length_behind(head, both, np.array([0.0, -1.0]))
        straps.append(StrapEnds(name=name, ends=both, length=0.9 * around + FASTENING))
    return tuple(straps)


def strap_items(straps: Sequence[StrapEnds]) -> tuple[Item, ...]:
    """The straps as things to have."""
    return tuple(
        Item(
            slug=f"elastic_{STRAP_WIDTH:.0f}mm",
            name=f"{strap.name.capitalize()} strap, elastic {STRAP_WIDTH:.0f} mm wide",
            length=strap.length,
            use=f"round the back of the head from mark to mark, a tenth shorter than the way there, with "
            f"{FASTENING:.0f} mm for both ends; over the hair or wig.",
        )
        for strap in straps
    )


def clip_count(run: float) -> int:
    """Clips along a split so long [mm], both ends held."""
    return max(4, int(np.ceil(run / CLIP_SPACING)) + 1)
