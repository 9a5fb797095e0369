"""The kind ``pouch``: box, flat or roll, sized from what must fit in it."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from layfigure.body.form import Form
from layfigure.draft.circular_options import TURN
from layfigure.draft.hanging_fall import fall_from
from layfigure.draft.pouch_contents import (
    Content,
    Inside,
    every_content,
    inside_for,
    pocket_widths,
    rolled_diameter,
    room_around,
)
from layfigure.draft.pouch_loops import TAB, closing_items, loop_lines, loop_part, loop_span
from layfigure.draft.pouch_options import PouchOptions
from layfigure.draft.pouch_quick import RECIPES
from layfigure.draft.pouch_shell import (
    FLAP_OF_ROLL,
    MARGIN,
    PouchPart,
    back,
    front,
    roll_base,
    roll_pockets,
    strip,
)
from layfigure.draft.pouch_worn import box_mesh, cylinder_mesh, hung
from layfigure.draft.registry import Check, DraftRequest, DraftResult, PieceKind, register
from layfigure.draft.sewn_practice import SewnPractice, sewn_practice
from layfigure.draft.wrap_material import cautions_for
from layfigure.draft.wrap_verdict import wrap_verdict
from layfigure.errors import DraftError
from layfigure.geometry.mesh import TriangleMesh
from layfigure.materials.cloth import Cloth
from layfigure.piece.item import Item
from layfigure.piece.piece import InnerLine, Piece
from layfigure.piece.worn import WornSurface
from layfigure.place.placement import PlacedEdge

TRIAL = "Sew a hand-wide trial seam in it, turn it through and load it,"


@dataclass(frozen=True, slots=True, kw_only=True)
class _Pouch:
    """A pouch before its parts become pieces. solid : its shape, to be hung on a belt."""

    parts: tuple[PouchPart, ...]
    checks: tuple[Check, ...]
    items: tuple[Item, ...]
    told: tuple[str, ...]
    solid: TriangleMesh


def draft_pouch(request: DraftRequest) -> DraftResult:
    """Parts of a pouch, checks that each thing fits, and what to buy. Raises DraftError for missing sizes."""
    options = request.options
    assert isinstance(options, PouchOptions)
    statement = request.statement
    where = f"piece {statement.slug}"
    cloth = request.cloth
    things = every_content(options.contents)
    make = _roll if options.form == "roll" else _box if options.form == "box" else _flat
    pouch = make(options, things, cloth, statement.slug, where)
    label = statement.label or statement.slug.replace("_", " ")
    placed = {role: request.placement.edges[slug] for role, slug in statement.edges.items()}
    verdict = wrap_verdict(
        pouch.checks,
        form=request.form,
        cloth=cloth,
        measures=(),
        spread=0.0,
        assumed=request.assumed,
        trial=TRIAL,
    )
    pieces = []
    for number, part in enumerate(pouch.parts):
        pieces.append(
            Piece(
                slug=f"{statement.slug}_{part.name}",
                label=f"{label}, {part.label}",
                kind=statement.kind,
                cloth=cloth.slug,
                edges=part.edges,
                grainline=part.grainline,
                totals=part.totals,
                verdict=verdict,
                count=part.count,
                lines=part.lines,
                note=(
                    f"Cut {part.count} from {cloth.name}.",
                    *part.note,
                    *(pouch.told if number == 0 else ()),
                ),
                cautions=cautions_for(cloth),
                layer=statement.layer,
                edition=request.edition,
                thickness=cloth.thickness,
            )
        )
    lining = statement.cloths.get("lining")
    if lining is not None:
        pieces += [
            _lined(piece, request.cloths[lining]) for piece in pieces if not piece.slug.endswith("_loop")
        ]
    mesh = _hung(pouch.solid, options, request.form, placed.get("line"), request.stack)
    return DraftResult(
        pieces=tuple(pieces),
        checks=tuple(replace(check, what=f"{label}: {check.what}") for check in pouch.checks),
        items=pouch.items,
        worn=() if mesh is None else (WornSurface(name=statement.slug, mesh=mesh, cloth=cloth.slug),),
    )


def _box(options: PouchOptions, things: tuple[Content, ...], cloth: Cloth, slug: str, where: str) -> _Pouch:
    practice, inside = sewn_practice(cloth), inside_for(options, things, where)
    # Lines run in the middle of the sheet, half a thickness outside the room on either side.
    width, depth, height = (size + cloth.thickness for size in (inside.width, inside.depth, inside.height))
    flap = options.flap * height
    parts = [
        front(width, height, practice, slug, "strip"),
        strip(width, height, depth, practice, slug),
        back(
            width, height, depth, flap, practice, slug, "strip", _loops_on_back(options, width, height, where)
        ),
        *_loops(options, practice),
    ]
    return _Pouch(
        parts=tuple(parts),
        checks=_fits(things, inside, soft=False),
        items=closing_items(options, width, 0.0),
        told=_told(things, inside, options),
        solid=box_mesh(width, depth, height),
    )


def _flat(options: PouchOptions, things: tuple[Content, ...], cloth: Cloth, slug: str, where: str) -> _Pouch:
    practice, inside = sewn_practice(cloth), inside_for(options, things, where)
    # Two flat layers hold what a tape round them does, and lose height to the bulge.
    width = inside.width + inside.depth + cloth.thickness
    height = inside.height + 0.5 * inside.depth + cloth.thickness
    flap = options.flap * height
    parts = [
        front(width, height, practice, slug, "back"),
        back(
            width, height, 0.5 * inside.depth, flap, practice, slug, "front",
            _loops_on_back(options, width, height, where),
        ),
        *_loops(options, practice),
    ]  # fmt: skip
    return _Pouch(
        parts=tuple(parts),
        checks=_fits(things, inside, soft=True),
        items=closing_items(options, width, 0.0),
        told=_told(things, inside, options),
        solid=box_mesh(inside.width, max(inside.depth, 3.0), height),
    )


def _roll(options: PouchOptions, things: tuple[Content, ...], cloth: Cloth, slug: str, where: str) -> _Pouch:
    if not things:
        raise DraftError(
            "a roll needs to know what lies in its pockets.", where=where, advice="List its contents."
        )
    practice = sewn_practice(cloth)
    room = options.clearance + 2.0 * cloth.thickness
    widths = pocket_widths(things, room)
    longest = max(thing.height for thing in things)
    pocket = options.pocket * longest
    height = longest + 2.0 * options.clearance
    width = sum(widths) + 2.0 * MARGIN
    thick = rolled_diameter(things, width, 3.0 * max(cloth.thickness, 0.3))
    around = math.pi * thick
    base = roll_base(width, height, pocket, FLAP_OF_ROLL * longest, practice, slug)
    # The end that is rolled last lies outermost, and the loops on it.
    outer = loop_lines(options, width - 0.45 * around, width - 0.15 * around, 0.92 * height)
    parts = [
        replace(base, lines=(*base.lines, *outer)),
        roll_pockets(widths, tuple(thing.name for thing in things), pocket, practice, slug),
        *_loops(options, practice),
    ]
    told = (
        f"Takes {len(things)} things in pockets as marked; rolled up it is about {round(thick):d} mm thick.",
        "Roll from the end without loops; the tie goes twice round.",
    )
    checks = tuple(
        Check(
            what=f"how much longer than its pocket {thing.name} stands out",
            unit="mm",
            value=thing.height - pocket,
            limit=0.7 * thing.height,
            passed=0.1 * thing.height <= thing.height - pocket <= 0.7 * thing.height,
            advice=""
            if 0.1 * thing.height <= thing.height - pocket <= 0.7 * thing.height
            else f"{thing.name} sits too deep or too loose: change pocket, or give it a roll with its like.",
        )
        for thing in _different(things)
    )
    return _Pouch(
        parts=tuple(parts),
        checks=checks,
        items=closing_items(options, width, around),
        told=told,
        solid=cylinder_mesh(thick, height),
    )


def _loops(options: PouchOptions, practice: SewnPractice) -> list[PouchPart]:
    return [loop_part(options, practice)] if options.loops else []


def _loops_on_back(options: PouchOptions, width: float, height: float, where: str) -> tuple[InnerLine, ...]:
    span = loop_span(options)
    if options.loops and span + TAB > height:
        raise DraftError(
            "the belt is wider than the pouch is high.",
            where=where,
            advice="Write loops = 0 and hang it by a strap, or make it higher.",
        )
    inset = 0.5 * options.loop_width + 5.0
    return loop_lines(options, inset, width - inset, height - 0.5 * TAB)


def _different(things: tuple[Content, ...]) -> tuple[Content, ...]:
    return tuple(dict.fromkeys(things))


def _fits(things: tuple[Content, ...], inside: Inside, *, soft: bool) -> tuple[Check, ...]:
    """Whether each thing goes in by itself."""
    checks = []
    for thing in _different(things):
        room = room_around(thing, inside, soft=soft)
        checks.append(
            Check(
                what=f"room around {thing.name}",
                unit="mm",
                value=room,
                limit=0.0,
                passed=room >= 0.0,
                advice="" if room >= 0.0 else f"{thing.name} does not go in: leave the inside sizes unsaid.",
            )
        )
    return tuple(checks)


def _told(things: tuple[Content, ...], inside: Inside, options: PouchOptions) -> tuple[str, ...]:
    room = " x ".join(f"{size:.0f}" for size in (inside.width, inside.depth, inside.height))
    held = ", ".join(dict.fromkeys(thing.name for thing in things))
    lines = [f"Anything up to {room} mm (across, front to back, upright) fits."]
    if held:
        lines.append(f"Sized for: {held}, with {options.clearance:g} mm to spare.")
    if options.flap > 0.0:
        lines.append(f"The flap covers {100.0 * options.flap:.0f} % of the front.")
    return tuple(lines)


def _lined(piece: Piece, cloth: Cloth) -> Piece:
    """The same part for a lining, made up by itself and dropped in."""
    return replace(
        piece,
        slug=f"{piece.slug}_lining",
        label=f"{piece.label}, lining",
        cloth=cloth.slug,
        edges=tuple(
            replace(edge, seam=None if edge.seam is None else f"{edge.seam}_lining", notches=())
            for edge in piece.edges
        ),
        note=(
            f"Cut {piece.count} from {cloth.name}. Make up like the outside and drop it in, seams inward.",
        ),
        thickness=cloth.thickness,
    )


def _hung(
    solid: TriangleMesh, options: PouchOptions, form: Form, line: PlacedEdge | None, stack: float
) -> TriangleMesh | None:
    """The pouch below the belt's line, against the body; None without a line on the trunk."""
    if line is None or {at.region for at in line.at} != {"torso"}:
        return None
    fall = fall_from(form, line.line, clearance=stack)
    turn = TURN[options.at]
    low = float(np.ptp(solid.vertices[:, 2]))
    place = fall.at(turn, 0.0)
    # Upright, it rests on what stands out farthest behind it.
    out = np.linalg.norm(fall.at(turn, low)[:2] - fall.centre)
    direction = (place[:2] - fall.centre) / np.linalg.norm(place[:2] - fall.centre)
    place[:2] = fall.centre + out * direction
    place[2] += 0.5 * options.belt_width
    return hung(solid, place, turn)


KIND = register(
    PieceKind(
        name="pouch",
        summary="a pouch sized from what must fit in it: box, flat, or a roll with pockets",
        options=PouchOptions,
        draft=draft_pouch,
        edges={"line": "the belt's line, so that the whole costume shows it hanging there"},
        quick=RECIPES,
    )
)
