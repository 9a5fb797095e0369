"""Whether alterations give what is wanted, measured on the altered outlines."""

from __future__ import annotations

from collections.abc import Sequence

from layfigure.draft.base.alter import ACROSS, Alteration, SideMove, edges_round
from layfigure.draft.base.fit import SizeFit
from layfigure.draft.registry import Check

CLOSE = 0.5
"""How near a sewn measure must come to what is wanted [mm]."""

AS_PRINTED = 15.0
"""How far traced pieces, laid side by side, may differ from what the pattern says of itself [mm]."""


def alteration_checks(alterations: Sequence[Alteration], fit: SizeFit) -> tuple[Check, ...]:
    """Sewn measures after the alteration beside the wanted ones, and the tracing beside the size table."""
    checks: list[Check] = []
    seams = fit.pattern.seams_round
    for change in fit.changes:
        words = change.measure.replace("_", " ")
        if change.girth:
            own = [
                (each, move) for each in alterations for move in each.moves if move.measure == change.measure
            ]
            if own and change.needed:
                grown = [_width_after(each, move.height) - each.lie.width(move.height) for each, move in own]
                # Each piece has two side edges, those of its folded half counted.
                whole = sum(grown) / (2.0 * len(own)) * edges_round(change.measure, seams)
                checks.append(_near(f"the sewn {words} after the alteration", whole - change.by))
        elif change.needed:
            grown = []
            for each in alterations:
                pairs = [
                    (upper, lower, share)
                    for upper, lower, share in ACROSS.get(change.measure, ())
                    if upper in each.lie.levels and lower in each.lie.levels
                ]
                if pairs and any(cut.measure == change.measure for cut in each.cuts):
                    others = [cut for cut in each.cuts if cut.measure != change.measure]
                    wanted = sum(share for _, _, share in pairs) * change.by
                    grown.append(_lengthened(each, pairs, others) - wanted)
            if grown:
                checks.append(_near(f"the {words} after the alteration", max(grown, key=abs)))
    return (*checks, *_tracing_checks(alterations, fit))


def _lengthened(
    alteration: Alteration, pairs: Sequence[tuple[str, str, float]], others: Sequence[object]
) -> float:
    """How much further apart levels lie after all cuts, less what cuts of other measures between them ask."""
    before, after = alteration.lie.levels, alteration.altered().levels
    grown = 0.0
    for upper, lower, _ in pairs:
        grown += (after[upper] - after[lower]) - (before[upper] - before[lower])
        for cut in alteration.cuts:
            if cut in others and before[lower] < cut.height < before[upper]:
                grown -= cut.by
    return grown


def _moved(alterations: Sequence[Alteration], measure: str) -> list[tuple[Alteration, SideMove]]:
    """Pieces on which a girth is altered, and where."""
    return [(each, move) for each in alterations for move in each.moves if move.measure == measure]


def _width_after(alteration: Alteration, height: float) -> float:
    return alteration.altered().width(height + float(alteration.up_at(height)))


def _near(what: str, off: float) -> Check:
    return Check.at_most(
        what=f"how far {what} is from what is wanted",
        value=abs(off),
        limit=CLOSE,
        unit="mm",
        advice="Measure the altered pieces, and add or take the rest at the side seams.",
    )


def _tracing_checks(alterations: Sequence[Alteration], fit: SizeFit) -> list[Check]:
    """Where a front and a back are traced, their girths beside those of the size they are of."""
    sides = {each.lie.around for each in alterations if each.lie.around in (0.0, 0.5)}
    if len(sides) < 2 or fit.pattern.pieces_traced != fit.size:
        return []
    checks = []
    for change in fit.changes:
        own = _moved(alterations, change.measure)
        if change.girth and change.measure in ("bust_girth", "waist_girth", "hip_girth") and len(own) == 2:
            traced = sum(each.lie.width(move.height) for each, move in own)
            checks.append(
                Check.at_most(
                    what=f"how far the traced {change.measure.replace('_', ' ')} is from its size table",
                    value=abs(traced - change.of),
                    limit=AS_PRINTED,
                    unit="mm",
                    advice="Trace the stitch lines of that size, without allowances and with darts closed.",
                )
            )
    return checks
