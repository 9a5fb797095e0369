"""Where places on trunk and legs lie on flat halves of trousers: at their height, by share across a half."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from layfigure.body.form import Form
from layfigure.draft.registry import DraftRequest
from layfigure.draft.window.sheet import Carry, Sheet
from layfigure.draft.woven.bodice import is_right_way
from layfigure.draft.woven.bodice_fit import HALVES
from layfigure.draft.woven.bodice_lie import kept_on
from layfigure.draft.woven.trousers_flat import TrouserHalf
from layfigure.piece.piece import Piece

Points = NDArray[np.float64]

OFF_LEG = 60.0
"""A place this far off the tape lines of leg and trunk is elsewhere [mm]."""
TOLD = (
    "A place on the body is carried at its own height, by its share of the way from seam to seam: ease is "
    "spread evenly across each half."
)


def trouser_sheets(
    request: DraftRequest,
    halves: Mapping[tuple[str, str], TrouserHalf],
    pieces: Sequence[Piece],
    *,
    waist: float,
    hip: float,
    crotch: float,
) -> list[Sheet]:
    """The four halves. waist, hip, crotch : heights of those levels above the floor [mm]."""
    by_slug = {piece.slug: piece for piece in pieces}
    sheets = []
    for part, side in HALVES:
        piece = by_slug[f"{request.statement.slug}_{part}_{side}"]
        carry = _half_carry(request.form, halves[part, side], part, side, (crotch, hip, waist))
        sheets.append(Sheet(slug=piece.slug, edges=piece.edges, carry=carry, kept=kept_on(piece), told=TOLD))
    return sheets


def _half_carry(
    form: Form, half: TrouserHalf, part: str, side: str, levels: tuple[float, float, float]
) -> Carry:
    mirror = 1.0 if is_right_way(part, side) else -1.0
    crotch, hip, waist = levels
    tops = float(half.centre[0, 1]), float(half.side[0, 1])

    def carry(places: Points) -> tuple[Points, Points]:
        share, off = _across(form, part, side, places, crotch)
        height = places[:, 2]
        top = (1.0 - share) * tops[0] + share * tops[1]
        above = np.clip((height - crotch) / (hip - crotch), None, 1.0) * half.hip_up
        above += np.clip((height - hip) / (waist - hip), 0.0, None) * (top - half.hip_up)
        y = np.where(height < crotch, height - crotch, above)
        side_x = np.interp(-y, -half.side[:, 1], half.side[:, 0])
        low = np.interp(-y, -half.inseam[:, 1], half.inseam[:, 0])
        high = np.interp(-y, -half.centre[:, 1], half.centre[:, 0])
        inner = np.where(y < float(half.inseam[0, 1]), low, high)
        flat = np.column_stack([inner + share * (side_x - inner), y]) * (mirror, 1.0)
        return flat, np.where(off > OFF_LEG, np.inf, off)

    return carry


def _across(form: Form, part: str, side: str, places: Points, crotch: float) -> tuple[Points, Points]:
    """Share of the way from the inner edge of a half to its side seam, and how far off the tape line."""
    share, best = np.zeros(len(places)), np.full(len(places), np.inf)
    on_trunk = places[:, 2] >= crotch
    for region in (f"thigh_{side}", f"shank_{side}", "torso"):
        _, around, off = form.charts[region].locate(places)
        off = np.where(on_trunk == (region == "torso"), off, np.inf)
        # Way round from the middle of the front or the back toward the side seam.
        ahead = around if part == "front" else 0.5 - around
        ahead = np.mod(ahead + 0.5, 1.0) - 0.5
        if region == "torso":
            toward = ahead if side == "left" else -ahead
            own = toward / 0.25
        else:
            own = (ahead + 0.25) / 0.5
        nearer = off < best
        share, best = np.where(nearer, own, share), np.where(nearer, off, best)
    return share, best
