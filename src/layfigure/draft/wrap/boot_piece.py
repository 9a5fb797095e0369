"""The flat panel of a boot cover as a piece to cut: edges, marks, zip and lining."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from layfigure.draft.flatten.outline_notches import seam_notches
from layfigure.draft.flatten.panel import FlatPanel
from layfigure.draft.registry import DraftRequest
from layfigure.draft.sewn_practice import sewn_practice
from layfigure.draft.wrap.boot_note import boot_cautions
from layfigure.draft.wrap.boot_options import BootOptions
from layfigure.draft.wrap.boot_panel import BootMesh, level_line
from layfigure.draft.wrap.boot_surface import BootHalf
from layfigure.geometry.polyline import arc_lengths, length, points_at
from layfigure.materials.cloth import Cloth
from layfigure.piece.piece import (
    EdgeRole,
    Grainline,
    InnerLine,
    Notch,
    Piece,
    PieceEdge,
    Total,
    Verdict,
)

Points = NDArray[np.float64]

ZIP_CLEAR = 30.0
"""A zip ends this far above the lower edge [mm]."""


def upright_on_paper(mesh: BootMesh, flat: FlatPanel) -> Callable[[Points], Points]:
    """Moves places on the flat panel so that the middle of its leg stands straight up from the ankle."""
    origin, way = _up_the_leg(mesh, flat)
    turn = np.arctan2(-way[0], way[1])
    cosine, sine = np.cos(turn), np.sin(turn)

    def upright(places: Points) -> Points:
        turned: Points = (places - origin) @ np.array([[cosine, -sine], [sine, cosine]])
        return turned

    return upright


def _up_the_leg(mesh: BootMesh, flat: FlatPanel) -> tuple[Points, Points]:
    """Middle of the ankle on the flat panel, and the way from there to the middle of the top, (2,) each."""
    ankle, top = flat.vertices[mesh.ankle], flat.curves["top"]
    origin = points_at(ankle, [0.5 * length(ankle)])[0]
    return origin, points_at(top, [0.5 * length(top)])[0] - origin


def cover_panel(
    request: DraftRequest,
    options: BootOptions,
    cloth: Cloth,
    mesh: BootMesh,
    flat: FlatPanel,
    slug: str,
    label: str,
    verdict: Verdict,
) -> Piece:
    """The panel upright on the paper, the middle of its leg straight up."""
    upright = upright_on_paper(mesh, flat)
    ankle = flat.vertices[mesh.ankle]
    practice = sewn_practice(cloth)
    sewn = options.bottom == "sewn"
    finish: dict[str, tuple[EdgeRole, float]] = {
        "front": ("seam", practice.seam),
        "back": ("seam", practice.seam),
        "bottom": ("hem", options.under if sewn else practice.curved_hem),
        "top": ("opening", practice.edge),
    }
    notches = seam_notches({slug: flat})[slug]
    edges = []
    for edge in flat.panel.outline:
        curve = upright(flat.curves[edge.slug])
        marks = notches[edge.slug]
        if edge.slug == "back" and options.opening == "back":
            # The curve starts at the heel.
            own = Notch(name=f"{slug}:zip_end", distance=ZIP_CLEAR, count=2)
            marks = tuple(
                sorted(
                    (*(mark for mark in marks if abs(mark.distance - own.distance) > 12.0), own),
                    key=lambda mark: mark.distance,
                )
            )
        role, allowance = finish[edge.slug]
        edges.append(
            PieceEdge(
                slug="sole_line" if sewn and edge.slug == "bottom" else edge.slug,
                curve=curve,
                role=role,
                allowance=allowance,
                seam=edge.seam,
                against=edge.against,
                notches=marks,
            )
        )
    lines = [InnerLine(kind="balance", curve=upright(ankle), label="ankle: level")]
    if options.line < options.sole - 3.0:
        lines.append(
            InnerLine(kind="placement", curve=upright(level_line(mesh, flat, 0.0)), label="top of the sole")
        )
    if options.opening == "inside":
        slit = upright(zip_slit(mesh, flat))
        lines.append(InnerLine(kind="slit", curve=slit, label="zip: inner panel only"))
    if not sewn:
        lines.append(_strap_mark(upright(flat.curves["bottom"])))
    # A knit stretches most round the leg; other cloth has its grain along it.
    knit = cloth.kind in ("knit", "mesh")
    tall = float(np.linalg.norm(_up_the_leg(mesh, flat)[1]))
    start, end = ((-40.0, 0.5 * tall), (40.0, 0.5 * tall)) if knit else ((0.0, 0.3 * tall), (0.0, 0.7 * tall))
    names = {"front": "front seam, top to sole", "back": "back seam", "bottom": "lower edge, heel to toe"}
    return Piece(
        slug=slug,
        label=label,
        kind=request.statement.kind,
        cloth=cloth.slug,
        edges=tuple(edges),
        grainline=Grainline(start=start, end=end, kind="stretch" if knit else "grain"),
        totals=tuple(Total(what=words, length=length(flat.curves[name])) for name, words in names.items()),
        verdict=verdict,
        side="both",
        count=2,
        lines=tuple(lines),
        cautions=boot_cautions(cloth, options),
        layer=request.statement.layer,
        edition=request.edition,
        thickness=cloth.thickness,
    )


def lining_panel(piece: Piece, cloth: Cloth) -> Piece:
    """The same panel in the lining's cloth, seams of its own."""
    allowance = sewn_practice(cloth).seam
    edges = tuple(
        replace(edge, seam=f"{edge.seam}:lining", allowance=allowance)
        if edge.seam
        else replace(edge, allowance=allowance)
        for edge in piece.edges
    )
    return replace(
        piece,
        slug=f"{piece.slug}_lining",
        label=f"{piece.label}, lining",
        cloth=cloth.slug,
        edges=edges,
        lines=piece.lines[:1],
        note=(
            f"Cut two panels of {cloth.name}, one with the drawing turned over.",
            "Sew front and back like the cover, open where the zip is; slip it in, wrong sides together.",
            "Join it along the top edge, turn, and trim it to the lower edge before that is finished.",
        ),
        thickness=cloth.thickness,
    )


def zip_slit(mesh: BootMesh, flat: FlatPanel) -> Points:
    """Where a zip on the inside goes: down the middle of the panel to just above the ankle bones."""
    top = flat.curves["top"]
    start = points_at(top, [0.5 * length(top)])[0]
    ankle = flat.vertices[mesh.ankle]
    end = points_at(ankle, [0.55 * length(ankle)])[0]
    inside = start + (end - start) * 15.0 / np.linalg.norm(end - start)
    return np.linspace(inside, end, 40)


def _strap_mark(bottom: Points) -> InnerLine:
    """Where the elastic is sewn, two fifths of the way from heel to toe; the edge runs from the toe."""
    run = arc_lengths(bottom)
    at, beyond = points_at(bottom, np.array([0.6, 0.61]) * run[-1])
    inward = np.array([-(beyond - at)[1], (beyond - at)[0]]) / np.linalg.norm(beyond - at)
    return InnerLine(kind="placement", curve=np.stack([at, at + 20.0 * inward]), label="elastic")


def way_under(half: BootHalf, options: BootOptions) -> float:
    """From lower edge to lower edge under the shoe where the elastic goes [mm]."""
    bottom = np.array([row[-1] for row in half.foot])
    run = arc_lengths(bottom)
    wide = float(np.interp(0.4 * run[-1], run, bottom[:, 1]))
    return 2.0 * (wide + options.line)
