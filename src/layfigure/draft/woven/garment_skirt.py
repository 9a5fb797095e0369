"""A pleated skirt from its statement to its pieces."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from layfigure.body.form import Form
from layfigure.draft.registry import Check, DraftRequest, DraftResult
from layfigure.draft.window.cut_out import with_windows
from layfigure.draft.woven.finishing import buttons, evenly, interfacing_of, zip_item
from layfigure.draft.woven.options import WovenOptions
from layfigure.draft.woven.placed import hem_height, waist_line
from layfigure.draft.woven.seated_rise import rise_check, seated_rise
from layfigure.draft.woven.skirt import PANELS, ZIP_LENGTH, SkirtPart, skirt_checks, skirt_parts
from layfigure.draft.woven.skirt_finish import front_facings, skirt_band, worn_skirt
from layfigure.draft.woven.skirt_lie import skirt_sheets
from layfigure.draft.woven.skirt_pieces import part_label, part_name, skirt_pieces
from layfigure.draft.woven.skirt_shape import SkirtShape, skirt_shape
from layfigure.draft.woven.thick_parts import skirt_bulk
from layfigure.draft.woven.trust import woven_verdict
from layfigure.draft.woven.waist_facing import skirt_waist_facings
from layfigure.piece.item import Item
from layfigure.piece.piece import Piece
from layfigure.piece.worn import HANGS, WornSurface

OPEN_FRONT = 0.012
"""Half the gap of an open front in pictures, as a share of a turn."""

MEASURES = ("waist_girth", "hip_girth", "waist_height", "hip_height")


def draft_skirt(request: DraftRequest, options: WovenOptions) -> DraftResult:
    """A pleated skirt with a waistband. Raises DraftError for edges that leave no skirt."""
    shape, spread = skirt_on(request, options)
    rounds = [float(shape.round_at(place.first, place.last, 0.0)[-1]) for place in PANELS]
    waists = [shape.waist * share / sum(rounds) for share in rounds]
    result = finish_skirt(request, options, shape, waists, spread=spread, measures=MEASURES)
    if not request.statement.windows:
        return result
    parts = skirt_parts(shape, options, waists, where=f"piece {request.statement.slug}")
    sheets = skirt_sheets(part_name(request, options), shape, parts, result.pieces)
    cut = with_windows(request, result.pieces, lambda: sheets)
    return replace(result, pieces=cut.pieces, checks=(*result.checks, *cut.checks))


def skirt_on(request: DraftRequest, options: WovenOptions) -> tuple[SkirtShape, float]:
    """What the skirt must measure, and how sure its edges are [mm]."""
    line, waist_spread = waist_line(request)
    height, hem_spread = hem_height(request, request.form.level_heights["knee_left"])
    shape = skirt_shape(
        request.form,
        line,
        height,
        waist_ease=options.ease.waist,
        hip_ease=options.ease.hip,
        stack=request.stack,
        where=f"piece {request.statement.slug}",
        seated=seated_rise(request.form, float(line[:, 2].mean())),
    )
    return shape, max(waist_spread, hem_spread)


def finish_skirt(
    request: DraftRequest,
    options: WovenOptions,
    shape: SkirtShape,
    waists: list[float],
    *,
    spread: float,
    measures: tuple[str, ...],
    breaks: Mapping[str, Sequence[float]] | None = None,
) -> DraftResult:
    """Pieces of a skirt whose measures and waist edges are known. breaks : as in ``skirt_pieces``."""
    where, statement = f"piece {request.statement.slug}", request.statement
    parts = skirt_parts(shape, options, waists, where=where, snap=breaks)
    cloth = request.cloths[statement.cloth]
    checks = skirt_checks(shape, parts, options, cloth.width, waist=sum(waists))
    if request.form.posture == "seated":
        checks += (rise_check(seated_rise(request.form, request.form.level_heights["waist"])),)
    verdict = woven_verdict(checks, form=request.form, cloth=cloth, measures=measures, spread=spread)
    closure = options.closure or "front_buttons"
    faced = closure != "back_zip"
    pieces = skirt_pieces(
        request,
        parts,
        options,
        verdict,
        cloth=cloth.slug,
        note=(*skirt_note(options, parts), *seated_note(request.form, shape, parts)),
        faced=faced,
        breaks=breaks,
    )
    finish: list[Piece] = []
    if faced:
        finish += front_facings(request, parts, options, verdict, statement.cloths.get("facing", cloth.slug))
    if options.garment == "skirt":
        finish += (
            [skirt_band(request, parts, options, verdict)]
            if options.waistband
            else skirt_waist_facings(
                request, parts, options, verdict, statement.cloths.get("facing", cloth.slug)
            )
        )
    pieces += finish
    if "interfacing" in statement.cloths:
        pieces += [interfacing_of(piece, statement.cloths["interfacing"]) for piece in finish]
    if "lining" in statement.cloths:
        inside = skirt_parts(shape, options, waists, where=where, lining=True, snap=breaks)
        pieces += skirt_pieces(
            request, inside, options, verdict, cloth=statement.cloths["lining"], note=LINING_NOTE, lining=True
        )
    label = part_label(request, options)
    mesh = worn_skirt(shape, parts, gap=OPEN_FRONT if closure == "front_open" else 0.0)
    return DraftResult(
        pieces=tuple(pieces),
        checks=tuple(_named(label, check) for check in checks),
        items=skirt_items(options, parts),
        worn=(WornSurface(name=part_name(request, options), mesh=mesh, cloth=cloth.slug, gives=HANGS),),
        bulk=skirt_bulk(shape, parts, closure, cloth.thickness),
    )


LINING_NOTE = (
    "Sew the lining like the skirt, with its own small pleats for movement.",
    "Hang it from the waist seam, wrong side to wrong side; its hem stays loose and ends above the skirt's.",
)


def skirt_note(options: WovenOptions, parts: tuple[SkirtPart, ...]) -> tuple[str, ...]:
    """How a pleated skirt is made, in order."""
    count = sum(len(part.flat.hidden) for part in parts if part.depth)
    knife = (
        "all turned toward the back"
        if options.pleat_style == "knife"
        else "in pairs turned away from each other"
    )
    lines = [
        "The drawing is the outside, right side up; left and right are drafted one by one.",
        (
            f"Sew side seams and centre seam, turn up the hem while the cloth is flat, then fold {count} "
            f"pleats, {knife}."
        ),
        "Crease each pleat on its fold line, lay it on its placement line, baste across the top and press.",
        "Above the line marked 'hips' the pleats lie deeper and take in the waist; stitch them down there.",
        "Folded, the top edge is one smooth line. If it is not, a pleat is off its line.",
    ]
    above = "face the waist edge"
    if options.garment == "coat":
        above = "sew it to the bodice"
    elif options.waistband:
        above = "sew on the waistband"
    if options.closure == "back_zip":
        lines.append(f"Set the zip in the upper part of the centre back seam, then {above}.")
    else:
        lines.append(f"Face the front edges, then {above}.")
    lines.append("Hang it for a day before you trust the hem; cloth drops on the bias of the waist edge.")
    return tuple(lines)


def seated_note(form: Form, shape: SkirtShape, parts: Sequence[SkirtPart]) -> tuple[str, ...]:
    """What is different on a wearer who sits."""
    if form.posture != "seated":
        return ()
    lines = [
        (
            "Drafted for a wearer who sits: shorter over the lap and longer behind, so that the hem is level "
            "when she sits. Level it on her sitting, not standing."
        )
    ]
    behind = [part for part in parts if "back" in part.place.slug]
    if shape.plain_seat and not any(part.depth for part in behind):
        lines.append(
            "Its pleats are in front: behind it is plain, so that she sits on none. Tucks take in the "
            "waist there; stitch them down to the line marked 'hips', and press the back seam open."
        )
    elif shape.plain_seat:
        lines.append(
            "Its back reaches below the seat: part the pleats behind and lay them to both sides, so that she "
            "does not sit on them; or leave the centre back seam open below the seat and face both edges."
        )
    return tuple(lines)


def skirt_items(options: WovenOptions, parts: tuple[SkirtPart, ...]) -> tuple[Item, ...]:
    """Buttons, zip and hooks of a skirt."""
    flat = parts[0].flat
    edge = "waistband" if options.waistband else "waist edge"
    if options.closure == "back_zip":
        size = min(ZIP_LENGTH, 0.6 * flat.hem)
        return (
            zip_item(size, "centre back of the skirt, up to the waist edge"),
            Item(slug="hook_and_bar", name="trouser hook and bar", use=f"closes the {edge} above the zip"),
        )
    if options.closure == "front_open":
        return (Item(slug="hook_and_bar", name="trouser hook and bar", use=f"closes the {edge} in front"),)
    top, low = float(flat.visible[0][0, 1]) - 60.0, -flat.hem + max(0.35 * flat.hem, 60.0)
    band = 1 if options.waistband and options.garment == "skirt" else 0
    count = len(evenly(top, low, options.button_spacing)) + band
    of_them = "; the waistband takes one of them" if band else ""
    return (buttons(count, f"down the centre front of the skirt{of_them}"),)


def _named(label: str, check: Check) -> Check:
    return replace(check, what=f"{label}: {check.what}")
