"""Where places on the body lie on the panels of a circular piece, by angle and radius about its middle."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from layfigure.draft.circular.options import CircularOptions
from layfigure.draft.circular.panels import grain_place
from layfigure.draft.circular.plan import CircularPlan
from layfigure.draft.hanging.fall import turns_of
from layfigure.draft.registry import DraftRequest
from layfigure.draft.window.cut_out import CutPieces, with_windows
from layfigure.draft.window.sheet import REACH, Carry, Sheet, laid_mesh, unrolled
from layfigure.errors import DraftError
from layfigure.geometry.tube import rows_mesh
from layfigure.piece.piece import Piece

Points = NDArray[np.float64]

DEPTH = 0.3
"""How much it counts whether a place is far in or out, against its height and its way round: on a shoulder,
which is nearly level, a height alone says little."""
PAST = 12
"""Places of the top edge that a closed ring is carried on by, past where it opens."""
BELOW = 120.0
"""How far past its hem a panel is carried on [mm]."""
TOLD = (
    "A place on the body is carried straight out to the cloth as it falls: at its own height, at its share "
    "of the way round. In folds a window turns with the fold it lies on."
)


def panels_with_windows(
    request: DraftRequest,
    plan: CircularPlan,
    options: CircularOptions,
    count: int,
    pieces: list[Piece],
    where: str,
) -> CutPieces:
    """The panels, which come first of the pieces, with their windows.

    count : of panels. Raises DraftError for windows in a piece that does not hang on the trunk.
    """
    if not request.statement.windows:
        return CutPieces(pieces=tuple(pieces))
    if plan.worn is None:
        raise DraftError(
            "it does not hang on the trunk, so nothing says where its windows lie.",
            where=where,
            advice="Give it a top edge on the body, or leave windows out.",
        )
    sheets = [
        Sheet(
            slug=piece.slug,
            edges=piece.edges,
            carry=panel_carry(plan, options, count, number),
            told=TOLD,
        )
        for number, piece in enumerate(pieces[:count])
    ]
    return with_windows(request, pieces, lambda: sheets)


def panel_carry(plan: CircularPlan, options: CircularOptions, count: int, number: int) -> Carry:
    """Places on the body to one panel of a piece that hangs on it."""
    worn = plan.worn
    assert worn is not None
    fall = worn.fall
    # Every other place and distance of the fall: linear between, it is as near as needs be.
    deep = max(2, int(np.searchsorted(fall.distance, plan.deepest + BELOW)))
    along, turn, cloth = worn.along[::2], worn.turn[::2, :deep:2], worn.cloth[::2, :deep:2]
    distance, rows = fall.distance[:deep:2], np.arange(len(along))
    if plan.joined:
        once = rows[:-1]
        rows = np.concatenate([once[-PAST:], once, once[:PAST] + 0])
        lap = np.concatenate([np.full(PAST, -1.0), np.zeros(len(once)), np.ones(PAST)])
        way = np.sign(float(turn[-1, 0] - turn[0, 0]))
        along, turn, cloth = along[rows] + lap, turn[rows] + way * lap[:, None], cloth[rows]
    places = fall.at(turn, distance[None, :])
    radius = float(np.median(fall.reach))
    out = np.linalg.norm(places[..., :2] - fall.centre, axis=2)
    seen_mesh = np.stack([2.0 * np.pi * radius * turn, places[..., 2], DEPTH * out], axis=2)
    net = rows_mesh(seen_mesh, closed=False)
    known = np.stack([np.broadcast_to(along[:, None], cloth.shape), cloth], axis=2).reshape(-1, 2)
    middle_share = (number + 0.5) / count
    middle = float(np.interp(middle_share, along, turn[:, 0]))

    def seen(found: Points) -> Points:
        own = unrolled(turns_of(found, fall.centre), 1.0, middle)
        far = np.linalg.norm(found[:, :2] - fall.centre, axis=1)
        return np.column_stack([2.0 * np.pi * radius * own, found[:, 2], DEPTH * far])

    read = laid_mesh(net.vertices, known, net.faces, seen=seen)

    def carry(found: Points) -> tuple[Points, Points]:
        place, off = read(found)
        flat = plan.flat.at(place[:, 0], place[:, 1], middle=grain_place(options, count, number))
        return flat, np.where(off > REACH, np.inf, off)

    return carry
