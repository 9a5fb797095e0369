"""Windows cut into the flat pieces of any kind: where each lies, what is left beside it, how it is edged.

A kind says how places on the wearer are carried to its pieces (``Sheet``); all else is the same for all.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from layfigure.draft.registry import Check, DraftRequest
from layfigure.draft.sewn_practice import sewn_practice
from layfigure.draft.window.across_seams import SeamWindows, windows_across
from layfigure.draft.window.behind import set_in_across
from layfigure.draft.window.cut_piece import CutPiece
from layfigure.draft.window.linings import with_linings
from layfigure.draft.window.options import WindowWishes, window_wishes
from layfigure.draft.window.outlines import Outline, window_outlines
from layfigure.draft.window.owners import owners, torn
from layfigure.draft.window.practice import least_strip, window_practice
from layfigure.draft.window.sheet import Sheet
from layfigure.errors import DraftError
from layfigure.materials.cloth import Cloth
from layfigure.piece.piece import Notch, Piece, PieceEdge

Points = NDArray[np.float64]

MEET = 0.05
"""Halves of a window meet at their seam within this [mm]."""
INSIDE = 0.5
"""Points this little outside of a piece still lie on it [mm]."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CutPieces:
    """Pieces with their windows, each followed by what belongs to it, and what was checked."""

    pieces: tuple[Piece, ...]
    checks: tuple[Check, ...] = ()


def with_windows(
    request: DraftRequest,
    pieces: Sequence[Piece],
    sheets: Callable[[], Sequence[Sheet]],
    *,
    mirrored_linings: bool = False,
) -> CutPieces:
    """The pieces of a draft with the windows that its statement names.

    sheets : makes those of the pieces that windows may lie on, if there are windows. mirrored_linings :
    linings are drawn as mirror images.
    Raises DraftError for a window that lies on none of them,
    runs off one, over a seam unless that was asked, or over what it must stay clear of, and for one that
    leaves a strip of the material too narrow to hold.
    """
    if not request.statement.windows:
        return CutPieces(pieces=tuple(pieces))
    wishes, by_slug = window_wishes(request.options), {sheet.slug: sheet for sheet in sheets()}
    own = {piece.slug: piece for piece in pieces if piece.slug in by_slug}
    outlines = window_outlines(request)
    on, across = _owned(outlines, by_slug, wishes)
    strip = max((least_strip(request.cloths[piece.cloth]) for piece in own.values()), default=0.0)
    met = windows_across(by_slug, {slug: outlines[slug].curve for slug in across}, strip=strip)
    backing = _backing(request)
    added: list[Piece] = []
    checks: list[Check] = []
    if across and backing is not None and wishes.backing_as == "inset":
        _refuse_glued_across(request.cloths[next(iter(own.values())).cloth], across[0])
        added += _set_in_across(request, own, by_slug, met, backing)
    cut: list[Piece] = []
    for piece in pieces:
        if piece.slug not in by_slug:
            cut.append(piece)
            continue
        cloth, sheet = request.cloths[piece.cloth], by_slug[piece.slug]
        here = {slug: outlines[slug].laid(sheet.flat, rest=sheet.rest) for slug in on.get(piece.slug, ())}
        parts = met.parts.get(piece.slug, ())
        if not here and not parts:
            cut.append(piece)
            continue
        drafted = CutPiece(piece, sheet, cloth, request.cloths, wishes, backing)
        made, check = drafted.cut(here, parts, met)
        cut += made
        checks += check
    checks += _meetings(cut, met)
    return CutPieces(
        pieces=with_linings((*cut, *added), by_slug, mirrored=mirrored_linings), checks=tuple(checks)
    )


def _backing(request: DraftRequest) -> Cloth | None:
    named = request.statement.backing
    if named is None:
        return None
    if named not in request.cloths:
        raise DraftError(
            f"there is no cloth {named!r}.",
            where=f"piece {request.statement.slug}",
            advice=f"Known: {', '.join(sorted(request.cloths)) or 'none'}.",
        )
    return request.cloths[named]


def _owned(
    outlines: Mapping[str, Outline], sheets: Mapping[str, Sheet], wishes: WindowWishes
) -> tuple[dict[str, list[str]], list[str]]:
    """Windows of every piece by its slug, and those that run across seams."""
    on: dict[str, list[str]] = {}
    across: list[str] = []
    names = list(sheets)
    for slug, outline in outlines.items():
        where = f"window {slug}"
        owner, outside = owners(sheets, outline.curve)
        held = outside <= INSIDE
        if not held.any():
            raise DraftError(
                "the window lies on none of the pieces that can have one.",
                where=where,
                advice="Move it, or name it in windows of the piece that it lies on.",
            )
        count = np.bincount(owner[held], minlength=len(names))
        best = names[int(count.argmax())]
        over_itself = bool(torn(sheets, outline.curve, owner).any())
        if over_itself and not wishes.across_seams:
            raise DraftError(
                f"the window crosses the seam of {_words(best)} with itself.",
                where=where,
                advice="Move it, make it smaller, or write across_seams = true in the options.",
            )
        if (count > 0).sum() == 1 and not over_itself:
            # A motif's own shape tells whether it fits, once it is laid there.
            on.setdefault(best, []).append(slug)
            continue
        if not wishes.across_seams:
            other = next(name for name, held_by in zip(names, count, strict=True) if held_by and name != best)
            raise DraftError(
                f"the window crosses the seam between {_words(best)} and {_words(other)}.",
                where=where,
                advice="Move it, make it smaller, or write across_seams = true in the options.",
            )
        across.append(slug)
    return on, across


def _words(slug: str) -> str:
    return slug.replace("_", " ")


def _refuse_glued_across(cloth: Cloth, slug: str) -> None:
    if not window_practice(cloth).sewn:
        raise DraftError(
            f"nothing can be glued behind a window across a seam of {cloth.name} before that is closed.",
            where=f"window {slug}",
            advice='Write backing_as = "panel", or move the window off the seam.',
        )


def _set_in_across(
    request: DraftRequest,
    pieces: Mapping[str, Piece],
    sheets: Mapping[str, Sheet],
    met: SeamWindows,
    backing: Cloth,
) -> list[Piece]:
    found: list[Piece] = []
    for slug, parts in met.by_window().items():
        allowance = sewn_practice(request.cloths[pieces[parts[0][0]].cloth]).seam
        name = f"{request.statement.slug}_{slug}"
        found += set_in_across(pieces, sheets, parts, backing, min(allowance, 10.0), name)
    return found


def _meetings(pieces: Sequence[Piece], met: SeamWindows) -> list[Check]:
    """How far the halves of windows are apart where they meet at a seam, sewn notch to notch."""
    apart = []
    for crossing in met.crossings:
        own = [
            _from_start(edge, notch)
            for piece in pieces
            for edge in piece.edges
            if edge.seam == crossing.seam
            for notch in edge.notches
            if notch.name == crossing.name
        ]
        whole = [edge.length - edge.eased for p in pieces for edge in p.edges if edge.seam == crossing.seam]
        if len(own) == 2 and len(whole) == 2:
            apart.append(abs(own[0] - own[1]) if abs(whole[0] - whole[1]) < 2 * MEET else 0.0)
    if not apart:
        return []
    return [
        Check.at_most(
            what="how far the halves of a window are apart where they meet at a seam",
            unit="mm",
            value=max(apart),
            limit=MEET,
        )
    ]


def _from_start(edge: PieceEdge, notch: Notch) -> float:
    return edge.length - notch.distance if edge.against else notch.distance
