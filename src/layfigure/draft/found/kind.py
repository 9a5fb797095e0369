"""The kind ``found``: things bought, printed, altered or owned; no pieces to cut."""

from __future__ import annotations

import re
from dataclasses import dataclass

import numpy as np

from layfigure.body.form import Form
from layfigure.body.measures import CATALOGUE
from layfigure.draft.found.options import FoundOptions, PrintedOptions, ThingOptions
from layfigure.draft.found.printed import Split, fewest_parts, scale_for
from layfigure.draft.pouch.worn import box_mesh, hung
from layfigure.draft.registry import Check, DraftRequest, DraftResult, PieceKind, register
from layfigure.errors import DraftError
from layfigure.geometry.mesh import TriangleMesh
from layfigure.piece.item import Item
from layfigure.piece.worn import WornSurface
from layfigure.place.placement import PlacedEdge

SCALES_WELL = (0.75, 1.35)
"""Scaled further than this, walls, pins and holes no longer suit (common practice, no source)."""
MOST_PARTS = 8
DUST = "Sand it wet or with a particle mask; glue and fill it with fresh air about you."
WARM = "Keep it out of a hot car: common printing plastics soften near 60 degrees C (from memory)."


def draft_found(request: DraftRequest) -> DraftResult:
    """Items to buy, print or alter, printed parts split. Raises DraftError for a missing measure."""
    options = request.options
    assert isinstance(options, FoundOptions)
    where = f"piece {request.statement.slug}"
    items: list[Item] = []
    checks: list[Check] = []
    worn: list[WornSurface] = []
    placed = {role: request.placement.edges[slug] for role, slug in request.statement.edges.items()}
    for thing in options.things:
        size = thing.size
        if thing.printed is not None:
            print_ = _print(thing.printed, request, where)
            items += _printed_items(thing, print_)
            checks += _printed_checks(thing, print_)
            size = size or print_.split.size
        else:
            items.append(_item(thing))
        if size is not None and "at" in placed:
            mesh = _shown(size, placed["at"], request.form)
            worn.append(WornSurface(name=f"{request.statement.slug}_{len(worn) + 1}", mesh=mesh))
    return DraftResult(pieces=(), checks=tuple(checks), items=tuple(items), worn=tuple(worn))


@dataclass(frozen=True, slots=True, kw_only=True)
class _Print:
    """A printed part decided. factor : of the model. guessed : the measure was not taken."""

    options: PrintedOptions
    factor: float
    guessed: bool
    split: Split


def _print(options: PrintedOptions, request: DraftRequest, where: str) -> _Print:
    factor, guessed = 1.0, False
    if options.fits is not None:
        if options.model_fits is None:
            raise DraftError(
                f"nothing says which {_words(options.fits)} the model is made for.",
                where=where,
                advice="Measure it inside the model and add model_fits.",
            )
        name = _stored(options.fits, request)
        if name not in request.form.measures:
            raise DraftError(
                f"the wearer's {_words(options.fits)} is not known.",
                where=where,
                advice=f"Take it and add {options.fits} to the wearer's file.",
            )
        factor = scale_for(
            request.form.measures[name],
            options.model_fits,
            options.clearance,
            girth=CATALOGUE[options.fits].kind == "girth",
        )
        guessed = name in request.form.estimated
    size = [side * factor for side in options.size]
    try:
        split = fewest_parts(size, options.bed, options.margin)
    except ValueError as error:
        raise DraftError(f"{error}.", where=where, advice="Make margin smaller.") from error
    return _Print(options=options, factor=factor, guessed=guessed, split=split)


def _stored(measure: str, request: DraftRequest) -> str:
    """Name of a measure on the wearer, of the piece's own side where it has two."""
    if not CATALOGUE[measure].paired:
        return measure
    side = request.statement.side if request.statement.side in ("left", "right") else "left"
    return f"{measure}_{side}"


def _item(thing: ThingOptions) -> Item:
    return Item(
        slug=_slug(thing.name),
        name=thing.name,
        count=thing.count,
        length=thing.length,
        mass=None if thing.mass is None else 1000.0 * thing.mass,
        price=thing.price,
        source=thing.source,
        use=_use(thing),
    )


