"""One band of a wrap as the maker gets it: a piece with its name, lines, lacing holes and note."""

from __future__ import annotations

from collections.abc import Sequence

from layfigure.draft.registry import Check, DraftRequest
from layfigure.draft.sheet_practice import cautions_for
from layfigure.draft.wrap.closing import lacing_holes
from layfigure.draft.wrap.drawn_band import DrawnBand
from layfigure.draft.wrap.lattice import lattice_note
from layfigure.draft.wrap.note import wrap_note
from layfigure.draft.wrap.piece import BandOutline, centre_line, grain, totals, within
from layfigure.draft.wrap.plan import WrapOptions, WrapPlan
from layfigure.draft.wrap.surface import WrapSurface
from layfigure.draft.wrap.worn import bevels
from layfigure.materials.cloth import Cloth
from layfigure.piece.piece import InnerLine, Piece, Verdict, Window


def band_piece(
    band: DrawnBand,
    plan: WrapPlan,
    request: DraftRequest,
    options: WrapOptions,
    cloth: Cloth,
    surface: WrapSurface,
    *,
    openings: tuple[Window, ...],
    overlap: float,
    worn: Sequence[Check],
    verdict: Verdict,
) -> Piece:
    """The piece.

    openings : of a lattice in one piece. overlap : of the closure [mm]. worn : what the checks of wearing
    found, whose advice its note tells.
    """
    centre = centre_line(band.bottom, band.top, "centre")
    lines = [centre]
    level = band.outline.across(_level_height(surface, band.outline))
    level = None if level is None else within(level, band.bottom, band.top)
    if level is not None:
        lines.append(InnerLine(kind="balance", curve=level, label="level: square to the limb"))
    if plan.join == "lacing":
        lines.extend(lacing_holes(band.edges, openings))
    many = band.of > 1
    return Piece(
        slug=f"{plan.slug}_{band.number}" if many else plan.slug,
        label=f"{plan.label}, {_band_name(band.number, band.of)}" if many else plan.label,
        kind=request.statement.kind,
        cloth=cloth.slug,
        edges=band.edges,
        windows=openings,
        grainline=grain(band.bottom, band.top, cloth.kind),
        totals=totals(band.bottom, band.top, centre),
        verdict=verdict,
        side=plan.side,
        count=2 if plan.side == "both" else 1,
        lines=tuple(lines),
        note=(
            *wrap_note(
                cloth=cloth,
                number=band.number,
                of=band.of,
                join=plan.join,
                lap=overlap,
                gap=options.lacing_gap,
                closed=plan.join != "open",
                bevels=bevels(surface),
                advice=tuple(check.advice for check in worn if check.advice),
            ),
            *(() if options.lattice is None else lattice_note(options.lattice)),
            *plan.note,
        ),
        cautions=cautions_for(cloth),
        layer=request.statement.layer,
        edition=request.edition,
        thickness=cloth.thickness,
    )


def _band_name(number: int, of: int) -> str:
    named = {2: ("lower band", "upper band"), 3: ("lower band", "middle band", "upper band")}
    return named[of][number - 1] if of in named else f"band {number} of {of}, from the bottom"


def _level_height(surface: WrapSurface, outline: BandOutline) -> float:
    """Half-way between the edges of the band, where a level line is clear of both if it can be."""
    low = outline.band.low_height if outline.bottom is None else float(surface.bottom[:, 2].max())
    high = outline.band.high_height if outline.top is None else float(surface.top[:, 2].min())
    return 0.5 * (low + high)
