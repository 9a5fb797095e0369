"""Helms: the skull in gores, a brim in two halves, a crest, and what they ask of head, sight and neck."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from layfigure.draft.flatten.worn_stretch import weighted_quantile
from layfigure.draft.registry import Check, DraftRequest, DraftResult
from layfigure.draft.sheet_practice import cautions_for, sheet_practice
from layfigure.draft.shell.brim import Brim, BrimHalf, brim_halves, brim_mesh
from layfigure.draft.shell.cap import standing_out
from layfigure.draft.shell.chin_strap import CHIN_STRAP
from layfigure.draft.shell.crest import crest_mesh, crest_piece
from layfigure.draft.shell.gore_pieces import PieceWords, gore_pieces, piece_of
from layfigure.draft.shell.gores import cut_gores
from layfigure.draft.shell.head_place import MEASURES, HeadCap, place_head
from layfigure.draft.shell.note import gore_note, joining_words, mass_words
from layfigure.draft.shell.options import ShellOptions
from layfigure.draft.shell.shell_checks import (
    join_check,
    mass_of,
    outline_check,
    room_check,
    stretch_checks,
)
from layfigure.draft.shell.shell_windows import gore_sheets
from layfigure.draft.shell.surface_mesh import cap_mesh
from layfigure.draft.verdict import wrap_verdict
from layfigure.draft.window.cut_out import with_windows
from layfigure.geometry.polyline import length
from layfigure.materials.cloth import Cloth
from layfigure.piece.item import Item
from layfigure.piece.piece import Piece, Verdict
from layfigure.piece.worn import WornSurface

Points = NDArray[np.float64]

LEAST_GORES = 8

ALL_DAY, WITH_BREAKS = 700.0, 1500.0
"""Mass of a headpiece for all day and for wear with breaks [g] (common practice, no source; TRADE 8)."""

CAUTIONS = (
    (
        "Head and neck: weigh the finished helm. Under 0.7 kg is usual for all day, up to 1.5 kg with "
        "breaks. Take it off at any pain or dizziness; whether a neck may carry it is for a doctor to say."
    ),
    (
        "Sight: a brim or a low rim hides steps, kerbs and children. Walk, turn and climb in it at home "
        "first, and have somebody beside you in a crowd."
    ),
    (
        "Hearing: padding over the ears dulls calls, traffic and alarms. Agree on signs, and leave the ears "
        "free where you can."
    ),
    (
        "Heat: a closed head holds it. Take the helm off to cool down and drink; rules of the event and of "
        "its first aiders come first."
    ),
)


def draft_helm(request: DraftRequest, options: ShellOptions, cloth: Cloth, label: str) -> DraftResult:
    """A helm's gores, brim and crest."""
    slug = request.statement.slug
    lining = request.stack + options.padding + options.hair
    neutral = sheet_practice(cloth).neutral_share * cloth.thickness
    head = place_head(request.form, options, lining + neutral)
    brim = Brim(width=options.brim, drop=np.radians(options.brim_drop)) if options.brim > 0.0 else None
    gores = cut_gores(
        head.cap, slug, count=options.gores, step=2, least=LEAST_GORES, rim_joins=brim is not None
    )
    halves = () if brim is None else brim_halves(gores, brim, slug)
    blank = PieceWords(verdict=Verdict(level="paper"), note=(), cautions=(*cautions_for(cloth), *CAUTIONS))
    drawn = gore_pieces(request, cloth, blank, gores, label=label)
    drawn += [brim_piece(request, cloth, blank, half, label) for half in halves]
    worn = [WornSurface(name=slug, mesh=cap_mesh(head.cap), cloth=cloth.slug)]
    if brim is not None:
        worn.append(WornSurface(name=f"{slug}_brim", mesh=brim_mesh(head.cap, brim), cloth=cloth.slug))
    if options.crest > 0.0:
        drawn.append(crest_piece(request, cloth, blank, head.cap, options.crest, label))
        mesh = crest_mesh(head.cap, options.crest)
        worn.append(WornSurface(name=f"{slug}_crest", mesh=mesh, cloth=cloth.slug))
    mass = sum(mass_of(surface.mesh, cloth) for surface in worn)
    p95, most = gores.stretch
    for half in halves:
        p95 = max(p95, weighted_quantile(half.stretch, half.areas, 0.95))
        most = max(most, float(half.stretch.max()))
    checks = (
        *stretch_checks(p95, most, "Take more gores, or a rim that rises and falls less."),
        join_check(drawn),
        outline_check(drawn),
        room_check(standing_out(head.cap, head.beneath)),
        opening_check(head, lining, neutral),
        mass_check(mass),
    )
    verdict = wrap_verdict(checks, form=request.form, cloth=cloth, measures=MEASURES, spread=0.0)
    items = padding_items(head, options)
    note = (
        *gore_note(cloth, gores, "rim"),
        *_brim_note(cloth, options, halves),
        *_crest_note(options),
        *(f"{item.name}: {item.use}" for item in items),
        mass_words(mass),
        *(check.advice for check in checks if check.advice),
        "Try it in card over the hair or wig it is worn with: nod, look up, turn, and take it off again.",
    )
    cut = with_windows(
        request,
        [replace(piece, verdict=verdict, note=note) for piece in drawn],
        lambda: gore_sheets(gores, drawn, slug),
    )
    return DraftResult(
        pieces=cut.pieces,
        checks=(*(replace(check, what=f"{label}: {check.what}") for check in checks), *cut.checks),
        items=items,
        worn=tuple(worn),
    )


