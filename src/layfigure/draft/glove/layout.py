"""One half of a flat glove, palm or back: the hand spread on the table, thumb to the left, fingers up.

Fingers stand side by side with a narrow round-ended slot between neighbours, wide enough for two allowances.
Their widths make up the width of the palm; what is missing from a finger's girth comes from strips between
the fingers, as wide at the webs as the girths of the fingers ask (fourchettes). A glove without strips
spreads its fingers instead and leans on the stretch of the cloth.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.interpolate import PchipInterpolator

from layfigure.draft.glove.fit import GloveFit
from layfigure.draft.glove.flat_digit import FlatDigit
from layfigure.draft.glove.hand import Digit, HandShape

Points = NDArray[np.float64]

USUAL_CAP = 0.85
"""Share of a finger's length at which its round end usually begins."""

FITTED = 0.8
"""Share of the way to its round end over which a finger has all the girth it needs."""

STRIP_LEAST, STRIP_MOST = 6.0, 30.0
THUMB_LEAN = 35.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FlatHand:
    """One half of a glove on the table.

    fingers : index to little. thumb : where it is part of the outline. strip : width of the strips at the
    webs [mm], 0 for none. slots : (3,) or (4,) lowest points, from the thumb's side.
    """

    hand: HandShape
    fit: GloveFit
    fingers: tuple[FlatDigit, ...]
    slots: Points
    strip: float
    width_at_webs: float
    thumb: FlatDigit | None = None
    widened: Callable[[ArrayLike], Points] | None = None

    def half(self, height: ArrayLike) -> Points:
        """Width of arm or palm at heights [mm]."""
        y = np.asarray(height, dtype=np.float64)
        plain = grown_half(self.hand, self.fit, y)
        return plain if self.widened is None else plain + self.widened(y)

    def sides(self, height: ArrayLike) -> tuple[Points, Points]:
        """X of both outer edges at heights; what the ball of the thumb adds lies on the thumb's side."""
        y = np.asarray(height, dtype=np.float64)
        wide = self.half(y)
        top = float(self.hand.heights[-1])
        plain = np.minimum(
            wide,
            np.where(y > 0.0, np.interp(y, [0.0, top], self.half(np.array([0.0, top]))), wide),
        )
        right = 0.5 * plain
        across = wide if self.fit.thumb_in_outline else 0.5 * (wide + plain)
        return right - across, right

    def place(self, share: ArrayLike, height: ArrayLike) -> Points:
        """Points at shares of the width from the thumb's side and at heights, (n, 2)."""
        left, right = self.sides(height)
        x = left + np.asarray(share, dtype=np.float64) * (right - left)
        return np.column_stack([x, np.broadcast_to(np.asarray(height, dtype=np.float64), x.shape)])


def grown_half(hand: HandShape, fit: GloveFit, height: Points) -> Points:
    """Half the girth of the glove at heights [mm]."""
    whole: Points = hand.girth(height) * (1.0 + fit.round) + 2.0 * np.pi * fit.beneath
    return 0.5 * whole


def flat_hand(
    hand: HandShape, fit: GloveFit, widened: Callable[[ArrayLike], Points] | None = None
) -> FlatHand:
    """Lay out fingers, slots and strips. widened : added to the width at heights, for a gathered wrist."""
    fingers = hand.digits[1:]
    webs = hand.webs[1:]
    girths = [_girth(d, fit) for d in fingers]
    count = np.array([1.0, 2.0, 2.0, 1.0])
    base = np.array([float(g(0.0)) for g in girths])
    wide = 2.0 * float(grown_half(hand, fit, np.array(webs.max())))
    if fit.strips:
        strip = float(np.clip((base.sum() + 6.0 * fit.slot - wide) / 6.0, STRIP_LEAST, STRIP_MOST))
        strip = min(strip, 0.6 * float((base / count).min()))
        at_web = 0.5 * (base - count * strip)
    else:
        strip = 0.0
        real = np.array([float(d.girth(0.0)) + 2.0 * np.pi * fit.beneath for d in fingers])
        at_web = 0.5 * np.minimum(base, real / (1.0 + fit.at_web))
    total = float(at_web.sum()) + 3.0 * fit.slot
    x = -0.5 * total + np.cumsum(at_web)[:3] + fit.slot * (np.arange(3) + 0.5)
    radius = 0.5 * fit.slot
    slots = np.column_stack([x, webs])
    ends = np.array([[-0.5 * total, webs[0] + radius], [0.5 * total, webs[2] + radius]])
    laid = []
    for k, digit in enumerate(fingers):
        left = ends[0] if k == 0 else slots[k - 1] + radius
        right = ends[1] if k == 3 else slots[k] + np.array([-radius, radius])
        lean = np.radians(fit.fan) * (k - 1)
        spread = np.radians(fit.fan)
        first, strips, reach = float(at_web[k]), strip * count[k], _reach(digit, fit)
        usual = _widths(girths[k], first, strips, USUAL_CAP * reach, spread)
        cap = _cap(float(usual[-1]), reach)
        # Its strips end where its own round begins, far lower on a short thick finger than on a usual one.
        width = _width(_widths(girths[k], first, strips, cap, spread), cap, reach)
        laid.append(_laid(digit, left, right, lean, width, cap, fit))
    flat = FlatHand(
        hand=hand,
        fit=fit,
        fingers=tuple(laid),
        slots=slots,
        strip=strip,
        width_at_webs=total,
        widened=widened,
    )
    return _with_thumb(flat) if fit.thumb_in_outline else flat


