"""Gloves from a traced hand on random bodies: the outline is drawn round the body's own hand.

python -m benchmarks.glove_traced --bodies 200
"""

from itertools import pairwise

import numpy as np
import shapely
from benchmarks._random_bodies import check_numbers, command, draft_on, usual_numbers
from numpy.typing import NDArray
from shapely import Point, box, union_all
from shapely.geometry.base import BaseGeometry

from layfigure.body.form import Form
from layfigure.design.design import Trace
from layfigure.draft.glove.hand import Digit, HandShape, hand_of
from layfigure.draft.glove.kind import KIND
from layfigure.draft.glove.trace import traced_hand
from layfigure.draft.registry import DraftResult
from layfigure.files.drawn_path import DrawnPath
from layfigure.materials.cloth import Cloth

Points = NDArray[np.float64]

LEATHER = Cloth(
    slug="leather", kind="leather", name="leather", width=900.0, areal_mass=500.0, thickness=0.8, tested=True
)
SPREAD = (40.0, 12.0, 3.0, -6.0, -16.0)
"""How fingers turn from upright when the hand lies spread on paper, thumb first [degrees]."""


WRIST = 2.0
"""Where the tracing begins and ends, above the wrist [mm]."""


def traced(hand: HandShape, draw: np.random.Generator) -> Trace:
    """The hand laid on paper with fingers spread, from the wrist round all tips to the wrist.

    Webs lie as high, fingers are as long and as broad all along as the body's own; the pencil shakes by a
    third of a millimetre.
    """
    breadths = [_breadths(digit) for digit in hand.digits]
    knuckles = np.cumsum([0.0, *(float(b[0]) + 3.0 for b in breadths[1:])])
    half, top = 0.5 * float(knuckles[-1]), float(hand.webs[1:].mean())
    parts = [box(-half, 0.0, half, top)]
    for number, digit in enumerate(hand.digits):
        lean = np.radians(SPREAD[number])
        way, aside = np.array([-np.sin(lean), np.cos(lean)]), np.array([-np.cos(lean), -np.sin(lean)])
        if number == 0:
            # Its upper side leaves the palm at the web.
            foot = np.array([-half, float(hand.webs[0])]) + 0.5 * breadths[0][0] * aside
        else:
            foot = np.array([-half + 0.5 * (knuckles[number - 1] + knuckles[number]), top])
        parts.append(_bar(foot, way, digit, breadths[number]))
    outline = union_all(parts).buffer(1.0).buffer(-1.0)
    ring = shapely.get_coordinates(shapely.segmentize(outline.exterior, 1.0))[:-1]
    if not outline.exterior.is_ccw:
        ring = ring[::-1]
    # The wrist stays open: counter-clockwise, the line starts on the little finger's side of it.
    below = ring[:, 1] <= WRIST
    ring = np.roll(ring, -int(np.flatnonzero(below & ~np.roll(below, -1))[0]) - 1, axis=0)
    ring = ring[: int((~below).sum())]
    ring += 0.3 * draw.normal(size=ring.shape)
    path = DrawnPath(
        name="hand", groups=(), points=ring, closed=False, nodes=np.arange(len(ring), dtype=np.int64)
    )
    return Trace(file="hand.svg", lines=(path,))


def _breadths(digit: Digit) -> Points:
    """Greatest breadth of every section, (k,) [mm]."""
    apart = np.linalg.norm(digit.rings[:, :, None] - digit.rings[:, None, :], axis=3)
    broad: Points = apart.max(axis=(1, 2))
    return broad


def _bar(foot: Points, way: Points, digit: Digit, breadths: Points) -> BaseGeometry:
    """A finger of its own breadths, rooted in the palm, with a round end where its tip is."""
    last = 0.5 * float(breadths[-1])
    along = np.concatenate([[-0.6 * digit.length], digit.along[:-1], [digit.length - last]])
    radii = 0.5 * np.concatenate([[breadths[0]], breadths])
    discs = [
        Point(foot + at * way).buffer(radius, quad_segs=24) for at, radius in zip(along, radii, strict=True)
    ]
    return union_all([union_all(pair).convex_hull for pair in pairwise(discs)])


def against_the_body(hand: HandShape, read: HandShape) -> dict[str, float]:
    """Greatest misses of what was read from the tracing, over all digits; girths at half a digit's length."""
    pairs = list(zip(hand.digits, read.digits, strict=True))
    half = [(own.girth(0.5 * own.length), seen.girth(0.5 * seen.length)) for own, seen in pairs]
    return {
        "length of a digit missed by [mm]": max(abs(seen.length - own.length) for own, seen in pairs),
        "girth of a digit missed by [share]": max(abs(float(seen / own) - 1.0) for own, seen in half),
    }


def main() -> None:
    draw = np.random.default_rng(26)
    missed: dict[str, float] = {}

    def case(form: Form, style: str) -> DraftResult:
        hand = hand_of(form, "left")
        trace = traced(hand, draw)
        missed.update(against_the_body(hand, traced_hand(trace.lines, 0.0, hand)))
        return draft_on(form, KIND, LEATHER, {}, {"style": style}, trace=trace)

    def numbers(result: DraftResult) -> dict[str, float]:
        stretch = {"stretch asked round a finger": "how much the cloth must stretch round a finger"}
        return {**usual_numbers(result), **check_numbers(result, stretch), **missed}

    cases = {
        "full": lambda form: case(form, "full"),
        "fingerless": lambda form: case(form, "fingerless"),
    }
    command("glove_traced", __doc__, 26, cases, numbers)


if __name__ == "__main__":
    main()
