"""The kind ``strap``: harness and suspension of armour, pulled tight over the body, or across it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from layfigure.body.chart import ChartPoint
from layfigure.draft.belt.strap import offset_curve
from layfigure.draft.beneath import folds_at
from layfigure.draft.registry import Check, DraftRequest, DraftResult, PieceKind, register
from layfigure.draft.sheet_practice import cautions_for, sheet_practice
from layfigure.draft.strap.bearing import loads_on
from layfigure.draft.strap.checks import Way, part_checks, way_checks
from layfigure.draft.strap.choices import strap_choices
from layfigure.draft.strap.fasten import end_items, fastening_items
from layfigure.draft.strap.keepers import keeper_items, keepers_of
from layfigure.draft.strap.lie import strap_sheet
from layfigure.draft.strap.load import MOVING
from layfigure.draft.strap.note import strap_note
from layfigure.draft.strap.options import StrapOptions, make_of
from layfigure.draft.strap.pieces import StrapMake, StrapPart, strap_parts
from layfigure.draft.strap.route import StrapRun, cross_body_run, run_of_edge, skin_beside
from layfigure.draft.strap.worn import edge_heights, ribbon, worn_ribbon
from layfigure.draft.verdict import governing_measures, wrap_verdict
from layfigure.draft.window.cut_out import with_windows
from layfigure.draft.window.sheet import Sheet
from layfigure.errors import DraftError
from layfigure.geometry.polyline import length
from layfigure.geometry.taut_line import Skin
from layfigure.materials.cloth import Cloth
from layfigure.piece.item import Item
from layfigure.piece.piece import Grainline, Piece, Total
from layfigure.piece.worn import WornSurface

Points = NDArray[np.float64]

LINES = ("line", "line_2", "line_3", "line_4", "line_5", "line_6")


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
    skin = skin_beside(request.form, regions, spanned=request.spans)
    runs = _runs(request, options, skin, neutral)
    weight = statement.edges.get("weight")
    loads = loads_on(
        runs,
        None if weight is None else request.placement.edges[weight].points,
        mass=options.carries,
        moving=options.moving,
    )
    pieces: list[Piece] = []
    checks: list[Check] = []
    items: list[Item] = []
    worn: list[WornSurface] = []
    sheets: list[Sheet] = []
    across = not any(role in statement.edges for role in LINES)
    for run, load in zip(runs, loads, strict=True):
        pull = load.pull * MOVING[options.moving]
        rows = ribbon(run, options.width)
        way = _way(run, rows, options, skin, neutral, pull)
        make = replace(make_of(options, pull), keepers=way.keepers)
        parts = strap_parts(run, make)

        def at(low: float, pull: float = pull) -> Way:
            """The strap with another lowest place."""
            (moved,) = _runs(request, options.model_copy(update={"low": low}), skin, neutral)
            return _way(moved, ribbon(moved, options.width), options, skin, neutral, pull)

        found = [
            *way_checks(way, at if across else None, low=options.low),
            *part_checks(parts, make, None if options.carries is None else load.mass),
        ]
        name = "" if len(runs) == 1 else f"{run.name}: "
        checks += [replace(c, what=f"{name}{c.what}") for c in found]
        drawn = _pieces(request, run, make, parts, cloth, found, many=len(runs) > 1)
        sheets += [strap_sheet(run, *own, make.width) for own in zip(parts, drawn, strict=True)]
        pieces += drawn
        items += _items(run, make, options, pull, cloth)
        worn.append(
            WornSurface(
                name=run.name if len(runs) > 1 else statement.slug,
                mesh=worn_ribbon(skin, rows, neutral + folds_at(request.form, rows[..., 2], request.folds)),
                cloth=cloth.slug,
            )
        )
    label = _label(request)
    cut = with_windows(request, pieces, lambda: sheets)
    named = tuple(replace(check, what=f"{label}: {check.what}") for check in checks)
    return DraftResult(
        pieces=cut.pieces,
        checks=(*named, *cut.checks),
        items=tuple(items),
        worn=tuple(worn),
        notes=tuple(note for load in loads for note in load.notes),
    )


def _way(run: StrapRun, rows: Points, options: StrapOptions, skin: Skin, neutral: float, pull: float) -> Way:
    """How a strap lies. rows : of its ribbon. pull : in it, moving [N]."""
    off = np.maximum(edge_heights(skin, rows) - neutral, 0.0)
    return Way(
        run=run,
        off=float(np.percentile(off, 95)),
        neutral=neutral,
        pull=pull,
        keepers=keepers_of(run, options.held_by, pull=pull, width=options.width),
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
        return [cross_body_run(_label(request), request.form, skin, options.over, options.low, neutral)]
    names = [edges[role].replace("_", " ") for role in lines] if len(lines) > 1 else [_label(request)]
    return [
        run_of_edge(name, placed[edges[role]], skin, neutral) for name, role in zip(names, lines, strict=True)
    ]


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


def _items(run: StrapRun, make: StrapMake, options: StrapOptions, load: float, cloth: Cloth) -> list[Item]:
    items = fastening_items(options.fastening, options.width, make.lap, load)
    items += end_items(int(run.rings), 0 if run.loop else 2, options.width)
    items += keeper_items(make.keepers, width=options.width, thickness=cloth.thickness)
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
        choices=strap_choices,
        covers=lambda _options, _side: {"torso": 1.0},
        spans=False,
        windows=True,
        backing=True,
        edges={
            "line": "way of the strap; its sharp points hold it. None for one across the body",
            **dict.fromkeys(LINES[1:], "way of another strap of the same harness"),
            "weight": "outline or middle of what hangs from the straps, to share its weight out",
        },
    )
)
