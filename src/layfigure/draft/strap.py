"""The kind ``strap``: harness and suspension of armour, pulled tight over the body, or across it."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray
from pydantic import BaseModel, ConfigDict, Field, field_validator
from shapely import Polygon

from layfigure.body.chart import ChartPoint
from layfigure.draft.belt_strap import HoleRow, offset_curve
from layfigure.draft.registry import Check, DraftRequest, DraftResult, PieceKind, register
from layfigure.draft.strap_fasten import end_items, fastening_items, hook_and_loop_lap
from layfigure.draft.strap_load import (
    GRAVITY,
    MOVING,
    branch_pulls,
    share_words,
    slips,
    support_shares,
)
from layfigure.draft.strap_note import strap_note
from layfigure.draft.strap_pieces import SEWN_LAP, StrapMake, StrapPart, strap_parts
from layfigure.draft.strap_route import SHARP, StrapRun, cross_body_run, run_of_edge, skin_beside
from layfigure.draft.strap_slots import STILL_OVER, SlotRow
from layfigure.draft.strap_worn import edge_heights, ribbon, worn_ribbon
from layfigure.draft.wrap_material import cautions_for, sheet_practice
from layfigure.draft.wrap_verdict import governing_measures, wrap_verdict
from layfigure.errors import DraftError
from layfigure.files.quantities import Length, Mass, Share
from layfigure.geometry.polyline import length
from layfigure.geometry.taut_line import Skin
from layfigure.materials.cloth import Cloth
from layfigure.piece.item import Item
from layfigure.piece.piece import Grainline, Piece, Total
from layfigure.piece.worn import WornSurface

Points = NDArray[np.float64]

LINES = ("line", "line_2", "line_3", "line_4", "line_5", "line_6")
NARROW, WIDE, LIGHT = 20.0, 25.0, 0.5
"""A strap is 20 mm wide under half a kilogram, 25 to 40 above (common practice, no source) [mm, kg]."""

ASKEW = 20.0
RIVET = 4.0

EDGES_OFF = 15.0
"""A strap's edges standing further off than this look loose [mm] (common practice, no source)."""


