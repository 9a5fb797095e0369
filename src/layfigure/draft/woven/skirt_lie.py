"""Where places on the body lie on the panels of a pleated skirt, between its pleats."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from layfigure.draft.hanging.fall import turns_of
from layfigure.draft.hanging.lie import ByHeight
from layfigure.draft.window.sheet import REACH, Carry, Kept, Sheet, unrolled
from layfigure.draft.woven.bodice_lie import kept_on
from layfigure.draft.woven.skirt import SkirtPart
from layfigure.draft.woven.skirt_shape import SkirtShape
from layfigure.piece.piece import Piece

Points = NDArray[np.float64]

STEPS = 60
TOLD = (
    "A place on the body is carried straight out to the folded skirt: at its own height, at its share of the "
    "way round. A window lies between two pleats, with the pleats folded."
)


def skirt_sheets(
    prefix: str, shape: SkirtShape, parts: Sequence[SkirtPart], pieces: Sequence[Piece]
) -> list[Sheet]:
    """The panels. prefix : of their slugs."""
    by_slug = {piece.slug: piece for piece in pieces}
    sheets = []
    for part in parts:
        piece = by_slug[f"{prefix}_{part.place.slug}"]
        pleats = tuple(
            Kept(what="a pleat", curve=np.vstack([crease, placement[::-1]]), closed=True)
            for crease, placement in zip(part.flat.creases, part.flat.placements, strict=True)
        )
        sheets.append(
            Sheet(
                slug=piece.slug,
                edges=piece.edges,
                carry=_panel_carry(shape, part),
                kept=(*pleats, *kept_on(piece)),
                told=TOLD,
            )
        )
    return sheets


def _panel_carry(shape: SkirtShape, part: SkirtPart) -> Carry:
    fall, place, flat = shape.fall, part.place, part.flat
    hung_at = ByHeight.of(fall)
    middle = 0.5 * (place.first + place.last)
    # Folded, every strip follows the one before; flat, a pleat lies between them.
    folds = [
        sorted((float(c[0, 0]), float(p[0, 0]))) for c, p in zip(flat.creases, flat.placements, strict=True)
    ]
    starts = np.array([0.0, *(high for _, high in folds)])
    ends = np.array([*(low for low, _ in folds), flat.width])
    folded = np.concatenate([[0.0], np.cumsum(ends - starts)])

    def carry(places: Points) -> tuple[Points, Points]:
        turn = unrolled(turns_of(places, fall.centre), 1.0, middle)
        ways = np.linspace(place.first, place.last, STEPS)
        every = np.broadcast_to(ways, (len(places), STEPS))
        grid = hung_at.places(every, np.broadcast_to(places[:, 2:], every.shape))
        along = np.cumsum(np.linalg.norm(np.diff(grid, axis=1), axis=2), axis=1)
        along = np.concatenate([np.zeros((len(places), 1)), along], axis=1) / along[:, -1:]
        inside = np.array([np.interp(t, ways, row) for t, row in zip(turn, along, strict=True)])
        past = (turn - np.clip(turn, place.first, place.last)) / (place.last - place.first)
        finished = (inside + past) * folded[-1]
        strip = np.clip(np.searchsorted(folded, finished, side="right") - 1, 0, len(starts) - 1)
        x = starts[strip] + finished - folded[strip]
        y = places[:, 2] - shape.hem_height - flat.hem
        off = np.linalg.norm(hung_at.places(turn, places[:, 2]) - places, axis=1)
        far = (np.abs(turn - middle) > 0.3) | (off > REACH)
        return np.column_stack([x, y]), np.where(far, np.inf, off)

    return carry
