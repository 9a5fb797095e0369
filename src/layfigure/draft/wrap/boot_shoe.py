"""The shoe under a boot cover: its heel, which tips the foot, and its sole, as traced or as long and wide.

On a heel the foot turns about its ball until the heel stands so much higher, toes flat, and the shank turns
back about the ankle to stand upright. Sections are carried along whole, so girths stay; between the rigid
parts the turn grows smoothly.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from shapely import LineString, Polygon

from layfigure.draft.wrap.boot_options import BootOptions
from layfigure.draft.wrap.boot_surface import WALL, BootHalf
from layfigure.errors import DraftError
from layfigure.files.drawn_path import DrawnPath
from layfigure.geometry.polyline import length

Points = NDArray[np.float64]

STEEPEST = 0.8
"""Sine of the steepest tilt of the foot: nobody stands on more."""

BALL_BEND = 25.0
"""Half the length over which the foot bends at the ball [mm]."""

ANKLE_BELOW, ANKLE_ABOVE = 15.0, 55.0
"""Below and above the ankle, where the turn of foot against shank begins and ends [mm]."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Sole:
    """Half of a shoe's sole. along, half : (n,) distance from the heel and half width there [mm]."""

    along: Points
    half: Points

    @property
    def length(self) -> float:
        """From heel to toe [mm]."""
        return float(self.along[-1])


def traced_sole(lines: Sequence[DrawnPath]) -> Sole:
    """The sole of a shoe drawn round on paper, its two halves averaged. Raises DraftError for no outline."""
    closed = [line for line in lines if line.closed]
    if not closed:
        raise DraftError(
            "the tracing of the sole holds no closed outline.",
            advice="Stand the shoe on paper and draw round it in one closed line.",
        )
    outline = Polygon(max(closed, key=lambda line: length(line.points, closed=True)).points)
    ring = np.asarray(outline.exterior.coords)[:-1]
    centre = np.array(outline.centroid.coords[0])
    frame = np.linalg.svd(ring - centre, full_matrices=False)[2]
    turned = (ring - centre) @ frame.T
    # The ball lies nearer to the toe: there the sole is widest.
    low, high = float(turned[:, 0].min()), float(turned[:, 0].max())
    # Close together at both ends, where a round outline closes quickly.
    along = 0.5 * (low + high) - 0.5 * (high - low) * np.cos(np.linspace(0.0, np.pi, 161))
    shape = Polygon(turned)
    widths = np.array([_width(shape, float(x)) for x in along])
    if along[int(widths.argmax())] < 0.5 * (low + high):
        widths = widths[::-1]  # evenly spaced from either end
    return Sole(along=along - low, half=0.5 * widths)


def _width(shape: Polygon, x: float) -> float:
    return float(shape.intersection(LineString([(x, -1e4), (x, 1e4)])).length)


def sole_of(options: BootOptions, lines: Sequence[DrawnPath]) -> Sole | None:
    """The sole as traced; None where it is only said how long and wide it is, or not at all."""
    if lines and options.sole_length is not None:
        raise DraftError(
            "the sole is traced, and its length is said too.", advice="Leave out sole_length and sole_width."
        )
    return traced_sole(lines) if lines else None


def sized(options: BootOptions, foot_length: float, sole: Sole | None) -> BootOptions:
    """Room before the toes from the length of the sole. Raises DraftError for a shoe shorter than its foot.

    foot_length : [mm].
    """
    whole = options.sole_length if sole is None else sole.length
    if whole is None:
        return options
    room = whole - foot_length - options.heel_room
    if room < 2.0:
        raise DraftError(
            "the shoe's sole is shorter than the foot with its heel_room.",
            advice="Measure the sole from heel to toe, or say a smaller heel_room.",
        )
    return options.model_copy(update={"toe_room": room})


def with_sole(half: BootHalf, options: BootOptions, sole: Sole | None) -> BootHalf:
    """The half with its lower edge on the sole's own outline; the wall above leans out or in to meet it."""
    bottom = np.array([row[-1] for row in half.foot])
    back, front = float(bottom[:, 0].min()), float(bottom[:, 0].max())
    if sole is not None:
        share = (bottom[:, 0] - back) / (front - back)
        wanted = np.interp(share * sole.length, sole.along, sole.half)
        wanted[-1] = 0.0
    elif options.sole_width is not None:
        wanted = bottom[:, 1] * 0.5 * options.sole_width / float(bottom[:, 1].max())
    else:
        return half
    foot = []
    for row, out in zip(half.foot, wanted, strict=True):
        depth = WALL - row[-1, 2]
        down = np.clip((WALL - row[:, 2]) / depth, 0.0, 1.0)
        moved = row.copy()
        # The heel's own half width is nothing in the middle plane; elsewhere the wall takes the change.
        moved[:, 1] += down * (out - row[-1, 1]) * (row[:, 2] <= WALL + 1e-9)
        foot.append(moved)
    return replace(half, foot=tuple(foot))


def on_heel(half: BootHalf, heel: float, ball: float) -> BootHalf:
    """The half on a shoe whose heel stands higher. heel : above the ball [mm]. ball : its x in the frame."""
    if heel <= 0.0:
        return half
    back = float(half.corner[-1, 0])
    sine = heel / (ball - back)
    if sine > STEEPEST:
        raise DraftError(
            "so high a heel would stand this foot on its toes.",
            advice="Say heel as how much higher the heel stands than the ball: leave out the platform.",
        )
    turn = float(np.arcsin(sine))
    middle = half.leg[half.ankle]
    ankle = np.array([0.5 * (middle[0, 0] + middle[-1, 0]), 0.5 * (middle[0, 2] + middle[-1, 2])])

    def bent(places: Points) -> Points:
        flat = places[:, [0, 2]]
        behind = _eased((ball + BALL_BEND - flat[:, 0]) / (2.0 * BALL_BEND))
        above = _eased((flat[:, 1] - ankle[1] + ANKLE_BELOW) / (ANKLE_BELOW + ANKLE_ABOVE))
        pivot = np.array([ball, 0.0])
        tipped = pivot + _turned(flat - pivot, turn * behind)
        carried = pivot + _turned(ankle - pivot, np.array(turn))
        upright = carried + _turned(tipped - carried, -turn * above * behind)
        moved = places.copy()
        moved[:, [0, 2]] = upright
        return moved

    return replace(
        half,
        leg=tuple(bent(row) for row in half.leg),
        corner=bent(half.corner),
        foot=tuple(bent(row) for row in half.foot),
    )


def _eased(share: Points) -> Points:
    t = np.clip(share, 0.0, 1.0)
    return np.asarray(t * t * (3.0 - 2.0 * t))


def _turned(offsets: Points, angle: Points) -> Points:
    """Turned in the plane so that what lies behind rises, (n, 2)."""
    cosine, sine = np.cos(angle), np.sin(angle)
    x, z = offsets[..., 0], offsets[..., 1]
    return np.stack([cosine * x + sine * z, -sine * x + cosine * z], axis=-1)
