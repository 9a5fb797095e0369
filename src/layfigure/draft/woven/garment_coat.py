"""A coat: a bodice with room over other clothes, and a pleated skirt sewn to its waist edge."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from layfigure.draft.registry import DraftRequest, DraftResult
from layfigure.draft.window.cut_out import with_windows
from layfigure.draft.woven.bodice import is_right_way
from layfigure.draft.woven.bodice_flat import HalfFlat
from layfigure.draft.woven.garment_bodice import MEASURES, WaistJoin, draft_bodice, fit, upper_sheets
from layfigure.draft.woven.garment_skirt import finish_skirt, skirt_on
from layfigure.draft.woven.options import WovenOptions
from layfigure.draft.woven.skirt import CLEAR, PANELS, skirt_parts
from layfigure.draft.woven.skirt_lie import skirt_sheets
from layfigure.draft.woven.skirt_pieces import part_name, waist_seam


def draft_coat(request: DraftRequest, options: WovenOptions) -> DraftResult:
    """Bodice and skirt, their waist edges divided alike. Raises DraftError as either does."""
    bodice, spread = fit(request, options)
    shape, skirt_spread = skirt_on(request, options)
    slug = request.statement.slug
    halves = {f"{part}_{side}": half for (part, side), half in bodice.halves.items()}
    waists = [halves[place.slug].edge_length("waist") for place in PANELS]
    # The skirt hangs from the bodice, whose waist edge is what it is.
    shape = replace(shape, waist=sum(waists))
    darts = {name: _darts(name, half) for name, half in halves.items()}
    parts = skirt_parts(shape, options, waists, where=f"piece {slug}", snap=darts)
    pleats = {part.place.slug: np.cumsum(part.strips)[:-1].tolist() for part in parts}
    stretches = {name: len(_merged([*darts[name], *pleats[name]])) + 1 for name in halves}

    def seam(panel: str, stretch: int) -> str:
        first = stretch - 1 if _centre_at_left(panel) else stretches[panel] - stretch
        return waist_seam(slug, panel, first)

    skirt = finish_skirt(
        request,
        options,
        shape,
        waists,
        spread=max(spread, skirt_spread),
        measures=MEASURES,
        breaks=darts,
    )
    join = WaistJoin(
        breaks={name: _from_the_centre(name, cuts, halves[name]) for name, cuts in pleats.items()},
        seam=seam,
        checks=skirt.checks,
    )
    upper = draft_bodice(request, options, fitted=(bodice, spread), join=join)
    pieces = (*upper.pieces, *skirt.pieces)
    cut = with_windows(
        request,
        pieces,
        lambda: [
            *upper_sheets(request, options, bodice, upper.pieces),
            *skirt_sheets(part_name(request, options), shape, parts, skirt.pieces),
        ],
    )
    return DraftResult(
        pieces=cut.pieces,
        checks=(*upper.checks, *skirt.checks, *cut.checks),
        items=(*upper.items, *skirt.items),
        worn=(*upper.worn, *skirt.worn),
        bulk=skirt.bulk,
    )


def _centre_at_left(panel: str) -> bool:
    part, _, side = panel.partition("_")
    return is_right_way(part, side)


def _darts(panel: str, half: HalfFlat) -> list[float]:
    """Where a half's waist darts meet its folded waist edge, from its left seen from outside [mm]."""
    runs = half.run_lengths("waist")
    ends: list[float] = np.cumsum(runs if _centre_at_left(panel) else runs[::-1])[:-1].tolist()
    return ends


def _from_the_centre(panel: str, cuts: list[float], half: HalfFlat) -> list[float]:
    """Distances from the left of a panel's waist edge as distances from its centre [mm]."""
    whole = half.edge_length("waist")
    return cuts if _centre_at_left(panel) else [whole - cut for cut in reversed(cuts)]


def _merged(cuts: list[float]) -> list[float]:
    """Cuts in order, those that are one place counted once."""
    apart: list[float] = []
    for cut in sorted(cuts):
        if not apart or cut - apart[-1] > CLEAR:
            apart.append(cut)
    return apart
