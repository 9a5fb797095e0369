"""The panels of a skirt as pieces: their edges, what each is sewn to, and the lines drawn on them."""

from __future__ import annotations

import itertools
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from layfigure.draft.registry import DraftRequest
from layfigure.draft.woven.bodice_edges import cut_curve
from layfigure.draft.woven.finishing import button_lines, buttonhole_lines, evenly, marked_lines
from layfigure.draft.woven.options import Closure, WovenOptions
from layfigure.draft.woven.skirt import CLEAR, ZIP_LENGTH, PanelPlace, SkirtPart
from layfigure.piece.piece import Grainline, InnerLine, Notch, Piece, PieceEdge, Total, Verdict

Points = NDArray[np.float64]
Side = Literal["left", "right"]


def skirt_pieces(
    request: DraftRequest,
    parts: Sequence[SkirtPart],
    options: WovenOptions,
    verdict: Verdict,
    *,
    cloth: str,
    note: Sequence[str],
    lining: bool = False,
    faced: bool = False,
    breaks: Mapping[str, Sequence[float]] | None = None,
) -> list[Piece]:
    """The panels as pieces.

    faced : the front edges are sewn to facings. breaks : panel to distances along its finished waist edge
    from the
    left at which what is sewn to it is divided [mm].
    """
    closure = options.closure or "front_buttons"
    pieces = []
    for part in parts:
        piece = _panel_piece(
            request,
            part,
            options,
            verdict,
            closure,
            cloth=cloth,
            lining=lining,
            faced=faced,
            breaks=(breaks or {}).get(part.place.slug, ()),
        )
        pieces.append(replace(piece, note=tuple(note)))
    return pieces


def part_name(request: DraftRequest, options: WovenOptions) -> str:
    """What slugs of a skirt's pieces and seams begin with."""
    return request.statement.slug + ("_skirt" if options.garment == "coat" else "")


def part_label(request: DraftRequest, options: WovenOptions) -> str:
    """What labels of a skirt's pieces begin with."""
    label = request.statement.label or request.statement.slug.replace("_", " ")
    return f"{label}, skirt" if options.garment == "coat" else label


def waist_seam(statement: str, panel: str, strip: int) -> str:
    """Identity of the seam that joins one strip of a panel's waist edge to what lies above it."""
    return f"{statement}_waist_{panel}_{strip + 1}"


def _panel_piece(
    request: DraftRequest,
    part: SkirtPart,
    options: WovenOptions,
    verdict: Verdict,
    closure: Closure,
    *,
    cloth: str,
    lining: bool,
    faced: bool,
    breaks: Sequence[float],
) -> Piece:
    place, flat, slug = part.place, part.flat, request.statement.slug
    own = part_name(request, options)
    left, right = extension_of(place, options, closure) if not lining else (0.0, 0.0)
    visible = list(flat.visible)
    if left:
        visible[0] = np.vstack([visible[0][0] - (left, 0.0), visible[0]])
    if right:
        visible[-1] = np.vstack([visible[-1], visible[-1][-1] + (right, 0.0)])
    low = -flat.hem
    corners = np.array([[visible[0][0, 0], low], [visible[-1][-1, 0], low]])
    suffix = "_lining" if lining else ""
    hem_allowance = 0.5 * options.hem_allowance if lining else options.hem_allowance
    edges = [PieceEdge(slug="hem", curve=corners, role="hem", allowance=hem_allowance)]
    edges += _side_edges(
        place.right_seam, np.array([corners[1], visible[-1][-1]]), options, closure, own + suffix, faced
    )
    ends = np.concatenate([[0.0], np.cumsum(part.strips)])
    number = sum(len(_within(breaks, start, end)) + 1 for start, end in itertools.pairwise(ends))
    for k in range(len(visible) - 1, -1, -1):
        before = left if k == 0 else 0.0
        cuts = [before + cut - float(ends[k]) for cut in _within(breaks, float(ends[k]), float(ends[k + 1]))]
        for stretch in reversed(cut_curve(visible[k], cuts)) if cuts else [visible[k]]:
            number -= 1
            edges.append(
                PieceEdge(
                    slug=f"waist_{number + 1}",
                    curve=stretch[::-1],
                    role="seam",
                    allowance=options.seam_allowance,
                    seam=None if lining else waist_seam(slug, place.slug, number),
                    against=True,
                )
            )
        if k:
            edges.append(
                PieceEdge(
                    slug=f"pleat_{k}",
                    curve=flat.hidden[k - 1][::-1],
                    role="seam",
                    allowance=options.seam_allowance,
                )
            )
    edges += _side_edges(
        place.left_seam, np.array([visible[0][0], corners[0]]), options, closure, own + suffix, faced
    )
    middle = 0.5 * flat.width
    side: Side = "left" if place.slug.endswith("left") else "right"
    return Piece(
        slug=f"{own}_{place.slug}{suffix}",
        label=f"{part_label(request, options)}, {place.slug.replace('_', ' ')}{', lining' if lining else ''}",
        kind=request.statement.kind,
        cloth=cloth,
        edges=tuple(edges),
        grainline=Grainline(start=(middle, low + 40.0), end=(middle, low + 0.75 * flat.hem), kind="grain"),
        totals=(
            Total(what="hem edge, pleats open", length=float(corners[1, 0] - corners[0, 0])),
            Total(
                what="waist edge, only the parts that show", length=float(sum(_length(v) for v in visible))
            ),
            Total(what="side seam", length=_side_length(part)),
        ),
        verdict=verdict,
        side=side,
        lines=tuple(_inner_lines(part, left, right, options, lining=lining)),
        layer=request.statement.layer,
        edition=request.edition,
    )