def _girth(digit: Digit, fit: GloveFit) -> Callable[[ArrayLike], Points]:
    def girth(along: ArrayLike) -> Points:
        at = np.asarray(along, dtype=np.float64) / (1.0 + fit.along)
        grown: Points = digit.girth(at) * (1.0 + fit.round) + 2.0 * np.pi * fit.beneath
        return grown

    return girth


def _reach(digit: Digit, fit: GloveFit) -> float:
    """Length of a digit of the glove above its slots' ends [mm]."""
    return digit.length * (1.0 + fit.along) + fit.beneath - 0.5 * fit.slot


def strip_share(share: ArrayLike) -> Points:
    """Width of a strip along a finger over its width at the web; 0 at the round of the tip."""
    t = np.clip(np.asarray(share, dtype=np.float64), 0.0, 1.0)
    return (1.0 - 0.35 * t) * (1.0 - t**6)


def _fitted(cap: float) -> Points:
    """Places along a finger at which its width is worked out."""
    return np.linspace(0.0, FITTED * cap, 24)


def _widths(
    girth: Callable[[ArrayLike], Points], first: float, strips: float, cap: float, fan: float
) -> Points:
    """Widths of a finger's half where it is fitted and at its cap, (25,); none takes the room that its
    neighbours need.
    """
    inner = _fitted(cap)
    wanted = 0.5 * (girth(inner) - strips * strip_share(inner / cap))
    room = first + fan * inner
    wide = np.minimum(wanted, room)
    # Past that the strips run out: the finger runs on narrowing and leaves the rest to its round.
    return np.append(wide, min(float(wide[-1]), 0.5 * float(girth(cap))))


def _width(widths: Points, cap: float, reach: float) -> Callable[[ArrayLike], Points]:
    """Width of a finger's half along it."""
    curve = PchipInterpolator(np.append(_fitted(cap), [cap, reach]), np.append(widths, widths[-1]))

    def width(along: ArrayLike) -> Points:
        result: Points = curve(np.clip(np.asarray(along, dtype=np.float64), 0.0, reach))
        return result

    return width


def _laid(
    digit: Digit,
    left: Points,
    right: Points,
    lean: float,
    width: Callable[[ArrayLike], Points],
    cap: float,
    fit: GloveFit,
) -> FlatDigit:
    return FlatDigit(
        digit=digit,
        at=0.5 * (left + right),
        lean=lean,
        ends=np.stack([left, right]),
        width=width,
        cap=cap,
        length=_reach(digit, fit),
    )


def _cap(width: float, reach: float) -> float:
    """Where the round end of a digit begins, a half circle where it is long enough for one. width : where it
    usually begins [mm].
    """
    return reach - min(0.5 * width, 0.4 * reach)


def _with_thumb(flat: FlatHand) -> FlatHand:
    """The thumb as part of the outline, leaning out from its web."""
    hand, fit = flat.hand, flat.fit
    thumb = hand.digits[0]
    lean = -np.radians(THUMB_LEAN)
    web = float(hand.webs[0])
    left, _ = flat.sides(web)
    # The ball of the thumb stays in the palm; the slot opens just inside the palm's own edge.
    middle = np.array([float(left) - 0.5 * fit.slot, web])
    radius = 0.5 * fit.slot
    turn = 0.5 * lean
    across = np.array([np.cos(turn), -np.sin(turn)])
    right = middle + radius * np.array([np.sin(turn), np.cos(turn)]) - radius * across
    girth = _girth(thumb, fit)
    breadth = 0.5 * float(girth(0.0))
    n = np.array([np.cos(lean), -np.sin(lean)])

    def width(along: ArrayLike) -> Points:
        half: Points = 0.5 * girth(along)
        return half

    reach = _reach(thumb, fit)
    cap = _cap(float(width(USUAL_CAP * reach)), reach)
    laid = _laid(thumb, right - breadth * n, right, lean, width, cap, fit)
    return FlatHand(
        hand=hand,
        fit=fit,
        fingers=flat.fingers,
        slots=np.vstack([middle, flat.slots]),
        strip=flat.strip,
        width_at_webs=flat.width_at_webs,
        thumb=laid,
        widened=flat.widened,
    )
