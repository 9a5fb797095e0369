"""The kind ``strand``: beads, chain or cord, hanging between fixings or lying on the body."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from layfigure.draft.belt.strap import across, strap_edges
from layfigure.draft.beneath import folds_at
from layfigure.draft.registry import Check, DraftRequest, DraftResult, PieceKind, register
from layfigure.draft.strand.count import StrandMake
from layfigure.draft.strand.options import StrandOptions
from layfigure.draft.strand.swag import Swag, fixings_along, hanging_swags, lying_swags
from layfigure.draft.strand.worn import worn_strand
from layfigure.draft.strap.route import StrapRun, cross_body_run, run_of_edge, skin_beside
from layfigure.draft.strap.shape import flat_middle
from layfigure.draft.verdict import governing_measures, wrap_verdict
from layfigure.errors import DraftError
from layfigure.geometry.polyline import arc_lengths
from layfigure.geometry.taut_line import Skin
from layfigure.piece.item import Item
from layfigure.piece.piece import Grainline, InnerLine, Piece, Total
from layfigure.piece.worn import WornSurface

Points = NDArray[np.float64]

STRIP = 20.0
"""Width of the strip that shows the fixings [mm]."""

CATCHES = 120.0
"""A loop that hangs deeper than this catches on hands and door handles [mm] (common practice, no source)."""

RESTS = 5.0
"""A chain that the body lifts further than this is said to rest on it [mm]."""

SEEN = 4.0
"""Drawn this far above where it lies: what it lies on is drawn half as far above its own place [mm]."""

THREAD = 1.3
"""Thread over the length of the beads, for knots and tails (common practice, no source)."""

CAUTIONS = (
    "A strand round or near the neck must give way: let in one link or thread that opens at a tug.",
    "Metal can hold nickel: ask the wearer about allergies, and keep it off bare skin.",
    "Loose beads and rings are a hazard to small children; keep strands clear of machines and stairs.",
)


def draft_strand(request: DraftRequest) -> DraftResult:
    """What to buy for a strand, how it hangs, and a strip with the places where it is fixed.

    Raises DraftError for a template strip whose material is not known.
    """
    options = request.options
    assert isinstance(options, StrandOptions)
    where = f"piece {request.statement.slug}"
    make = options.make()
    clearance = request.stack + 0.5 * make.thickness
    skin, run = _run(request, options, clearance)
    held = [place.along for place in run.held]
    fixings = fixings_along(run.points, options.swags, held)
    slack = options.slack if options.slack is not None else (0.15 if options.lies == "hanging" else 0.0)
    if options.lies == "hanging":
        swags = hanging_swags(
            run.points, fixings, make, skin, clearance=clearance, slack=slack, depth=options.sag
        )
    else:
        swags = lying_swags(run.points, fixings, make, slack=slack)
    shown = _shown(swags, skin, clearance, request)
    label = request.statement.label or request.statement.slug.replace("_", " ")
    checks = _checks(swags)
    pieces: list[Piece] = []
    if options.template:
        if request.statement.cloth not in request.cloths:
            raise DraftError(
                f"there is no material {request.statement.cloth!r} for the strip with the fixings.",
                where=where,
                advice="Add it to materials.toml, paper will do, or say template = false.",
            )
        pieces.append(_strip(request, options, fixings, swags, make, checks, label))
    return DraftResult(
        pieces=tuple(pieces),
        checks=tuple(replace(check, what=f"{label}: {check.what}") for check in checks),
        items=_items(options, make, swags, len(fixings)),
        worn=(WornSurface(name=request.statement.slug, mesh=worn_strand(shown, make)),),
        notes=_notes(label, make, swags, fixings),
    )


def _run(request: DraftRequest, options: StrandOptions, clearance: float) -> tuple[Skin, StrapRun]:
    slug = request.statement.edges.get("line")
    if slug is not None:
        placed = request.placement.edges[slug]
        skin = skin_beside(request.form, {at.region for at in placed.at}, spanned=request.spans)
        return skin, run_of_edge(slug.replace("_", " "), placed, skin, clearance)
    skin = skin_beside(request.form, ["torso"], spanned=request.spans)
    run = cross_body_run("strap", request.form, skin, options.over, options.low, clearance)
    return skin, _half(run, options.part)


def _shown(swags: Sequence[Swag], skin: Skin, clearance: float, request: DraftRequest) -> list[Swag]:
    """As pictures show them: off what they lie on, which is shown a little off the skin too."""
    points = np.concatenate([swag.points for swag in swags])
    seen = SEEN if request.stack > 0.0 else 0.0
    off = clearance + seen + folds_at(request.form, points[:, 2], request.folds)
    _, normal, high = skin.near(points)
    moved = points + np.maximum(off - high, 0.0)[:, None] * normal
    bounds = np.cumsum([len(swag.points) for swag in swags])[:-1]
    return [replace(swag, points=own) for swag, own in zip(swags, np.split(moved, bounds), strict=True)]


def _half(run: StrapRun, part: str) -> StrapRun:
    """The front or the back of a strap that runs from the hip over the shoulder and down again."""
    along = arc_lengths(run.points)
    top = int(np.argmin(np.abs(along - along[-1] * run.held[0].along / run.length)))
    halves = [np.arange(top, -1, -1), np.arange(top, len(along))]
    front = min(halves, key=lambda rows: float(run.points[rows, 1].mean()))
    rows = front if part == "front" else next(h for h in halves if h is not front)
    return replace(
        run,
        points=run.points[rows],
        outward=run.outward[rows],
        gap=run.gap[rows],
        length=float(arc_lengths(run.points[rows])[-1]),
        held=(),
        rings=False,
    )


def _checks(swags: Sequence[Swag]) -> list[Check]:
    deepest = max(swag.sag for swag in swags)
    return [
        Check.at_most(
            what="how deep its deepest part hangs",
            unit="mm",
            value=deepest,
            limit=CATCHES,
            advice="Take more swags or less slack, so that it does not catch.",
        )
    ]


def _items(options: StrandOptions, make: StrandMake, swags: Sequence[Swag], fixings: int) -> tuple[Item, ...]:
    counted = sum(swag.count for swag in swags)
    whole = sum(swag.length for swag in swags)
    buy = math.ceil(counted * (1.0 + options.spare))
    each = None if options.mass_each is None else 1000.0 * options.mass_each
    items: list[Item] = []
    if make.made_of == "beads":
        items += [
            Item(
                slug=f"bead_{options.of}_{make.bead:g}mm".replace(" ", "_"),
                name=f"bead of {options.of}, {make.bead:g} mm",
                count=buy,
                mass=each,
                use=f"{counted} and some to spare, threaded",
            ),
            Item(slug="bead_thread", name="bead thread", length=THREAD * whole, use="through the beads"),
        ]
    elif make.made_of == "chain":
        items.append(
            Item(
                slug=f"ring_{options.of}_{make.ring:g}mm".replace(" ", "_"),
                name=f"ring of {options.of}, {make.ring:g} mm inside, wire {make.wire:g} mm",
                count=buy,
                mass=each,
                use=f"{counted} and some to spare, linked one in the next; or bend each from "
                f"{make.wire_a_ring:.0f} mm of wire",
            )
        )
    else:
        items.append(
            Item(
                slug=f"cord_{options.of}_{make.cord:g}mm".replace(" ", "_"),
                name=f"cord of {options.of}, {make.cord:g} mm thick",
                length=whole * (1.0 + options.spare),
                use="ends sealed or whipped",
            )
        )
    fixing = {
        "ring": Item(slug="jump_ring", name="small split ring", count=fixings, use="one at every fixing"),
        "clip": Item(
            slug="small_clip", name="small clip or toggle", count=fixings, use="one at every fixing"
        ),
        "sewn": None,
    }[options.fixing]
    return (*items, *((fixing,) if fixing is not None else ()))


def _notes(label: str, make: StrandMake, swags: Sequence[Swag], fixings: Points) -> tuple[str, ...]:
    counts = [swag.count for swag in swags]
    what = {"beads": "beads", "chain": "rings", "cord": ""}[make.made_of]
    each = (
        f"{min(counts)} to {max(counts)} {what} a part"
        if min(counts) < max(counts)
        else f"{counts[0]} {what} a part"
    )
    whole = sum(swag.length for swag in swags)
    said = f"{label}: {whole:.0f} mm in {len(swags)} {'part' if len(swags) == 1 else 'parts'}"
    deep = max(swag.sag for swag in swags)
    rests = max(swag.pressed for swag in swags) > RESTS
    return (
        f"{said}, {sum(counts)} {what} in all, {each}." if what else f"{said}.",
        f"{label}: fixed at {len(fixings)} places"
        + (f", its parts hanging up to {deep:.0f} mm." if deep > 1.0 else "."),
        *((f"{label}: rests on the body in part, and hangs less deep there.",) if rests else ()),
    )


def _strip(
    request: DraftRequest,
    options: StrandOptions,
    fixings: Points,
    swags: Sequence[Swag],
    make: StrandMake,
    checks: list[Check],
    label: str,
) -> Piece:
    """A straight strip as long as the path, with a line across at every fixing."""
    statement = request.statement
    cloth = request.cloths[statement.cloth]
    whole = float(fixings[-1])
    middle = flat_middle(whole, (), STRIP)
    marks = [InnerLine(kind="centre", curve=middle, label="way of the strand")]
    for number, at in enumerate(fixings, start=1):
        shown = float(np.clip(at, 0.6, whole - 0.6))
        marks.append(
            InnerLine(kind="placement", curve=across(middle, shown, STRIP), label=f"fixing {number}")
        )
    slug = statement.edges.get("line")
    edge = None if slug is None else request.placement.edges[slug]
    at = [] if edge is None else list(edge.at)
    measures = [
        name
        for region in sorted({place.region for place in at} or {"torso"})
        for name in governing_measures(
            region,
            min((place.station for place in at if place.region == region), default=0.0),
            max((place.station for place in at if place.region == region), default=4.0),
        )
    ]
    verdict = wrap_verdict(
        checks,
        form=request.form,
        cloth=cloth,
        measures=measures,
        spread=0.0 if edge is None or not len(edge.spread) else float(edge.spread.max()),
        assumed=("the strand hangs or lies as a soft line does, on a body that stands still",),
    )
    edges = strap_edges(middle, STRIP, fold_back=0.0, long_allowance=0.0)
    return Piece(
        slug=f"{statement.slug}_fixings",
        label=f"{label}, strip for its fixings",
        kind=statement.kind,
        cloth=cloth.slug,
        edges=edges,
        grainline=Grainline(start=(0.3 * whole, 0.0), end=(0.6 * whole, 0.0), kind="any"),
        totals=(
            Total(what="middle line, first to last fixing", length=whole),
            Total(what="first to second fixing", length=float(fixings[1] - fixings[0])),
            Total(what="width of the strip", length=STRIP),
        ),
        verdict=verdict,
        side="middle" if statement.side == "both" else statement.side,
        lines=tuple(marks),
        note=_make_note(options, make, swags),
        cautions=CAUTIONS,
        layer=statement.layer,
        edition=request.edition,
    )


def _make_note(options: StrandOptions, make: StrandMake, swags: Sequence[Swag]) -> tuple[str, ...]:
    lines = ["A strip to mark by, not to wear: lay it along the way of the strand and prick every fixing."]
    for number, swag in enumerate(swags, start=1):
        what = {"beads": f"{swag.count} beads, ", "chain": f"{swag.count} rings, ", "cord": ""}[make.made_of]
        hang = f", hangs {swag.sag:.0f} mm" if swag.sag > 1.0 else ""
        lines.append(f"Part {number}: {what}{swag.length:.0f} mm{hang}.")
    if make.made_of == "chain":
        lines.append("Close every ring fully, ends flush, or it opens under load and scratches.")
    elif make.made_of == "beads":
        lines.append("Knot at both ends of every part, so that one break loses one part.")
    else:
        lines.append("Whip or seal the cord before cutting it.")
    lines.append(
        {
            "ring": "Fix each place with a small ring through leather or a sewn loop.",
            "sewn": "Sew each place down through every layer but the wearer's own.",
            "clip": "Fix each place with a clip, so that the strand comes off to wash.",
        }[options.fixing]
    )
    return tuple(lines)


KIND = register(
    PieceKind(
        name="strand",
        summary="beads, chain or cord along a line: counts to buy, lengths, and where it is fixed",
        options=StrandOptions,
        draft=draft_strand,
        # It lies there, and adds nothing to the cloth that a layer above must pass over.
        covers=lambda _options, _side: {"torso": 0.0},
        spans=False,
        edges={
            "line": "way of the strand; sharp points and ends hold it. None for one on a cross-body strap"
        },
    )
)
