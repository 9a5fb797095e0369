"""A mesh on the wearer: on top of the head, over it as a helm, before it as a mask, or nowhere, a prop."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from layfigure.draft.registry import Check, DraftRequest
from layfigure.draft.shell.chin_strap import CHIN_STRAP
from layfigure.draft.shell.head_place import MEASURES
from layfigure.draft.shell.helm import CAUTIONS, mass_check
from layfigure.draft.shell.mesh_hold import clip_count, mask_straps, pad_items, pads_of, strap_items
from layfigure.draft.shell.mesh_opening import Passage, in_halves, opened_below, passage
from layfigure.draft.shell.mesh_pieces import MeshMark
from layfigure.draft.shell.mesh_place import PlacedMesh, head_need, placed_mesh, where_words
from layfigure.draft.shell.options import ShellOptions
from layfigure.draft.shell.own_mesh import OwnMesh
from layfigure.geometry.mesh import TriangleMesh
from layfigure.geometry.mesh_offset import offset_mesh
from layfigure.geometry.mesh_repair import edge_table
from layfigure.materials.cloth import Cloth
from layfigure.piece.item import Item

Points = NDArray[np.float64]

TIGHT = 0.5
"""Room that may lack at a place: foam and hair give that much [mm]."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class WornMesh:
    """mesh : its outside as worn, opened. held : (e,) sides along which it is split, None for none."""

    mesh: TriangleMesh
    held: NDArray[np.bool_] | None = None
    told: tuple[str, ...] = ()
    checks: tuple[Check, ...] = ()
    items: tuple[Item, ...] = ()
    marks: tuple[MeshMark, ...] = ()
    cautions: tuple[str, ...] = ()
    measures: tuple[str, ...] = ()


def worn_mesh(request: DraftRequest, options: ShellOptions, cloth: Cloth, own: OwnMesh) -> WornMesh:
    """Put on as the options say. Raises DraftError where it cannot be."""
    if options.on is None:
        return WornMesh(mesh=own.mesh)
    if options.on == "head":
        low, high = own.mesh.vertices.min(axis=0), own.mesh.vertices.max(axis=0)
        foot = np.append(0.5 * (low + high)[:2], low[2])
        shift = request.form.landmarks["crown"] - foot
        return WornMesh(mesh=TriangleMesh(own.mesh.vertices + shift, own.mesh.faces))
    need = head_need(request.form, options, request.stack)
    placed = placed_mesh(own.mesh, need, options, cloth.thickness, own.file)
    mesh, cut = opened_below(placed, request.form, options, own.file)
    told = [_size_words(placed, options, own.file)]
    checks = [_room_check(placed)]
    marks: list[MeshMark] = []
    held: NDArray[np.bool_] | None = None
    inside = offset_mesh(mesh, -cloth.thickness)
    pads = pads_of(inside, placed, options, request.form)
    items = list(pad_items(pads))
    marks += [MeshMark(place=np.array(pad.place), words=f"pad, {pad.zone.name}") for pad in pads]
    if options.on == "face":
        straps = mask_straps(mesh, placed, request.form)
        items += strap_items(straps)
        marks += [MeshMark(place=end, words=f"{strap.name} strap") for strap in straps for end in strap.ends]
        if cut:
            told.append("It is cut off level with the ears: that rim lies along the sides of the head.")
    else:
        way = passage(mesh, request.form, thickness=cloth.thickness, hair=0.5 * options.hair + request.stack)
        passes = way.spare >= -TIGHT
        if cut:
            told.append(f"It was closed below: an opening is cut {_below(options)}.")
        splits = options.halves == "yes" or (options.halves == "auto" and not passes)
        if splits:
            divided = in_halves(mesh, need.middle)
            mesh, held = divided.mesh, divided.along
            clips = clip_count(_run(mesh, held))
            items.append(_clips(clips))
            told.append(_split_words(way, clips, asked=options.halves == "yes"))
        items.append(CHIN_STRAP)
        checks.append(_passage_check(way, splits=splits))
    return WornMesh(
        mesh=mesh,
        held=held,
        told=tuple(told),
        checks=tuple(checks),
        items=tuple(items),
        marks=tuple(marks),
        cautions=CAUTIONS,
        measures=MEASURES,
    )


def weighed(worn: WornMesh, mass: float) -> WornMesh:
    """With the check of what it weighs, where it is worn over the head. mass : [g]."""
    return replace(worn, checks=(*worn.checks, mass_check(mass))) if worn.cautions else worn


def _size_words(placed: PlacedMesh, options: ShellOptions, file: str) -> str:
    if options.fit == "head":
        return f"{file}: made {placed.factor:.2f} times its size, the least with room for head and padding."
    if placed.fits > 1.0:
        return f"{file}: too small for this head as it is; it takes {placed.fits:.2f} times its size."
    return f"{file}: as large as the file says, the head and its padding have room."


def _room_check(placed: PlacedMesh) -> Check:
    lacking = max(0.0, -float(placed.spare.min()))
    where = where_words(placed.need.places[placed.tightest], placed.need)
    return Check.at_most(
        what="how far head, hair and padding stand out of it",
        value=lacking,
        limit=TIGHT,
        unit="mm",
        advice=f"It is too small {where}. Say fit = 'head', or a scale {placed.fits:.2f} times as large, or "
        "less padding or hair.",
    )


def _passage_check(way: Passage, *, splits: bool) -> Check:
    lacking = max(0.0, -way.spare)
    return Check(
        what="how far the head sticks on its way in" + (", with the halves closed" if splits else ""),
        value=lacking,
        limit=TIGHT,
        unit="mm",
        passed=splits or lacking <= TIGHT,
        advice=""
        if splits or lacking <= TIGHT
        else f"It is too narrow {0.1 * way.above:.0f} cm above its rim. Say halves = 'yes', or widen it.",
    )


def _below(options: ShellOptions) -> str:
    drop = options.below_chin
    return f"{abs(drop) / 10.0:g} cm {'below' if drop >= 0.0 else 'above'} the chin, or near its lowest place"


def _split_words(way: Passage, clips: int, *, asked: bool) -> str:
    why = (
        "as asked"
        if asked
        else f"since the head would stick by {-way.spare:.0f} mm, {0.1 * way.above:.0f} cm above its rim"
    )
    return (
        f"It comes apart into a front and a back half from ear to ear, {why}. The edges named split are not "
        f"glued: {clips} clips hold them, spread evenly, one at each end."
    )


def _clips(count: int) -> Item:
    return Item(
        slug="turn_clip",
        name="Turn clip or snap on a strap end",
        count=count,
        use="inside along the split, 8 cm apart at most, on tabs of leather or webbing glued and stitched to "
        "both halves; they must open under a hard pull and by one hand.",
    )


def _run(mesh: TriangleMesh, held: NDArray[np.bool_]) -> float:
    edges, _, _ = edge_table(mesh.faces)
    ends = mesh.vertices[edges[held]]
    return float(np.linalg.norm(ends[:, 0] - ends[:, 1], axis=1).sum())
