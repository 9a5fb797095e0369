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

from layfigure.draft.glove.hand import Digit, HandShape
from layfigure.geometry.polyline import arc_lengths, points_at

Points = NDArray[np.float64]

STEP = 0.8
"""Between points of an outline [mm]; chords of a round slot stay within 0.03 mm of it."""

SETTLE = 12.0
"""Within this of a web a finger reaches its own width [mm]."""

USUAL_CAP = 0.85
"""Share of a finger's length at which its round end usually begins."""

FITTED = 0.8
"""Share of the way to its round end over which a finger has all the girth it needs."""

STRIP_LEAST, STRIP_MOST = 6.0, 30.0
THUMB_LEAN = 35.0


@dataclass(frozen=True, slots=True, kw_only=True)
class GloveFit:
    """What cloth and construction ask.

    round, along : added to girths and to lengths of digits, as shares, negative for a cloth that stretches.
    beneath : worn under the glove, added all round [mm]. slot : width between neighbouring fingers [mm].
    strips : set between the fingers. fan : from one finger to the next [degrees].
    at_web : without strips, stretch that the cloth may take where fingers begin, as a share.
    thumb_in_outline : the thumb is part of the outline, not set in.
    """

    round: float
    along: float
    beneath: float
    slot: float
    strips: bool
    fan: float
    at_web: float
    thumb_in_outline: bool


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FlatDigit:
    """A digit on the table: its middle line from ``at`` in direction (sin lean, cos lean).

    ends : where its sides begin, towards the thumb and towards the little finger, (2, 2).
    width : of the half at a distance along. cap : where the sides end and the round tip begins.
    length : to the tip [mm].
    """

    digit: Digit
    at: Points
    lean: float
    ends: Points
    width: Callable[[ArrayLike], Points]
    cap: float
    length: float

    @property
    def axes(self) -> tuple[Points, Points]:
        """Unit directions along the digit and across it, toward the little finger."""
        s, c = np.sin(self.lean), np.cos(self.lean)
        return np.array([s, c]), np.array([c, -s])

    def side(self, sign: float, upto: float) -> Points:
        """One side from its web to a distance along, (n, 2); sign +1 towards the little finger."""
        a, n = self.axes
        start = self.ends[0 if sign < 0 else 1] - self.at
        first = float(start @ a)
        along = np.linspace(first, upto, max(8, int((upto - first) / STEP)))
        u = np.clip((along - first) / SETTLE, 0.0, 1.0)
        missing = sign * float(start @ n) - 0.5 * float(self.width(first))
        half = 0.5 * self.width(along) + missing * (1.0 - u * u * (3.0 - 2.0 * u))
        side: Points = self.at + along[:, None] * a + (sign * half)[:, None] * n
        return side

    def tip(self) -> Points:
        """The round end, from the little finger's side to the thumb's, (n, 2)."""
        a, n = self.axes
        angle = np.linspace(0.0, np.pi, 61)
        half = 0.5 * float(self.width(self.cap))
        height = self.length - self.cap
        tip: Points = (
            self.at + (self.cap + height * np.sin(angle))[:, None] * a + (half * np.cos(angle))[:, None] * n
        )
        return tip

    def end(self, upto: float) -> Points:
        """A straight end at a distance along, from the little finger's side to the thumb's, (2, 2)."""
        return np.stack([self.side(1.0, upto)[-1], self.side(-1.0, upto)[-1]])


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


def round_slot(start: Points, end: Points) -> Points:
    """The half circle below two points, from the one to the other on its left, (n, 2)."""
    middle, radius = 0.5 * (start + end), 0.5 * float(np.linalg.norm(end - start))
    first = np.arctan2(*(start - middle)[::-1])
    angle = first - np.linspace(0.0, np.pi, 41)
    arc: Points = middle + radius * np.column_stack([np.cos(angle), np.sin(angle)])
    return arc


def joined(*parts: Points) -> Points:
    """Curves that follow one another as one, evenly drawn, their meeting points once, (n, 2)."""
    whole = np.concatenate([parts[0], *(part[1:] for part in parts[1:])])
    s = arc_lengths(whole)
    return points_at(whole, np.linspace(0.0, s[-1], max(2, int(np.ceil(s[-1] / STEP)) + 1)))


def smooth_side(through: Points) -> Points:
    """A smooth line through points that rise steadily, without overshoot, evenly drawn (n, 2)."""
    s = arc_lengths(through)
    fine = np.linspace(0.0, s[-1], max(2, int(np.ceil(s[-1] / STEP)) + 1))
    curve: Points = PchipInterpolator(s, through)(fine)
    return curve