def _within(breaks: Sequence[float], start: float, end: float) -> list[float]:
    """Breaks inside a stretch, clear of its ends by more than a cut curve needs [mm]."""
    return [cut for cut in breaks if start + CLEAR < cut < end - CLEAR]


def extension_of(place: PanelPlace, options: WovenOptions, closure: Closure) -> tuple[float, float]:
    """How far a panel reaches past the centre front at its left and right side [mm]."""
    if closure != "front_buttons":
        return 0.0, 0.0
    return (
        options.overlap if place.left_seam == "centre_front" else 0.0,
        options.overlap if place.right_seam == "centre_front" else 0.0,
    )


def _side_edges(
    seam: str, curve: Points, options: WovenOptions, closure: Closure, statement: str, faced: bool
) -> list[PieceEdge]:
    """The edge along one side, in loop order; a zip divides it. Right sides run up, left sides down."""
    up = bool(curve[1, 1] > curve[0, 1])
    if seam == "centre_front" and closure != "back_zip":
        own = f"{statement}_front_edge_{'right' if up else 'left'}"
        return [
            PieceEdge(
                slug="front_edge",
                curve=curve,
                role="seam" if faced else "closure",
                allowance=options.seam_allowance,
                seam=own if faced else None,
                against=not up,
            )
        ]
    wide = options.seam_allowance if seam == "centre_front" else options.let_out
    name = f"{statement}_{seam}"
    if seam == "centre_back" and closure == "back_zip":
        top, bottom = (curve[1], curve[0]) if up else (curve[0], curve[1])
        stop = top - (0.0, min(ZIP_LENGTH, 0.6 * float(top[1] - bottom[1])))
        runs = [("centre_back", np.array([bottom, stop])), ("zip", np.array([stop, top]))]
        if not up:
            runs = [(slug, run[::-1]) for slug, run in runs[::-1]]
        return [
            PieceEdge(
                slug=s,
                curve=run,
                role="closure" if s == "zip" else "seam",
                allowance=wide,
                seam=f"{name}_{s}",
                against=not up,
            )
            for s, run in runs
        ]
    whole = float(abs(curve[1, 1] - curve[0, 1]))
    # The hip line: a fitter wants it on both mates. Notches lie at a stated height above the hem.
    at = 0.6 * whole
    notch = Notch(name=f"{name} 1", distance=at if up else whole - at)
    return [
        PieceEdge(
            slug=seam, curve=curve, role="seam", allowance=wide, seam=name, against=not up, notches=(notch,)
        )
    ]


def _inner_lines(
    part: SkirtPart, left: float, right: float, options: WovenOptions, *, lining: bool
) -> list[InnerLine]:
    flat = part.flat
    lines = [
        *marked_lines(flat.creases, "fold", "fold"),
        *marked_lines(flat.placements, "placement", "the fold comes to here"),
        InnerLine(
            kind="balance",
            curve=np.array([[0.0, 0.0], [flat.width, 0.0]]),
            label="hips: pleats run straight below",
        ),
    ]
    if lining:
        return lines
    top, low = float(flat.visible[0][0, 1]), -flat.hem
    for reach, x, edge in ((left, 0.0, flat.visible[0][0]), (right, flat.width, flat.visible[-1][-1])):
        if not reach:
            continue
        lines.append(
            InnerLine(kind="centre", curve=np.array([[x, low], [x, float(edge[1])]]), label="centre front")
        )
        heights = evenly(top - 60.0, low + max(0.35 * flat.hem, 60.0), options.button_spacing)
        places = np.stack([np.full(len(heights), x), heights], axis=1)
        # Which side laps over is the maker's; drawn here: the wearer's right over left.
        lines += buttonhole_lines(places, outward=1.0) if x > 0.0 else button_lines(places)
    return lines


def _side_length(part: SkirtPart) -> float:
    edge = part.flat.visible[-1][-1] if part.place.right_seam.startswith("side") else part.flat.visible[0][0]
    return float(edge[1] + part.flat.hem)


def _length(curve: Points) -> float:
    return float(np.linalg.norm(np.diff(curve, axis=0), axis=1).sum())
