"""A mesh of the maker's own as it is read: upright, in millimetres, mended, and coarse enough to cut."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from layfigure.draft.registry import DraftRequest
from layfigure.draft.shell.options import ShellOptions
from layfigure.errors import DraftError
from layfigure.geometry.mesh import TriangleMesh
from layfigure.geometry.mesh_repair import MeshBroken, mend
from layfigure.geometry.mesh_simplify import simplify, without_short_edges
from layfigure.geometry.mesh_smooth import without_detail
from layfigure.geometry.nearest_face import nearest_faces

Points = NDArray[np.float64]

UNITS = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": 25.4}

MOST_FACES = 2400
"""Triangles kept: sides of about 10 mm on a helmet, finer than sheet is shaped by hand."""

NEEDLE = 0.35
"""Edges shorter than this share of the mean are drawn together."""

LEAST_SIZE, MOST_SIZE = 30.0, 4000.0
"""A part smaller or larger than this is in another unit than was said [mm]."""

ON_A_HEAD = 350.0
"""Height a mesh without a unit is given before it is fitted to a head [mm]."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class OwnMesh:
    """mesh : its outside [mm]. told : what was done to it, in words. file : its name."""

    mesh: TriangleMesh
    told: tuple[str, ...]
    file: str


def own_mesh(request: DraftRequest, options: ShellOptions) -> OwnMesh:
    """The traced mesh, made ready.

    Raises DraftError for no mesh, no unit, a size that cannot be meant, or faults that cannot be mended.
    """
    trace = request.statement.trace
    if trace is None or trace.mesh is None:
        raise DraftError(
            "there is no mesh to lay flat.", advice='Say trace = { file = "NAME.obj" } with the piece.'
        )
    factor, sized = _factor(request, options, trace.file, trace.mesh)
    told = [sized] if sized else []
    placed = TriangleMesh(factor * upright(trace.mesh.vertices, options), trace.mesh.faces)
    size = float(np.ptp(placed.vertices, axis=0).max())
    if not LEAST_SIZE <= size <= MOST_SIZE:
        raise DraftError(
            f"{trace.file} would be {size:.0f} mm long.", advice="Check its unit, or give another scale."
        )
    try:
        mended = mend(placed)
    except MeshBroken as error:
        raise DraftError(
            f"{trace.file} cannot be mended: {error}.",
            advice="Keep its outer skin only, without inner walls, and save it again.",
        ) from error
    if mended.mended:
        told.append(f"{trace.file}: {', '.join(mended.mended)}.")
    mesh = simplify(mended.mesh, MOST_FACES)
    if len(mesh.faces) < len(mended.mesh.faces):
        told.append(f"{trace.file}: made coarser, to {len(mesh.faces)} triangles; small details are gone.")
    if options.detail > 0.0:
        smooth = without_detail(mesh, options.detail)
        off = nearest_faces(mesh.vertices, mesh.faces, smooth.vertices).distance
        told.append(
            f"{trace.file}: details finer than {0.1 * options.detail:g} cm are smoothed away; "
            f"the surface moved by up to {off.max():.0f} mm."
        )
        mesh = smooth
    mesh = even(mesh)
    return OwnMesh(mesh=mesh, told=tuple(told), file=trace.file)


def even(mesh: TriangleMesh) -> TriangleMesh:
    """The mesh without needles."""
    edges = mesh.edges()
    run = np.linalg.norm(mesh.vertices[edges[:, 0]] - mesh.vertices[edges[:, 1]], axis=1)
    return without_short_edges(mesh, NEEDLE * float(run.mean()))


def upright(vertices: Points, options: ShellOptions) -> Points:
    """Places turned so that up is +z and the front -y, (n, 3)."""
    placed = vertices[:, [0, 2, 1]] * (1.0, -1.0, 1.0) if options.up == "y" else vertices
    turn = np.radians(options.turn)
    across = np.array(
        [[np.cos(turn), np.sin(turn), 0.0], [-np.sin(turn), np.cos(turn), 0.0], [0.0, 0.0, 1.0]]
    )
    turned: Points = placed @ across
    return turned


def _factor(request: DraftRequest, options: ShellOptions, file: str, mesh: TriangleMesh) -> tuple[float, str]:
    """From the file's unit to millimetres on this wearer, and what to tell of it."""
    unit = options.unit or ("m" if file.lower().endswith(".glb") else None)
    if unit is None and options.fit == "head":
        return ON_A_HEAD / float(np.ptp(mesh.vertices, axis=0).max()), ""
    if unit is None:
        raise DraftError(
            f"{file} does not say its unit.", advice="Say unit = 'mm', 'cm', 'm' or 'in' in the options."
        )
    factor = UNITS[unit] * options.scale
    if options.model_head is None:
        return factor, ""
    if options.fit == "head":
        raise DraftError(
            "it is to be fitted to the head, and also by the head that it was made for.",
            advice="Say either fit = 'head' or model_head.",
        )
    girth = request.form.measures.get("head_girth")
    if girth is None:
        raise DraftError(
            "the wearer's head girth is not known.", advice="Take it and add head_girth, or say fit = 'head'."
        )
    grown = girth / options.model_head
    return factor * grown, f"{file}: made {grown:.2f} times its size, by the head that it was made for."