def _use(thing: ThingOptions) -> str:
    altered = f"Alter: {'; '.join(thing.alter)}." if thing.alter else ""
    return _sentences(thing.use, altered)


def _sentences(*said: str) -> str:
    """What is said, one thing after another, each ended by a full stop; what was alone stays as it is."""
    told = [part for part in said if part]
    return " ".join(
        [part if part.endswith((".", "!", "?")) else f"{part}." for part in told[:-1]] + told[-1:]
    )


def _printed_items(thing: ThingOptions, made: _Print) -> list[Item]:
    grown = made.factor ** (2.0 if made.options.shell else 3.0)
    parts = made.split.parts
    told = [f"Print at {100.0 * made.factor:.1f} %."]
    told += [
        f"Cut the {axis} at {', '.join(f'{place:.0f}' for place in places)} mm from its {_start(axis)} end."
        for axis, places in made.split.cuts()
    ]
    told += [DUST, WARM]
    use = _sentences(_use(thing), *told)
    return [
        Item(
            slug=_slug(thing.name if parts == 1 else f"{thing.name} {name}"),
            name=thing.name if parts == 1 else f"{thing.name}, {name} ({number} of {parts})",
            count=thing.count,
            mass=None if thing.mass is None else 1000.0 * thing.mass * grown / parts,
            price=None if thing.price is None else thing.price * grown / parts,
            source="printed",
            use=use if number == 1 else f"as {thing.name}, {made.split.names()[0]}",
        )
        for number, name in enumerate(made.split.names(), start=1)
    ]


def _start(axis: str) -> str:
    return {"width": "left", "depth": "front", "height": "lower"}[axis]


def _printed_checks(thing: ThingOptions, made: _Print) -> list[Check]:
    parts, factor = made.split.parts, made.factor
    low, high = SCALES_WELL
    checks = [
        Check(
            what=f"{thing.name}: how many parts the printer makes it in",
            value=float(parts),
            limit=float(MOST_PARTS),
            passed=parts <= MOST_PARTS,
            advice=""
            if parts <= MOST_PARTS
            else "So many joins are weak and long work: find a larger printer, or make it of foam.",
        ),
        Check(
            what=f"{thing.name}: how far the model is scaled",
            value=factor,
            limit=high if factor > 1.0 else low,
            passed=low <= factor <= high,
            advice=""
            if low <= factor <= high
            else "Look at model_fits and its unit; if it is right, walls, pins and holes must be made anew.",
        ),
    ]
    if made.guessed and made.options.fits is not None:
        checks.append(
            Check(
                what=f"{thing.name}: whether the measure it is scaled by was taken",
                value=0.0,
                limit=1.0,
                passed=False,
                advice=f"Take the {_words(made.options.fits)} before printing: it is a guess.",
            )
        )
    return checks


def _shown(size: tuple[float, float, float], placed: PlacedEdge, form: Form) -> TriangleMesh:
    """A box of that size where the thing sits, facing away from the body."""
    place = placed.points.mean(axis=0)
    chart = form.charts[placed.at[0].region]
    middle = chart.section(placed.at[0].station).mean(axis=0)
    out = (placed.points[0] - middle)[:2]
    turn = float(np.arctan2(out[0], -out[1]) / (2.0 * np.pi))
    width, depth, height = size
    return hung(box_mesh(width, depth, height), place + np.array([0.0, 0.0, 0.5 * height]), turn)


def _slug(name: str) -> str:
    slug = re.sub(r"[^a-z0-9]+", "_", name.lower()).strip("_")
    return slug if slug[:1].isalpha() else f"thing_{slug}"


def _words(name: str) -> str:
    return name.replace("_", " ")


KIND = register(
    PieceKind(
        name="found",
        summary="things bought, printed, altered or owned: no pieces, a place on the shopping list",
        options=FoundOptions,
        draft=draft_found,
        edges={"at": "where it sits, so that the whole costume shows it there"},
    )
)
