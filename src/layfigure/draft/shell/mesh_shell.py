"""A mesh of the maker's own laid flat: read, mended, made coarser, cut where it pays, seams made equal."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from layfigure.draft.flatten.worn_stretch import weighted_quantile
from layfigure.draft.registry import Check, DraftRequest, DraftResult
from layfigure.draft.sheet_practice import cautions_for, sheet_practice
from layfigure.draft.shell.chart import CutMesh, FlatChart
from layfigure.draft.shell.chart_fairing import faired, without_teeth
from layfigure.draft.shell.chart_seams import Chain, chain_bevels, chains_of, outline_of
from layfigure.draft.shell.chart_truing import true_charts
from layfigure.draft.shell.flat_pieces import FlatEdge, turned
from layfigure.draft.shell.gore_pieces import PieceWords, piece_of
from layfigure.draft.shell.greedy_cuts import cut_flat
from layfigure.draft.shell.note import joining_words, mass_words
from layfigure.draft.shell.options import ShellOptions
from layfigure.draft.shell.shell_checks import join_check, mass_of, outline_check, stretch_checks
from layfigure.draft.verdict import wrap_verdict
from layfigure.errors import DraftError
from layfigure.geometry.mesh import TriangleMesh
from layfigure.geometry.mesh_offset import offset_mesh
from layfigure.geometry.mesh_repair import MeshBroken, mend
from layfigure.geometry.mesh_simplify import simplify
from layfigure.materials.cloth import Cloth
from layfigure.piece.piece import Piece, Total, Verdict
from layfigure.piece.worn import WornSurface

Points = NDArray[np.float64]

UNITS = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": 25.4}

MOST_FACES = 2400
"""Triangles kept: sides of about 10 mm on a helmet, finer than sheet is shaped by hand."""

FIRST_ROUND = 0.75
"""Share of the pieces allowed that the first round of cutting may use."""

LEAST_SIZE, MOST_SIZE = 30.0, 4000.0
"""A part smaller or larger than this is in another unit than was said [mm]."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CutShell:
    """A mesh cut and laid flat. chains : its seams. outlines : a chart's edges. bevels : of the chains."""

    cut_mesh: CutMesh
    charts: Sequence[FlatChart]
    chains: Sequence[Chain]
    bevels: Points


def cut_shell(mesh: TriangleMesh, *, most_pieces: int) -> CutShell:
    """Cut a mended mesh until it lies flat, and make its seams equal.

    Seams are drawn smooth after a first round of cutting; a second one mends what that stretched.
    """
    cut_mesh = CutMesh(mesh)
    cut_flat(cut_mesh, most_pieces=max(1, int(FIRST_ROUND * most_pieces)))
    without_teeth(cut_mesh)
    cut_mesh.mesh = TriangleMesh(faired(cut_mesh, chains_of(cut_mesh)), mesh.faces)
    charts = cut_flat(cut_mesh, most_pieces=most_pieces)
    chains = chains_of(cut_mesh)
    return CutShell(
        cut_mesh=cut_mesh,
        charts=true_charts(charts),
        chains=chains,
        bevels=chain_bevels(cut_mesh, chains),
    )


def draft_mesh(request: DraftRequest, options: ShellOptions, cloth: Cloth, label: str) -> DraftResult:
    """Pieces of a mesh. Raises DraftError where there is none, or where it cannot be mended."""
    told, mesh = own_mesh(request, options)
    inward = (1.0 - sheet_practice(cloth).neutral_share) * cloth.thickness
    shell = cut_shell(offset_mesh(mesh, -inward), most_pieces=options.most_pieces)
    blank = PieceWords(verdict=Verdict(level="paper"), note=(), cautions=cautions_for(cloth))
    drawn = [chart_piece(request, cloth, blank, shell, number, label) for number in range(len(shell.charts))]
    stretch = np.concatenate([laid.stretch for laid in shell.charts])
    areas = np.concatenate([laid.areas for laid in shell.charts])
    mass = mass_of(shell.cut_mesh.mesh, cloth)
    checks = (
        *stretch_checks(
            weighted_quantile(stretch, areas, 0.95),
            float(stretch.max()),
            "Allow more pieces, or take the finest details off the mesh.",
        ),
        join_check(drawn),
        outline_check(drawn),
        turned_check(shell.charts),
    )
    verdict = wrap_verdict(checks, form=request.form, cloth=cloth, measures=(), spread=0.0)
    note = (
        f"Cut {len(drawn)} pieces from {cloth.name}; the drawing is the outside.",
        f"Edges with the same letter meet: {joining_words(cloth)}.",
        "Close the darts of each piece first, then join the pieces, small to large.",
        mass_words(mass),
        *told,
        *(check.advice for check in checks if check.advice),
        "Make it in card first, at half its size.",
    )
    pieces = tuple(replace(piece, verdict=verdict, note=note) for piece in drawn)
    return DraftResult(
        pieces=pieces,
        checks=tuple(replace(check, what=f"{label}: {check.what}") for check in checks),
        worn=_worn(request, options, shell.cut_mesh.mesh, cloth),
        notes=tuple(f"{label}: {line}" for line in told),
    )


