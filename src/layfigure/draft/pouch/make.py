"""Box, flat and rolled pouches: their parts, what fits in them, and what they need."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from layfigure.draft.pouch.contents import (
    Content,
    Inside,
    inside_for,
    pocket_widths,
    rolled_diameter,
    room_around,
)
from layfigure.draft.pouch.loops import FREE, BeltLoops, closing_items, fit_loops, loop_lines, loop_part
from layfigure.draft.pouch.options import PouchOptions
from layfigure.draft.pouch.shell import (
    FLAP_OF_ROLL,
    MARGIN,
    PouchPart,
    back,
    front,
    roll_base,
    roll_pockets,
    strip,
)
from layfigure.draft.pouch.worn import box_mesh, cylinder_mesh
from layfigure.draft.registry import Check
from layfigure.draft.sewn_practice import SewnPractice, sewn_practice
from layfigure.errors import DraftError
from layfigure.geometry.mesh import TriangleMesh
from layfigure.materials.cloth import Cloth
from layfigure.piece.item import Item

MITRED = ("foam", "thermoplastic")
"""Sheets that are joined edge to edge."""


@dataclass(frozen=True, slots=True, kw_only=True)
class MadePouch:
    """A pouch before its parts become pieces. solid : its shape, to be hung on a belt."""

    parts: tuple[PouchPart, ...]
    checks: tuple[Check, ...]
    items: tuple[Item, ...]
    told: tuple[str, ...]
    solid: TriangleMesh
    loops: BeltLoops | None


def make_box(
    options: PouchOptions, things: tuple[Content, ...], cloth: Cloth, slug: str, where: str
) -> MadePouch:
    """Front, back with flap, and the strip round the sides of a box."""
    practice, inside = pouch_practice(cloth), inside_for(options, things, where)
    # Lines run in the middle of the sheet, half a thickness outside the room on either side.
    width, depth, height = (size + cloth.thickness for size in (inside.width, inside.depth, inside.height))
    flap = options.flap * height
    loops = fit_loops(options, cloth, width, height, where)
    parts = [
        front(width, height, practice, slug, "strip"),
        strip(width, height, depth, practice, slug),
        back(width, height, depth, flap, practice, slug, "strip", loop_lines(loops, 0.0, width)),
        *_loops(loops, options, practice),
    ]
    return MadePouch(
        parts=tuple(parts),
        checks=_fits(things, inside, soft=False),
        items=closing_items(options, width, 0.0),
        told=(*_told(things, inside, options), *(loops.told if loops else ())),
        loops=loops,
        solid=box_mesh(width, depth, height),
    )


def make_flat(
    options: PouchOptions, things: tuple[Content, ...], cloth: Cloth, slug: str, where: str
) -> MadePouch:
    """Front and back of a flat pouch."""
    practice, inside = pouch_practice(cloth), inside_for(options, things, where)
    # Two flat layers hold what a tape round them does, and lose height to the bulge.
    width = inside.width + inside.depth + cloth.thickness
    height = inside.height + 0.5 * inside.depth + cloth.thickness
    flap = options.flap * height
    loops = fit_loops(options, cloth, width, height, where)
    parts = [
        front(width, height, practice, slug, "back"),
        back(width, height, 0.5 * inside.depth, flap, practice, slug, "front", loop_lines(loops, 0.0, width)),
        *_loops(loops, options, practice),
    ]
    return MadePouch(
        parts=tuple(parts),
        checks=_fits(things, inside, soft=True),
        items=closing_items(options, width, 0.0),
        told=(*_told(things, inside, options), *(loops.told if loops else ())),
        loops=loops,
        solid=box_mesh(inside.width, max(inside.depth, 3.0), height),
    )


def make_roll(
    options: PouchOptions, things: tuple[Content, ...], cloth: Cloth, slug: str, where: str
) -> MadePouch:
    """A roll with a pocket for each thing. Raises DraftError without contents."""
    if not things:
        raise DraftError(
            "a roll needs to know what lies in its pockets.", where=where, advice="List its contents."
        )
    practice = pouch_practice(cloth)
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
    reach = 0.5 * options.loop_width + FREE
    first, last = width - 0.45 * around - reach, width - 0.15 * around + reach
    loops = fit_loops(options, cloth, last - first, height, where)
    outer = loop_lines(loops, first, last)
    parts = [
        replace(base, lines=(*base.lines, *outer)),
        roll_pockets(widths, tuple(thing.name for thing in things), pocket, practice, slug),
        *_loops(loops, options, practice),
    ]
    told = (
        f"Takes {len(things)} things in pockets as marked; rolled up it is about {round(thick):d} mm thick.",
        "Roll from the end without loops; the tie goes twice round.",
        *(loops.told if loops else ()),
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
    return MadePouch(
        parts=tuple(parts),
        checks=checks,
        items=closing_items(options, width, around),
        told=told,
        loops=loops,
        solid=cylinder_mesh(thick, height),
    )


def pouch_practice(cloth: Cloth) -> SewnPractice:
    """Allowances for a pouch: stiff sheets that butt are cut to their outer face, half a thickness out."""
    practice = sewn_practice(cloth)
    return replace(practice, seam=0.5 * cloth.thickness) if cloth.kind in MITRED else practice


def joining(cloth: Cloth) -> tuple[str, ...]:
    """How stiff sheets meet, in words; nothing for what is sewn."""
    if cloth.kind not in MITRED:
        return ()
    # Two plates at a right angle: each takes half of what is missing from a half turn.
    return ("Bevel every joining edge at 45 degrees, the inner face smaller, and glue edge to edge.",)


def _loops(loops: BeltLoops | None, options: PouchOptions, practice: SewnPractice) -> list[PouchPart]:
    return [loop_part(loops, options, practice)] if loops else []


def _different(things: tuple[Content, ...]) -> tuple[Content, ...]:
    return tuple(dict.fromkeys(things))


def _fits(things: tuple[Content, ...], inside: Inside, *, soft: bool) -> tuple[Check, ...]:
    """Whether each thing goes in by itself."""
    checks = []
    for thing in _different(things):
        room = room_around(thing, inside, soft=soft)
        checks.append(
            Check.at_least(
                what=f"room around {thing.name}",
                unit="mm",
                value=room,
                limit=0.0,
                advice=f"{thing.name} does not go in: leave the inside sizes unsaid.",
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
