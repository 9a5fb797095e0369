"""Boot covers: soft panels over a shoe and up the shank, separate or sewn to the shoe.

Two panels that mirror each other meet in a seam down the front over the toe and one down the back; their
lower edge is the sole line. Made for flat shoes: the foot stands level.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from layfigure.body.levels import split_region
from layfigure.draft.boot_note import boot_cautions, boot_items, boot_note
from layfigure.draft.boot_options import BootOptions
from layfigure.draft.boot_panel import BootMesh, boot_mesh, lay_flat, level_line
from layfigure.draft.boot_surface import WALL, BootHalf, boot_half
from layfigure.draft.flatten.outline_notches import seam_notches
from layfigure.draft.flatten.panel import FlatPanel
from layfigure.draft.flatten.worn_stretch import greatest_stretch_p95
from layfigure.draft.registry import Check, DraftRequest, DraftResult
from layfigure.draft.sewn_practice import sewn_practice
from layfigure.draft.wrap_edge import WrapEdge, mirrored, wrap_edge
from layfigure.draft.wrap_verdict import governing_measures, wrap_verdict
from layfigure.errors import DraftError
from layfigure.geometry.mesh import TriangleMesh
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
from layfigure.piece.worn import WornSurface

Points = NDArray[np.float64]

WORKED_IN = 0.08
"""Of stretch that cloth takes over a toe by easing and steam, its own stretch apart (common practice, no
source)."""
ZIP_CLEAR = 30.0
"""A zip ends this far above the lower edge [mm]."""
SHOE_NOT_MEASURED = "the shoe's sole and toe room are a guess"


def draft_boot(request: DraftRequest, options: BootOptions) -> DraftResult:
    """Panels of one cover, or of a pair, each leg from its own tapes.

    Raises DraftError for cloth that is not soft, edges elsewhere than on a shank, or a foot not found.
    """
    cloth = request.cloth
    if cloth.kind in ("foam", "thermoplastic"):
        raise DraftError(
            f"{cloth.name} is too stiff for a boot cover.",
            advice="Choose leather, vinyl, cloth or knit, or leave out boot for a stiff guard.",
        )
    statement = request.statement
    if "top" not in statement.edges:
        raise DraftError("a boot cover needs a top edge.", advice="Add top = 'edge name' to its edges.")
    if "bottom" in statement.edges:
        raise DraftError(
            "a boot cover ends at its sole line.",
            advice="Leave out the bottom edge; say sole_line if it should end higher.",
        )
    top = wrap_edge(request.placement.edges[statement.edges["top"]])
    definition, side = split_region(top.region)
    if definition.name != "shank" or not top.goes_round:
        raise DraftError(
            f"the top edge of a boot cover lies on {top.region}, or not right round it.",
            advice="Draw it right round the lower leg, below the knee.",
        )
    label = statement.label or statement.slug.replace("_", " ")
    if statement.side != "both":
        return _one_leg(request, options, cloth, top, side, statement.slug, label)
    legs = [
        _one_leg(
            request,
            options,
            cloth,
            mirrored(top, f"shank_{each}"),
            each,
            f"{statement.slug}_{each}",
            f"{label}, {each}",
        )
        for each in ("left", "right")
    ]
    return DraftResult(
        pieces=tuple(piece for leg in legs for piece in leg.pieces),
        checks=tuple(check for leg in legs for check in leg.checks),
        items=tuple(item for leg in legs for item in leg.items),
        worn=tuple(surface for leg in legs for surface in leg.worn),
    )


def _one_leg(
    request: DraftRequest,
    options: BootOptions,
    cloth: Cloth,
    top: WrapEdge,
    side: str,
    slug: str,
    label: str,
) -> DraftResult:
    charts = request.form.charts
    half = boot_half(
        charts[f"shank_{side}"],
        charts[f"foot_{side}"],
        top,
        options,
        request.stack + 0.5 * cloth.thickness,
    )
    mesh = boot_mesh(half, slug)
    flat = lay_flat(mesh)
    strain = greatest_stretch_p95(flat)
    checks = [_strain_check(strain, cloth), _toe_check(half, request, side)]
    checks.extend(_heel_check(half, request, options, cloth, side))
    measures = governing_measures(f"shank_{side}", float(top.station.min()), 1.0)
    guessed = () if {"sole", "toe_room"} <= options.model_fields_set else (SHOE_NOT_MEASURED,)
    verdict = wrap_verdict(
        checks,
        form=request.form,
        cloth=cloth,
        measures=(*measures, *governing_measures(f"foot_{side}", 0.0, 2.0)),
        spread=top.spread,
        assumed=(*request.assumed, *guessed),
        trial="Sew a hand-wide trial seam round a toe shape in it,",
    )
    back = flat.curves["back"]
    zip_length = length(back) - ZIP_CLEAR if options.opening == "back" else length(_slit(mesh, flat))
    piece = _piece(request, options, cloth, mesh, flat, slug, label, verdict)
    piece = replace(piece, note=boot_note(cloth, options, strain=strain, zip_length=zip_length))
    pieces = [piece]
    if "lining" in request.statement.cloths:
        pieces.append(_lining(piece, request.cloths[request.statement.cloths["lining"]]))
    return DraftResult(
        pieces=tuple(pieces),
        checks=tuple(replace(check, what=f"{label}: {check.what}") for check in checks),
        items=boot_items(label, options, zip_length=zip_length, under=_way_under(half, options)),
        worn=tuple(
            WornSurface(
                name=f"{slug}_{name}",
                mesh=TriangleMesh(half.to_space(mesh.panel.vertices, sign), mesh.panel.faces),
                cloth=cloth.slug,
            )
            for name, sign in (("panel_1", 1.0), ("panel_2", -1.0))
        ),
    )


def _piece(
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
    ankle, top = flat.vertices[mesh.ankle], flat.curves["top"]
    origin = points_at(ankle, [0.5 * length(ankle)])[0]
    way = points_at(top, [0.5 * length(top)])[0] - origin
    turn = np.arctan2(-way[0], way[1])

    def upright(places: Points) -> Points:
        cosine, sine = np.cos(turn), np.sin(turn)
        turned: Points = (places - origin) @ np.array([[cosine, -sine], [sine, cosine]])
        return turned

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
        lines.append(InnerLine(kind="slit", curve=upright(_slit(mesh, flat)), label="zip: inner panel only"))
    if not sewn:
        lines.append(_strap_mark(upright(flat.curves["bottom"])))
    # A knit stretches most round the leg; other cloth has its grain along it.
    knit = cloth.kind in ("knit", "mesh")
    tall = float(np.linalg.norm(way))
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


def _lining(piece: Piece, cloth: Cloth) -> Piece:
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


def _slit(mesh: BootMesh, flat: FlatPanel) -> Points:
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


def _way_under(half: BootHalf, options: BootOptions) -> float:
    """From lower edge to lower edge under the shoe where the elastic goes [mm]."""
    bottom = np.array([row[-1] for row in half.foot])
    run = arc_lengths(bottom)
    wide = float(np.interp(0.4 * run[-1], run, bottom[:, 1]))
    return 2.0 * (wide + options.line)


def _strain_check(strain: float, cloth: Cloth) -> Check:
    limit = WORKED_IN + min(cloth.stretch_across, cloth.stretch_along)
    return Check(
        what="how much the panel must stretch or be eased to lie on the shoe, but for 5 % of its area",
        value=strain,
        limit=limit,
        passed=strain <= limit,
        advice="" if strain <= limit else "Choose cloth that stretches, or a longer and flatter toe.",
    )


def _toe_check(half: BootHalf, request: DraftRequest, side: str) -> Check:
    """The foremost sections of the foot fit into the toe box."""
    foot = request.form.charts[f"foot_{side}"]
    sections = foot.sections[foot.stations > 1.5] - half.origin
    sideways = np.cross(np.array([0.0, 0.0, 1.0]), half.forward)
    ahead = (sections @ half.forward).mean(axis=1)
    wide = 0.5 * np.ptp(sections @ sideways, axis=1)
    walls = np.array([row[row[:, 2] <= WALL + 1e-9][0] for row in half.foot])
    room = float((np.interp(ahead, walls[:, 0], walls[:, 1]) - wide).min())
    return Check(
        what="room beside the toes",
        unit="mm",
        value=room,
        limit=0.0,
        passed=room >= 0.0,
        advice="" if room >= 0.0 else "Give it more toe_room.",
    )


def _heel_check(
    half: BootHalf, request: DraftRequest, options: BootOptions, cloth: Cloth, side: str
) -> list[Check]:
    """Whether heel and instep pass through the closed leg; nothing where that girth is not known."""
    heel = request.form.measures.get(f"heel_girth_{side}")
    if heel is None:
        return []
    # A separate cover goes over the shoe; one that is sewn to it takes the bare foot.
    girth = heel + (2.0 * np.pi * options.shoe if options.bottom == "separate" else 0.0)
    narrowest = 2.0 * min(length(row) for row in half.leg[: half.ankle + 1])
    share = narrowest * (1.0 + cloth.stretch_across) / girth
    passes = share >= 1.0
    opens = options.opening != "none"
    advice = ""
    if not passes:
        advice = (
            "Open the zip to put it on and to take it off." if opens else "Give it a zip: opening = 'back'."
        )
    return [
        Check(
            what="how much of the girth of heel and instep passes through it closed",
            value=share,
            limit=1.0,
            passed=passes or opens,
            advice=advice,
        )
    ]