class StrapOptions(BaseModel):
    """Options of a strap or harness, as written in costume.toml."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    over: Literal["left", "right"] = Field(
        "left", description="without a placed line: across the body over this shoulder to the other hip"
    )
    low: float = Field(
        3.7,
        ge=2.5,
        le=4.5,
        description="without a placed line: how low on the hip, counted from nape 0, bust 1, under-bust 2, "
        "waist 3, hip 4",
    )
    width: Length = Field(40.0, gt=5.0, le=150.0, description="width of the strap")
    fastening: Literal["buckle", "hook_and_loop", "snaps", "sewn"] = Field(
        "buckle", description="how it is closed and made to fit"
    )
    fastens_at: Share = Field(
        0.3, ge=0.0, le=1.0, description="where along it the ends meet, from its start or highest place"
    )
    holes: int = Field(5, ge=1, le=15, description="holes for the buckle, an odd number")
    hole_spacing: Length | None = Field(
        None, gt=5.0, description="between holes; the strap's width if not said"
    )
    overlap: Length | None = Field(None, ge=20.0, description="overlap of an end that is not buckled")
    tab: Length = Field(40.0, ge=0.0, le=150.0, description="added to ends that are folded or riveted")
    air: Length = Field(1.0, ge=0.0, le=60.0, description="room between the layer below and the strap")
    carries: Mass | None = Field(None, gt=0.0, description="mass that hangs from it")
    moving: Literal["walking", "dancing"] = Field(
        "walking", description="dancing or crowds ask for more than walking"
    )
    plates: int = Field(0, ge=0, le=30, description="overlapping plates riveted to it, 0 for none")
    plate_height: Length = Field(50.0, gt=10.0, description="height of one plate")
    plate_overlap: Length = Field(20.0, gt=0.0, description="overlap of neighbours pushed together")
    plate_travel: Length = Field(12.0, ge=0.0, description="how far each plate slides")

    @field_validator("holes")
    @classmethod
    def _odd(cls, holes: int) -> int:
        if holes % 2 == 0:
            raise ValueError("give an odd number of holes, so that one is in the middle")
        return holes


def draft_strap(request: DraftRequest) -> DraftResult:
    """Pieces of one or several straps and where their load goes.

    Raises DraftError for a strap that cannot carry its plates, or that nothing holds.
    """
    options = request.options
    assert isinstance(options, StrapOptions)
    where = f"piece {request.statement.slug}"
    try:
        return _draft(request, options)
    except DraftError as error:
        raise DraftError(error.what, where=error.where or where, advice=error.advice) from error


def _draft(request: DraftRequest, options: StrapOptions) -> DraftResult:
    statement = request.statement
    if statement.cloth not in request.cloths:
        raise DraftError(f"there is no material {statement.cloth!r}.", advice="Add it to materials.toml.")
    cloth = request.cloths[statement.cloth]
    neutral = request.stack + options.air + sheet_practice(cloth).neutral_share * cloth.thickness
    regions = {at.region for role in LINES for at in _placed_at(request, role)} or {"torso"}
    skin = skin_beside(request.form, regions)
    runs = _runs(request, options, skin, neutral)
    loads = _loads(request, options, runs)
    pieces: list[Piece] = []
    checks: list[Check] = []
    items: list[Item] = []
    worn: list[WornSurface] = []
    for run, load in zip(runs, loads, strict=True):
        make = _make(options, load.pull * MOVING[options.moving])
        parts = strap_parts(run, make)
        rows = ribbon(run, options.width)
        off = np.maximum(edge_heights(skin, rows) - neutral, 0.0)
        found = [
            *_run_checks(run, float(np.percentile(off, 95)), neutral),
            *_part_checks(parts, make, options, load.mass),
        ]
        name = "" if len(runs) == 1 else f"{run.name}: "
        checks += [replace(c, what=f"{name}{c.what}") for c in found]
        pieces += _pieces(request, run, make, parts, cloth, found, many=len(runs) > 1)
        items += _items(run, make, options, load.pull * MOVING[options.moving])
        worn.append(
            WornSurface(
                name=run.name if len(runs) > 1 else statement.slug,
                mesh=worn_ribbon(skin, rows, neutral),
                cloth=cloth.slug,
            )
        )
    label = _label(request)
    named = tuple(replace(check, what=f"{label}: {check.what}") for check in checks)
    return DraftResult(
        pieces=tuple(pieces),
        checks=named,
        items=tuple(items),
        worn=tuple(worn),
        notes=tuple(note for load in loads for note in load.notes),
    )


def _label(request: DraftRequest) -> str:
    return request.statement.label or request.statement.slug.replace("_", " ")


def _placed_at(request: DraftRequest, role: str) -> tuple[ChartPoint, ...]:
    slug = request.statement.edges.get(role)
    return () if slug is None else request.placement.edges[slug].at


def _runs(request: DraftRequest, options: StrapOptions, skin: Skin, neutral: float) -> list[StrapRun]:
    edges, placed = request.statement.edges, request.placement.edges
    lines = [role for role in LINES if role in edges]
    if not lines:
        return [cross_body_run("strap", request.form, skin, options.over, options.low, neutral)]
    return [run_of_edge(edges[role].replace("_", " "), placed[edges[role]], skin, neutral) for role in lines]


@dataclass(frozen=True, slots=True, kw_only=True)
class Load:
    """What one strap bears. mass : [kg]. pull : greatest at one end, at rest [N]. notes : in words."""

    mass: float
    pull: float
    notes: tuple[str, ...]


def _loads(request: DraftRequest, options: StrapOptions, runs: list[StrapRun]) -> list[Load]:
    """Shares of the mass, first over the straps and then over the two ends that meet at a ring."""
    lowest = np.array([_low_end(run) for run in runs])
    weight = request.statement.edges.get("weight")
    centre = lowest.mean(axis=0) if weight is None else request.placement.edges[weight].points.mean(axis=0)
    shares, askew = support_shares(lowest, centre)
    mass = options.carries or 0.0
    loads = []
    for run, share in zip(runs, shares, strict=True):
        notes = [] if len(runs) == 1 else [f"{run.name}: carries {share_words(float(share))}."]
        pull = float(share)
        if run.rings:
            out = np.stack([run.points[1] - run.points[0], run.points[-2] - run.points[-1]])
            pulls = branch_pulls(out / np.linalg.norm(out, axis=1, keepdims=True), run.outward[0])
            whole = max(float(pulls.sum()), 1e-9)
            first, second = (share_words(float(p) / whole) for p in pulls)
            front = run.points[2, 1] < run.points[-3, 1]
            one, two = ("front", "back") if front else ("back", "front")
            notes.append(f"{run.name}: at the ring the {one} end takes {first}, the {two} end {second}.")
            pull *= float(pulls.max())
        if options.carries is not None:
            notes.append(
                f"{run.name}: built for {MOVING[options.moving]:g} times the weight at rest, "
                f"{MOVING[options.moving] * pull * mass * GRAVITY:.0f} N at its most loaded end."
            )
        if weight is not None and askew > ASKEW:
            notes.append(
                f"The load's middle lies {askew:.0f} mm outside the ends it hangs from: it will swing round "
                "until it hangs below them. Move an end, or add a strap."
            )
        loads.append(Load(mass=float(share) * mass, pull=pull * mass * GRAVITY, notes=tuple(notes)))
    return loads


def _low_end(run: StrapRun) -> Points:
    """Where a strap's load hangs: at its ring, at the lowest place of a loop, at the lower of two ends."""
    places = run.points if run.loop else run.points[[0, -1]]
    lowest: Points = run.points[0] if run.rings else places[int(np.argmin(places[:, 2]))]
    return lowest


