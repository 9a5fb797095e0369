"""A fitted bodice from its statement to its pieces, alone or as the upper part of a coat."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from layfigure.draft.registry import Check, DraftRequest, DraftResult
from layfigure.draft.window.cut_out import with_windows
from layfigure.draft.window.sheet import Sheet
from layfigure.draft.woven.armhole_facing import armhole_facings
from layfigure.draft.woven.bodice import BUTTON_IN, SIDES, BodicePlan, Side, bodice_pieces
from layfigure.draft.woven.bodice_checks import bodice_checks, cap_check
from layfigure.draft.woven.bodice_facing import bodice_facings
from layfigure.draft.woven.bodice_fit import FittedBodice, fitted_bodice
from layfigure.draft.woven.bodice_lie import bodice_sheets
from layfigure.draft.woven.collar import collar_pieces
from layfigure.draft.woven.finishing import buttons, evenly, interfacing_of, zip_item
from layfigure.draft.woven.half_outline import Dart
from layfigure.draft.woven.options import WovenOptions
from layfigure.draft.woven.placed import waist_line
from layfigure.draft.woven.reaching import reaching
from layfigure.draft.woven.sleeve import sleeve_end, sleeve_note, sleeve_piece, sleeves_on
from layfigure.draft.woven.sleeve_flat import SleeveFlat
from layfigure.draft.woven.sleeve_lie import sleeve_sheets
from layfigure.draft.woven.trust import woven_verdict
from layfigure.draft.woven.waist_facing import bodice_waist_facings, bodice_waist_seam
from layfigure.draft.woven.worn_collar import worn_collar
from layfigure.draft.woven.worn_shell import worn_bodice, worn_sleeve
from layfigure.piece.item import Item
from layfigure.piece.piece import Piece
from layfigure.piece.worn import WornSurface

Points = NDArray[np.float64]

MEASURES = (
    "bust_girth",
    "waist_girth",
    "nape_to_waist",
    "front_waist_length",
    "shoulder_length_left",
    "shoulder_length_right",
)
SLEEVE_MEASURES = ("upper_arm_girth", "arm_length")


@dataclass(frozen=True, slots=True, kw_only=True)
class WaistJoin:
    """What a bodice is sewn to at its waist.

    breaks : panel to distances from its centre at which the other edge is divided [mm]. seam : from a
    panel and a
    stretch counted from its centre to the seam's name. checks : of the other part.
    """

    breaks: Mapping[str, Sequence[float]]
    seam: Callable[[str, int], str]
    checks: tuple[Check, ...]


def fit(request: DraftRequest, options: WovenOptions) -> tuple[FittedBodice, float]:
    """The bodice laid flat, and how sure its waist edge is [mm]."""
    line, spread = waist_line(request)
    closed = line if np.allclose(line[0], line[-1]) else np.vstack([line, line[:1]])
    fitted = fitted_bodice(
        request.form,
        from_centre_front(closed),
        options.ease,
        stack=request.stack,
        drop=options.armhole_drop,
        princess=options.shaping == "princess",
        back_room=reaching(request.form).back,
    )
    return fitted, spread


def from_centre_front(closed: Points) -> Points:
    """A closed line round the trunk, begun where it passes the centre front and run toward the wearer's
    left.
    """
    ring = closed[:-1]
    front = ring[:, 1] < ring[:, 1].mean()
    start = int(np.where(front, np.abs(ring[:, 0]), np.inf).argmin())
    ring = np.roll(ring, -start, axis=0)
    if ring[len(ring) // 4, 0] < ring[3 * len(ring) // 4, 0]:
        ring = np.roll(ring[::-1], 1, axis=0)
    return np.vstack([ring, ring[:1]])


def draft_bodice(
    request: DraftRequest,
    options: WovenOptions,
    *,
    fitted: tuple[FittedBodice, float] | None = None,
    join: WaistJoin | None = None,
) -> DraftResult:
    """Pieces of a bodice. join : what its waist edge is sewn to. Raises DraftError for edges that leave
    no bodice.
    """
    bodice, spread = fitted or fit(request, options)
    statement, cloth = request.statement, request.cloths[request.statement.cloth]
    closure = options.closure or "front_buttons"
    plan = BodicePlan(
        request=request,
        options=options,
        closure=closure,
        prefix=statement.slug,
        verdict=woven_verdict((), form=request.form, cloth=cloth, measures=(), spread=0.0),
        cloth=cloth.slug,
        breaks={} if join is None else join.breaks,
        waist_seam=join.seam if join else _faced_waist(statement.slug) if options.waist_facing else None,
    )
    checks = bodice_checks(bodice.halves, waist=bodice.waist, bust=bodice.bust)
    sleeves: dict[Side, SleeveFlat] = {}
    if options.sleeves:
        sleeves = sleeves_on(request, options, bodice.halves, alike=bodice.alike)
        checks += (cap_check(options.cap_ease),)
    measures = [
        *MEASURES,
        *(f"{name}_{side}" for name in SLEEVE_MEASURES for side in SIDES if options.sleeves),
    ]
    verdict = woven_verdict(
        (*checks, *(join.checks if join else ())),
        form=request.form,
        cloth=cloth,
        measures=measures,
        spread=spread,
    )
    plan = replace(plan, verdict=verdict)
    pieces = bodice_pieces(
        bodice.halves,
        plan,
        bodice_note(
            bodice, options, closure, joined=join is not None, seated=request.form.posture == "seated"
        ),
    )
    pieces += [
        sleeve_piece(flat, plan, side, sleeve_note(options.cap_ease, flat.elbow_ease))
        for side, flat in sleeves.items()
    ]
    facing = statement.cloths.get("facing", cloth.slug)
    facings = bodice_facings(bodice.halves, plan, facing)
    if not options.sleeves:
        facings += armhole_facings(bodice.halves, plan, facing)
    if options.waist_facing:
        facings += bodice_waist_facings(bodice.halves, plan, facing)
    collar = collar_pieces(request.form, bodice.halves, plan)
    facings += collar
    pieces += facings
    if "interfacing" in statement.cloths:
        pieces += [interfacing_of(piece, statement.cloths["interfacing"]) for piece in facings]
    if "lining" in statement.cloths:
        inside = replace(plan, cloth=statement.cloths["lining"], suffix="_lining")
        pieces += bodice_pieces(bodice.halves, inside, LINING_NOTE)
        pieces += [sleeve_piece(flat, inside, side, LINING_NOTE) for side, flat in sleeves.items()]
    label = statement.label or statement.slug.replace("_", " ")
    shell = worn_bodice(bodice.trunk, bodice.waist_line)
    loose = min(options.ease.bust, options.ease.waist, options.ease.hip) / (2.0 * np.pi)
    worn = [WornSurface(name=statement.slug, mesh=shell, cloth=cloth.slug, gives=loose)]
    worn += worn_collar(shell, bodice.halves, plan)
    for side in sleeves:
        loose = options.ease.arm / (2.0 * np.pi)
        below, _ = sleeve_end(request.form, request, side)
        mesh = worn_sleeve(request.form, side, room=request.stack + loose, below=below)
        name = f"{statement.slug}_sleeve_{side}"
        worn.append(WornSurface(name=name, mesh=mesh, cloth=cloth.slug, gives=loose))
    if join is None:
        cut = with_windows(request, pieces, lambda: upper_sheets(request, options, bodice, pieces))
        pieces, checks = list(cut.pieces), (*checks, *cut.checks)
    return DraftResult(
        pieces=tuple(pieces),
        checks=tuple(replace(check, what=f"{label}: {check.what}") for check in checks),
        items=bodice_items(bodice, options, closure),
        worn=tuple(worn),
    )


def upper_sheets(
    request: DraftRequest, options: WovenOptions, bodice: FittedBodice, pieces: Sequence[Piece]
) -> list[Sheet]:
    """Fronts, backs and sleeves that windows may lie on."""
    sheets = bodice_sheets(request, options, bodice, pieces)
    if options.sleeves:
        sleeves = sleeves_on(request, options, bodice.halves, alike=bodice.alike)
        sheets += sleeve_sheets(request.form, sleeves, pieces, request.statement.slug)
    return sheets


def _faced_waist(slug: str) -> Callable[[str, int], str]:
    return lambda panel, stretch: bodice_waist_seam(slug, panel, stretch)


LINING_NOTE = (
    "Sew the lining like the outside, its darts as soft tucks folded the other way, so it gives.",
    "Where a facing lies, the lining ends at the facing's inner edge: trim it there, less a seam allowance.",
)


def bodice_note(
    bodice: FittedBodice, options: WovenOptions, closure: str, *, joined: bool, seated: bool
) -> tuple[str, ...]:
    """How a bodice is made, in order."""
    darts = any(isinstance(run, Dart) for half in bodice.halves.values() for run in half.runs)
    lines = ["The drawing is the outside, right side up. Mark darts, seams and balance lines on the cloth."]
    if options.shaping == "princess":
        lines.append(
            "Sew each side panel to its middle, notch to notch: the curves bend away from each other, but "
            "both are equally long. Clip the one that bends inward."
        )
    if darts:
        lines.append(
            "Sew each dart from its wide end to its point, tie the threads, press waist and shoulder darts "
            "toward the centre, side darts down: folded like that, the edge across a dart is one smooth line."
        )
    worked_in = max(half.shoulder_eased for half in bodice.halves.values())
    if worked_in > 1.0:
        lines.append(
            f"Work in the back shoulder's {worked_in:.0f} mm more, evenly, so that it lies over the blade."
        )
    lines += [
        "Sew the centre back seam, then shoulders, then sides. Sides and back are wide, to let out.",
        "Sew the facings on at neck and front edges.",
    ]
    lines.append("Set in the sleeves." if options.sleeves else "Sew the armhole facings on, and turn them.")
    if closure == "back_zip":
        lines.append("Set the zip into the centre back from the neck down.")
    elif closure == "front_buttons":
        lines.append("Work the buttonholes on the side that laps over; sew the buttons on the centre line.")
    lines.append(
        "Sew the bodice to the skirt, stretch to stretch: darts and pleats are marked on both."
        if joined
        else "Sew the facings to the waist edge and turn them in."
        if options.waist_facing
        else "Turn up the waist edge."
    )
    if seated:
        lines.append(
            "The back is wider between the armholes, for arms that reach: try it on reaching forward, too."
        )
    lines.append("Fit a toile first: check that the bust line is level and the centre lines hang straight.")
    return tuple(lines)


def bodice_items(bodice: FittedBodice, options: WovenOptions, closure: str) -> tuple[Item, ...]:
    """Buttons or zip."""
    part = "back" if closure == "back_zip" else "front"
    tall = bodice.halves[part, "left"].edge_length("centre")
    if closure == "back_zip":
        return (zip_item(tall, "centre back of the bodice, opening right down"),)
    if closure == "front_buttons":
        count = len(evenly(tall - BUTTON_IN, BUTTON_IN, options.button_spacing))
        return (buttons(count, "down the centre front of the bodice"),)
    return (
        Item(
            slug="hook_and_eye", name="hook and eye", count=3, use="hold an open front together at the bust"
        ),
    )