def brim_piece(request: DraftRequest, cloth: Cloth, words: PieceWords, half: BrimHalf, label: str) -> Piece:
    """Half a brim as a piece, its middle upright."""
    side = "left" if half.slug == "brim_1" else "right"
    edges = list(half.edges)
    inner = np.concatenate([edge.curve for edge in edges if edge.slug.startswith("inner")])
    outer = edges[0].curve
    return piece_of(
        request,
        cloth,
        words,
        slug=half.slug,
        label=f"{label}, brim, {side} half",
        edges=edges,
        lines=(),
        totals={"outer": "outer edge", "front": "front join", "back": "back join"},
        bottom=outer[len(outer) // 2],
        top=inner[len(inner) // 2],
    )


def opening_check(head: HeadCap, lining: float, neutral: float) -> Check:
    """Whether the head passes: inner girth of the rim against head girth + 2 pi (padding + hair).

    Source: computed geometry, TRADE 8.
    """
    azimuth = np.linspace(0.0, 2.0 * np.pi, 361)
    plan = head.cap.points(azimuth, np.ones_like(azimuth))[:, :2]
    inner = length(plan) - 2.0 * np.pi * neutral
    needed = head.girth + 2.0 * np.pi * lining
    passed = inner >= needed - 1.0
    return Check(
        what="how much of the head, padding and hair passes through its opening",
        value=inner / needed,
        limit=1.0,
        passed=passed,
        advice="" if passed else "Give it more room for hair, or lower its rim.",
    )


def mass_check(mass: float) -> Check:
    """Whether the bare sheet leaves room for paint, padding and neck. mass : [g]."""
    passed = mass <= WITH_BREAKS
    return Check(
        what="what its bare sheet weighs",
        value=mass,
        limit=WITH_BREAKS,
        unit="g",
        passed=passed,
        advice="" if passed else "Take a lighter or thinner sheet, or a smaller brim and crest.",
    )


def padding_items(head: HeadCap, options: ShellOptions) -> tuple[Item, ...]:
    """Padding round the inside, and the strap that holds the helm on."""
    items = [CHIN_STRAP]
    if options.padding > 0.0:
        items.insert(
            0,
            Item(
                slug=f"padding_{options.padding:.0f}mm",
                name=f"Soft foam strip, {options.padding:.0f} mm thick and 40 mm wide",
                length=head.girth,
                use="round the inside of the rim, in parts with gaps for air, and a pad at the crown.",
            ),
        )
    return tuple(items)


def _brim_note(cloth: Cloth, options: ShellOptions, halves: tuple[BrimHalf, ...]) -> tuple[str, ...]:
    if not halves:
        return ()
    return (
        (
            "Join the brim's halves at front and back, then the brim to the rim, mark to mark: "
            f"{joining_words(cloth)}."
        ),
        f"It falls outward by {options.brim_drop:.0f}° from level; a wire in its edge holds it.",
    )


def _crest_note(options: ShellOptions) -> tuple[str, ...]:
    if options.crest <= 0.0:
        return ()
    return ("Glue the crest upright on the middle from front to back, once the skull is joined.",)