def _make(options: StrapOptions, load: float) -> StrapMake:
    lap = options.overlap
    if lap is None:
        lap = {
            "hook_and_loop": hook_and_loop_lap(options.width, load),
            "snaps": max(40.0, options.width),
            "sewn": SEWN_LAP,
            "buckle": 0.0,
        }[options.fastening]
    slots = None
    if options.plates >= 2:
        slots = SlotRow(
            count=options.plates,
            plate=options.plate_height,
            overlap=options.plate_overlap,
            travel=options.plate_travel,
            rivet=RIVET,
            first=max(12.0, 0.5 * options.plate_overlap),
        )
    return StrapMake(
        width=options.width,
        fastening=options.fastening,
        lap=lap,
        row=HoleRow(count=options.holes, spacing=options.hole_spacing or options.width, width=options.width),
        tab=options.tab,
        at=options.fastens_at,
        slots=slots,
    )


def _run_checks(run: StrapRun, off: float, neutral: float) -> list[Check]:
    poke = max(0.0, neutral - float(run.gap.min()))
    turn = max((abs(math.degrees(held.turn)) for held in run.held), default=0.0)
    slip = max((slips(h.turn, h.wrap) for h in run.held if h.name), default=0.0)
    if run.loop and not slip:
        # A level loop holds itself all round: all its turns against the friction of one whole wrap.
        slip = slips(sum(abs(held.turn) for held in run.held), 2.0 * math.pi)
    sharp = round(math.degrees(SHARP))
    return [
        Check(
            what="how far its edges stand off, but for 5 % of them",
            unit="mm",
            value=off,
            limit=EDGES_OFF,
            passed=off <= EDGES_OFF,
            advice="" if off <= EDGES_OFF else "Make it narrower, or pad the hollow it spans.",
        ),
        Check(
            what="how far the body stands out of its middle line",
            unit="mm",
            value=poke,
            limit=1.0,
            passed=poke <= 1.0,
            advice="" if poke <= 1.0 else "Mark the line with more points.",
        ),
        Check(
            what="how sharply it turns sideways where it is held",
            unit="degrees",
            value=turn,
            limit=sharp,
            passed=turn <= sharp,
            advice="" if turn <= sharp else "State it as two straps that meet in a ring there.",
        ),
        Check(
            what="sideways pull where it is held, over what friction holds",
            value=slip,
            limit=1.0,
            passed=slip <= 1.0,
            advice="" if slip <= 1.0 else "Hold it there with a snap or a loop on the layer below.",
        ),
    ]