def own_mesh(request: DraftRequest, options: ShellOptions) -> tuple[tuple[str, ...], TriangleMesh]:
    """What was mended, in words, and the mesh in millimetres, coarse enough to cut.

    Raises DraftError for no mesh, no unit, a size that cannot be meant, or faults that cannot be mended.
    """
    trace = request.statement.trace
    if trace is None or trace.mesh is None:
        raise DraftError(
            "there is no mesh to lay flat.", advice='Say trace = { file = "NAME.obj" } with the piece.'
        )
    metres = trace.file.lower().endswith(".glb")
    unit = options.unit or ("m" if metres else None)
    if unit is None:
        raise DraftError(
            f"{trace.file} does not say its unit.",
            advice="Say unit = 'mm', 'cm', 'm' or 'in' in the options.",
        )
    factor = UNITS[unit] * options.scale
    size = float(np.ptp(trace.mesh.vertices, axis=0).max()) * factor
    if not LEAST_SIZE <= size <= MOST_SIZE:
        raise DraftError(
            f"{trace.file} would be {size:.0f} mm long.", advice="Check its unit, or give another scale."
        )
    try:
        mended = mend(TriangleMesh(trace.mesh.vertices * factor, trace.mesh.faces))
    except MeshBroken as error:
        raise DraftError(
            f"{trace.file} cannot be mended: {error}.",
            advice="Keep its outer skin only, without inner walls, and save it again.",
        ) from error
    told = [f"{trace.file}: {', '.join(mended.mended)}."] if mended.mended else []
    mesh = simplify(mended.mesh, MOST_FACES)
    if len(mesh.faces) < len(mended.mesh.faces):
        told.append(f"{trace.file}: made coarser, to {len(mesh.faces)} triangles; small details are gone.")
    return tuple(told), mesh


def chart_piece(
    request: DraftRequest, cloth: Cloth, words: PieceWords, shell: CutShell, number: int, label: str
) -> Piece:
    """One chart as a piece, its long way upright."""
    laid = shell.charts[number]
    loop = laid.chart.loop()
    assert loop is not None
    flat = np.column_stack([laid.flat.real, laid.flat.imag])
    centre = flat[loop].mean(axis=0)
    way = np.linalg.svd(flat[loop] - centre, full_matrices=False)[2][0]
    turn = 0.5 * np.pi - float(np.arctan2(way[1], way[0]))
    upright = turned(flat, turn, centre)
    low, high = upright[loop][:, 1].min(), upright[loop][:, 1].max()
    edges = []
    for place, use in enumerate(outline_of(laid.chart, loop, shell.chains, shell.cut_mesh), start=1):
        border = shell.chains[use.chain].border
        bevel = float(shell.bevels[use.chain])
        edges.append(
            FlatEdge(
                slug=f"edge_{place}",
                curve=upright[use.vertices],
                seam=None if border else f"{request.statement.slug}_{use.chain + 1}",
                against=use.against,
                bevel=None if border else (bevel, bevel),
            )
        )
    longest = sorted(edges, key=lambda edge: -len(edge.curve))[:2]
    piece = piece_of(
        request,
        cloth,
        words,
        slug=f"part_{number + 1}",
        label=f"{label}, part {number + 1} of {len(shell.charts)}",
        edges=edges,
        lines=(),
        totals={edge.slug: edge.slug.replace("_", " ") for edge in longest},
        bottom=np.array([0.0, low]),
        top=np.array([0.0, high]),
    )
    extra = [Total(what="length over all, along the arrow", length=float(high - low))]
    if len(edges) < 2:
        extra.append(Total(what="width over all", length=float(np.ptp(upright[loop][:, 0]))))
    return replace(piece, totals=(*piece.totals, *extra))


def turned_check(charts: Sequence[FlatChart]) -> Check:
    """Whether every face lies the right way up."""
    turned_over = sum(laid.turned for laid in charts)
    return Check(
        what="how many of its triangles would lie upside down",
        value=float(turned_over),
        limit=0.0,
        passed=turned_over == 0,
        advice="" if not turned_over else "Allow more pieces.",
    )


def _worn(
    request: DraftRequest, options: ShellOptions, mesh: TriangleMesh, cloth: Cloth
) -> tuple[WornSurface, ...]:
    """The part where it is worn: on the crown of the head, if that is said; else it is a prop."""
    if options.on != "head":
        return ()
    low, high = mesh.vertices.min(axis=0), mesh.vertices.max(axis=0)
    foot = np.append(0.5 * (low + high)[:2], low[2])
    placed = TriangleMesh(mesh.vertices - foot + request.form.landmarks["crown"], mesh.faces)
    return (WornSurface(name=request.statement.slug, mesh=placed, cloth=cloth.slug),)
