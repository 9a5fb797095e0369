"""Where places on an arm lie on a set-in sleeve: as far down the arm, at their share of the way round.

The middle of the sleeve lies along the outside of the arm, its seam along the inside, and ease is spread
evenly between.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from layfigure.body.form import Form
from layfigure.draft.window.sheet import Carry, Sheet
from layfigure.draft.woven.sleeve import Sleeves
from layfigure.draft.woven.sleeve_flat import SleeveFlat
from layfigure.geometry.polyline import length, points_at
from layfigure.piece.piece import Piece

Points = NDArray[np.float64]

OFF_ARM = 60.0
"""A place this far off the tape lines of the arm is elsewhere [mm]."""
SEAM = 0.75
"""Way round an arm at which the underarm seam runs: 0 is its front, 0.25 its outside."""
TOLD = (
    "A place on the arm is carried at its distance down from the shoulder, by its share of the way round "
    "from seam to seam: ease is spread evenly round the sleeve."
)


def sleeve_sheets(form: Form, sleeves: Sleeves, pieces: Sequence[Piece], prefix: str) -> list[Sheet]:
    """Sleeves that windows may lie on. sleeves : by side. prefix : of the pieces' slugs."""
    by_slug = {piece.slug: piece for piece in pieces}
    sheets = []
    for side, flat in sleeves.items():
        piece = by_slug[f"{prefix}_sleeve_{side}"]
        sheets.append(
            Sheet(slug=piece.slug, edges=piece.edges, carry=sleeve_carry(form, flat, side), told=TOLD)
        )
    return sheets


def sleeve_carry(form: Form, flat: SleeveFlat, side: str) -> Carry:
    """Places on one arm to its flat sleeve; on the right it is drawn the other way."""
    mirror = 1.0 if side == "left" else -1.0
    front, back = flat.front_seam, flat.back_seam
    middle = np.array([[0.0, 0.0], [0.0, flat.hem[0, 1]]])
    if flat.elbow_ease > 0.0 and flat.elbow is not None:
        middle = np.array([[0.0, 0.0], [0.0, flat.elbow], flat.hem.mean(axis=0)])

    def carry(places: Points) -> tuple[Points, Points]:
        share, down, off = _on_arm(form, side, places)
        up = flat.height - down
        at_front, at_middle, at_back = (_at_level(line, up, length(middle)) for line in (front, middle, back))
        toward = np.clip(2.0 * share, 0.0, 1.0)[:, None], np.clip(2.0 * share - 1.0, 0.0, 1.0)[:, None]
        found = at_front + toward[0] * (at_middle - at_front) + toward[1] * (at_back - at_middle)
        return found * (mirror, 1.0), np.where(off > OFF_ARM, np.inf, off)

    return carry


def _at_level(line: Points, up: Points, deep: float) -> Points:
    """Places of a line that runs down from the underarm, (k, 2), at heights above that and below.

    deep : of the whole line [mm]. Past either end it is carried straight on.
    """
    share, last = -up / deep, line[-1] - line[-2]
    inside = points_at(line, np.clip(share, 0.0, 1.0) * length(line))
    # In the cap all goes straight up: its curves only cut off what the armhole leaves no room for.
    above = np.maximum(up, 0.0)[:, None] * np.array([0.0, 1.0])
    past = np.maximum(-up - deep, 0.0)[:, None] * last / np.linalg.norm(last)
    placed: Points = inside + above + past
    return placed


def _on_arm(form: Form, side: str, places: Points) -> tuple[Points, Points, Points]:
    """Share of the way round from the seam over the front, distance down from the shoulder point along the
    bones, and how far off the tape lines, (k,) each.
    """
    shoulder, elbow, wrist = (
        form.landmarks[f"{name}_{side}"] for name in ("shoulder_point", "elbow", "wrist")
    )
    upper, lower = elbow - shoulder, wrist - elbow
    above = float(np.linalg.norm(upper))
    share, down, best = np.zeros(len(places)), np.zeros(len(places)), np.full(len(places), np.inf)
    for region, start, bone, before in (
        ("upper_arm", shoulder, upper, 0.0),
        ("forearm", elbow, lower, above),
    ):
        _, around, off = form.charts[f"{region}_{side}"].locate(places)
        own = before + (places - start) @ bone / np.linalg.norm(bone)
        nearer = off < best
        share = np.where(nearer, np.mod(around - SEAM, 1.0), share)
        down, best = np.where(nearer, own, down), np.where(nearer, off, best)
    return share, down, best