def _part_checks(parts: list[StrapPart], make: StrapMake, options: StrapOptions, mass: float) -> list[Check]:
    crossed = sum(
        not Polygon(np.concatenate([edge.curve[:-1] for edge in part.edges])).is_valid for part in parts
    )
    checks = [
        Check(
            what="how many outlines cross themselves",
            value=float(crossed),
            limit=0.0,
            passed=crossed == 0,
            advice="" if crossed == 0 else "Make it narrower.",
        )
    ]
    if options.carries is not None:
        least = WIDE if mass >= LIGHT else NARROW
        checks.append(
            Check(
                what="its width, for the weight it bears",
                unit="mm",
                value=options.width,
                limit=least,
                passed=options.width >= least,
                advice="" if options.width >= least else f"Make it {least:g} mm wide or wider.",
            )
        )
    row = make.slots
    if row is not None:
        room = parts[0].worn
        if row.reach > room:
            raise DraftError(
                f"{row.count} plates reach further than their strap is long.",
                advice="Take fewer or lower plates, more overlap, or fasten the strap further along.",
            )
        checks.append(
            Check(
                what="overlap left when one plate is up and the next one down",
                unit="mm",
                value=row.least_overlap,
                limit=STILL_OVER,
                passed=row.least_overlap >= STILL_OVER,
                advice=""
                if row.least_overlap >= STILL_OVER
                else "Take less travel or more overlap, or the plates catch behind each other.",
            )
        )
    return checks


def _pieces(
    request: DraftRequest,
    run: StrapRun,
    make: StrapMake,
    parts: list[StrapPart],
    cloth: Cloth,
    checks: list[Check],
    *,
    many: bool,
) -> list[Piece]:
    statement = request.statement
    edges = [request.placement.edges[s] for r, s in statement.edges.items() if r in LINES]
    stations: dict[str, list[float]] = {"torso": [0.0, 4.0]} if not edges else {}
    for at in (at for edge in edges for at in edge.at):
        stations.setdefault(at.region, []).append(at.station)
    verdict = wrap_verdict(
        checks,
        form=request.form,
        cloth=cloth,
        measures=[
            name
            for region, found in stations.items()
            for name in governing_measures(region, min(found), max(found))
        ],
        spread=max((float(edge.spread.max()) for edge in edges if len(edge.spread)), default=0.0),
        assumed=(
            "the strap lies where it was pulled tight on the standing body, and friction holds it there",
        ),
    )
    bent = any(part.middle[:, 1].any() for part in parts)
    note = strap_note(run, make, cloth, bent=bent, advice=tuple(check.advice for check in checks))
    pieces = []
    for part in parts:
        slug = "_".join(filter(None, (statement.slug, run.name.replace(" ", "_") if many else "", part.part)))
        label = ", ".join(filter(None, (_label(request), run.name if many else "", part.words)))
        pieces.append(
            Piece(
                slug=slug,
                label=label,
                kind=statement.kind,
                cloth=cloth.slug,
                edges=part.edges,
                grainline=_grain(part, cloth),
                totals=_totals(part, make),
                verdict=verdict,
                side="middle" if statement.side == "both" else statement.side,
                lines=part.lines,
                note=note,
                cautions=cautions_for(cloth),
                layer=statement.layer,
                edition=request.edition,
                thickness=cloth.thickness,
            )
        )
    return pieces


def _totals(part: StrapPart, make: StrapMake) -> tuple[Total, ...]:
    top, bottom = (offset_curve(part.middle, s * 0.5 * make.width) for s in (1.0, -1.0))
    return (
        Total(what=f"middle line, {part.upto}", length=part.worn),
        Total(what="upper edge of the drawing, as far", length=length(top)),
        Total(what="lower edge of the drawing, as far", length=length(bottom)),
    )


def _grain(part: StrapPart, cloth: Cloth) -> Grainline:
    middle = part.middle
    start, end = ((float(p[0]), float(p[1])) for p in (middle[len(middle) // 3], middle[len(middle) // 2]))
    return Grainline(start=start, end=end, kind="grain" if cloth.kind in ("leather", "woven") else "any")


def _items(run: StrapRun, make: StrapMake, options: StrapOptions, load: float) -> list[Item]:
    items = fastening_items(options.fastening, options.width, make.lap, load)
    items += end_items(int(run.rings), 0 if run.loop else 2, options.width)
    if make.slots is not None:
        items += [
            Item(
                slug="rivet", name="rivet", count=make.slots.count, use="one a plate, the sliding ones loose"
            ),
            Item(slug="washer", name="washer", count=make.slots.count - 1, use="behind every sliding rivet"),
        ]
    return items


KIND = register(
    PieceKind(
        name="strap",
        summary="straps of a harness, pulled tight over the body: across it, or along placed lines",
        options=StrapOptions,
        draft=draft_strap,
        edges={
            "line": "way of the strap; its sharp points hold it. None for one across the body",
            **dict.fromkeys(LINES[1:], "way of another strap of the same harness"),
            "weight": "outline or middle of what hangs from the straps, to share its weight out",
        },
    )
)
