"""Where places on hand and forearm lie on the flat halves of a glove: at their share of the way round."""

from __future__ import annotations

from typing import Literal

import numpy as np
from numpy.typing import NDArray

from layfigure.body.form import Form
from layfigure.draft.glove.layout import FlatHand
from layfigure.draft.glove.lines import FROM_THUMB, heights_along
from layfigure.draft.window.sheet import Carry, Sheet, unrolled
from layfigure.piece.piece import Piece

Points = NDArray[np.float64]

OFF_HAND = 40.0
"""A place this far off the hand's tape lines is on a finger or elsewhere [mm]."""
TOLD = (
    "A place on the hand is carried to its share of the way round and its distance from the wrist; ease is "
    "spread evenly round."
)


def half_carry(flat: FlatHand, form: Form, side: str, half: Literal["palm", "back"]) -> Carry:
    """Places on one side's hand and forearm to the palm or the back of its glove."""
    # Drawn palm up, a left hand's thumb to the left; the back is its mirror image, as a right hand is.
    mirror = (1.0 if half == "palm" else -1.0) * (1.0 if side == "left" else -1.0)

    def carry(places: Points) -> tuple[Points, Points]:
        best = np.full(len(places), np.inf)
        height, share = np.zeros(len(places)), np.zeros(len(places))
        for region in ("hand", "forearm"):
            chart = form.charts[f"{region}_{side}"]
            station, around, off = chart.locate(places)
            nearer = off < best
            height = np.where(nearer, heights_along(chart, station), height)
            share = np.where(nearer, np.mod(around + FROM_THUMB[region], 1.0), share)
            best = np.where(nearer, off, best)
        # From the thumb over the back to the little finger, and home over the palm.
        across = 2.0 * share if half == "back" else 2.0 * (1.0 - share)
        across = unrolled(across, 2.0, 0.5)
        found = flat.place(across, height) * (mirror, 1.0)
        return found, np.where(best > OFF_HAND, np.inf, best)

    return carry


def half_sheet(piece: Piece, flat: FlatHand, form: Form, side: str, half: Literal["palm", "back"]) -> Sheet:
    """A half as windows see it; one smaller than the hand is worn stretched."""
    fit = flat.fit
    return Sheet(
        slug=piece.slug,
        edges=piece.edges,
        carry=half_carry(flat, form, side, half),
        told=TOLD,
        rest=(min(1.0 + fit.round, 1.0), min(1.0 + fit.along, 1.0)),
    )
