"""A circular piece hung on its wearer: how each place of its top edge falls, and where its hem lies."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import gaussian_filter1d

from layfigure.draft.circular.options import TURN, CircularOptions
from layfigure.draft.hanging.fall import Fall, turns_of
from layfigure.errors import DraftError
from layfigure.geometry.part_circle import PartCircle
from layfigure.geometry.polyline import arc_lengths
from layfigure.geometry.table import read_rows
from layfigure.place.placement import PlacedEdge

Points = NDArray[np.float64]

PLACES = 145
"""Places along the top edge at which the fall is measured."""
SMOOTHING = 1.0
"""Fall is smoothed over this many places: a hem follows the body, not its facets."""
SMOOTHED_BEYOND = 8
"""Places that a hem is carried on by, past its free edges, to be smoothed."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Worn:
    """Where every place of the top edge falls on the body.

    fall : of the cloth. along : (PLACES,) shares of the top edge. turn : (PLACES, k) direction of the cloth
    at each place and each distance of the fall. cloth : (PLACES, k) length of the cloth down to there, longer
    than the fall where it runs aslant [mm]. span : turns that the top edge goes round.
    height : (PLACES, k) of the cloth there [mm].
    cover : (k,) how much of that span the cloth reaches round. target : (PLACES,) height of the hem [mm].
    """

    fall: Fall
    along: Points
    turn: Points
    cloth: Points
    height: Points
    span: float
    cover: Points
    target: Points


def hung(
    options: CircularOptions,
    fall: Fall,
    line: Points,
    hem: PlacedEdge | None,
    flat: PartCircle,
    along: Points,
    guess: float,
    *,
    joined: bool,
    where: str,
) -> Worn:
    """Where the cloth falls from the top edge.

    line : the top edge from where the piece opens, (m, 3). flat : the ring of cloth. along : (PLACES,) shares
    of the top edge. guess : length where it is asked for [mm]. Raises DraftError for a hem below the floor.
    """
    share = arc_lengths(line) / arc_lengths(line)[-1]
    turns = np.interp(along, share, np.unwrap(turns_of(line, fall.centre), period=1.0))
    span = abs(float(turns[-1] - turns[0]))
    if joined:
        cover = np.ones(len(fall.distance))
    else:
        # Cloth that does not reach round opens; below the widest place its edges hang plumb.
        reaches = flat.round_at(fall.distance) / (fall.girths() * min(span, 1.0))
        cover = np.minimum.accumulate(np.minimum(1.0, reaches))
    middle = 0.5 * (turns[0] + turns[-1])
    turn = middle + (turns - middle)[:, None] * cover
    cloth, height = fall.along(turn)
    if options.hem_height is not None:
        target = np.full(PLACES, options.hem_height)
    elif hem is not None and options.length is None:
        target = hem_heights(hem, fall, turn[:, -1])
    else:
        off = np.abs(np.mod(turns - TURN[options.length_at] + 0.5, 1.0) - 0.5)
        row = int(off.argmin())
        target = np.full(PLACES, float(np.interp(guess, cloth[row], height[row])))
    if options.levelled and float(target.min()) < 0.0:
        raise DraftError(
            "it is longer than the way to the floor.",
            where=where,
            advice="Shorten it, or write levelled = false for a train.",
        )
    return Worn(
        fall=fall,
        along=along,
        turn=turn,
        cloth=cloth,
        height=height,
        span=span,
        cover=cover,
        target=target,
    )


def hem_heights(hem: PlacedEdge, fall: Fall, turn: Points) -> Points:
    """Height of a placed hem in each direction; on a limb its mean height all round [mm]."""
    if not hem.edge.closed or {at.region for at in hem.at} != {"torso"}:
        return np.full(turn.shape, float(hem.line[:, 2].mean()))
    turns = turns_of(hem.line, fall.centre)
    order = np.argsort(turns)
    heights: Points = np.interp(np.mod(turn, 1.0), turns[order], hem.line[order, 2], period=1.0)
    return heights


def level_length(worn: Worn, *, joined: bool) -> Points:
    """Length of the cloth from the top edge to the hem at every place, (PLACES,) [mm]."""
    (there,) = read_rows(-worn.target[:, None], -worn.height, worn.cloth)
    found = there[:, 0]
    if joined:
        once: Points = gaussian_filter1d(found[:-1], SMOOTHING, mode="wrap")
        return np.append(once, once[0])
    # Carried on turned about each free edge, it keeps its slope there; carried on level, it would lose it.
    beyond = np.pad(found, SMOOTHED_BEYOND, mode="reflect", reflect_type="odd")
    smooth: Points = gaussian_filter1d(beyond, SMOOTHING)[SMOOTHED_BEYOND:-SMOOTHED_BEYOND]
    return smooth
