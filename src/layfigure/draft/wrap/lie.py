"""Where places on a limb lie on the flat bands of a wrap: exactly, as bands are laid flat without stretch."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from layfigure.draft.window.sheet import REACH, Carry, Kept, Sheet, unrolled
from layfigure.draft.wrap.closing import laced_through
from layfigure.draft.wrap.piece import BandOutline
from layfigure.geometry.parallel_slices import AxisFrame
from layfigure.piece.piece import Piece

Points = NDArray[np.float64]


def band_carry(outline: BandOutline, frame: AxisFrame) -> Carry:
    """Places near a band, straight out to it in the plane across the limb, and laid flat with it."""
    band = outline.band
    flat = outline.flat
    middle = outline.first + 0.5 * outline.trapezoids

    def carry(places: Points) -> tuple[Points, Points]:
        local = frame.to_frame(places)
        ruling, share = band.nearest(local)
        off = np.linalg.norm(band.points(ruling, share) - local, axis=1)
        ruling = unrolled(ruling, float(band.count), middle)
        return flat.points(ruling, share), np.where(off > REACH, np.inf, off)

    return carry


def band_sheet(piece: Piece, outline: BandOutline, frame: AxisFrame) -> Sheet:
    """A band as windows see it: its edges, where places lie on it, and the lacing holes that stay whole."""
    return Sheet(
        slug=piece.slug,
        edges=piece.edges,
        carry=band_carry(outline, frame),
        kept=tuple(
            Kept(what="a hole of the lacing", curve=line.curve, closed=True) for line in laced_through(piece)
        ),
    )
