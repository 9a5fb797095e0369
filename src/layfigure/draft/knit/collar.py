"""A stand collar: a strip along the neckline that leans toward the neck, cut double."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from layfigure.draft.knit.flat_remedy import NoCollar
from layfigure.draft.knit.garment import KnitGarment
from layfigure.draft.knit.options import KnitOptions
from layfigure.piece.piece import Grainline, InnerLine, Notch, Piece, PieceEdge, Total, Verdict
from layfigure.units import parse_length

Points = NDArray[np.float64]

LEAN = 0.07
"""How much shorter its upper edge is than the neckline, as a share; common practice 5 to 10 %."""
PARTS = ("back", "front")
"""Its lower edge in order, from the wearer's left shoulder round the back."""
RING_NOTE = (
    "Cut two. Join the ends of each to a ring; sew both along the upper edge and turn.",
    "Sew the lower edge to the neckline, ends at the left shoulder, notches at centre front and back.",
)
ZIPPED_NOTE = (
    "Cut two. Join the ends of each to a ring and cut it at the centre back; sew both along the upper edge.",
    "Sew the lower edge to the neckline, notches meeting; the zip runs up to the collar's upper edge.",
)


def with_collar(
    pieces: list[Piece], options: KnitOptions, garment: KnitGarment, slug: str, verdict: Verdict
) -> list[Piece]:
    """The pieces with a stand collar sewn to the neckline of front and back.

    slug : of the garment. verdict : on the collar. Raises NoCollar where a seam runs into the neckline.
    """
    allowance = parse_length(options.seam_allowance)
    at_neck = [
        plan for plan in garment.pattern.plan.panels if any(edge.line == "neck" for edge in plan.edges)
    ]
    if len(at_neck) > 2:
        raise NoCollar(
            "a seam runs into the neckline, and a stand collar is sewn to a front and a back in one piece.",
            where=f"piece {slug}",
            advice="End the seam below the neckline.",
        )
    parts = {f"{slug}_{plan.slug}": plan.of for plan in at_neck}
    lengths: dict[str, float] = {}
    joined = []
    for piece in pieces:
        part = parts.get(piece.slug)
        if part is not None:
            piece = joined_to_collar(piece, part, slug, allowance)
            lengths[part] = piece.edge("neck").length
        joined.append(piece)
    like = next(piece for piece in joined if parts.get(piece.slug) == "front")
    height = parse_length(options.collar_height)
    collar = stand_collar(like, lengths, height, allowance, slug, verdict, zipped=options.closure)
    return [*joined, collar]


def joined_to_collar(piece: Piece, part: str, statement: str, allowance: float) -> Piece:
    """A front or back whose neckline is a seam with the collar, with a notch at its middle."""
    edges = []
    for edge in piece.edges:
        if edge.slug != "neck":
            edges.append(edge)
            continue
        seam = f"{statement}.neck_{part}"
        middle = Notch(name=f"neck_{part} centre", distance=0.5 * edge.length, count=2)
        edges.append(
            replace(edge, role="seam", seam=seam, allowance=allowance, against=False, notches=(middle,))
        )
    return replace(piece, edges=tuple(edges))


def stand_collar(
    like: Piece,
    lengths: dict[str, float],
    height: float,
    allowance: float,
    statement: str,
    verdict: Verdict,
    *,
    zipped: bool,
) -> Piece:
    """The collar.

    like : a panel of the garment, for its cloth and words. lengths : of the neckline on back and front [mm].
    height : of the collar [mm]. zipped : opens at the centre back.
    """
    whole = sum(lengths[part] for part in PARTS)
    angle = LEAN * whole / height
    radius = whole / angle

    def arc(r: float, start: float, end: float) -> Points:
        """Part of a ring about a centre above, between two distances along the lower edge [mm]."""
        steps = max(8, round(abs(end - start) / 2.0)) + 1
        theta = (np.linspace(start, end, steps) / whole - 0.5) * angle
        return np.stack([r * np.sin(theta), radius - r * np.cos(theta)], axis=1)

    edges: list[PieceEdge] = []
    start = 0.0
    for part in PARTS:
        end = start + lengths[part]
        curve = arc(radius, start, end)
        middle = Notch(name=f"neck_{part} centre", distance=0.5 * lengths[part], count=2)
        seam = f"{statement}.neck_{part}"
        edges.append(
            PieceEdge(
                slug=f"neck_{part}",
                curve=curve,
                role="seam",
                seam=seam,
                against=True,
                allowance=allowance,
                notches=(middle,),
            )
        )
        start = end
    top = arc(radius - height, whole, 0.0)
    ends = f"{statement}.collar_end"
    up = np.vstack([edges[-1].curve[-1], top[0]])
    down = np.vstack([top[-1], edges[0].curve[0]])
    edges += [
        PieceEdge(slug="end_front", curve=up, role="seam", seam=ends, allowance=allowance),
        PieceEdge(slug="top", curve=top, role="seam", allowance=allowance),
        PieceEdge(slug="end_back", curve=down, role="seam", seam=ends, against=True, allowance=allowance),
    ]
    lines: list[InnerLine] = []
    if zipped:
        at = 0.5 * lengths["back"]
        cut = np.vstack([arc(radius, at, at)[:1], arc(radius - height, at, at)[:1]])
        lines.append(InnerLine(kind="slit", curve=cut, label="centre back"))
    reach = 0.25 * whole
    level = 0.5 * height
    return replace(
        like,
        slug=f"{statement}_collar",
        label=f"{like.label.partition(':')[0]}: stand collar",
        edges=tuple(edges),
        grainline=Grainline(start=(-reach, level), end=(reach, level), kind="stretch"),
        totals=(
            Total(what="lower edge on the front, along the stitch line", length=edges[1].length),
            Total(what="lower edge on the back, along the stitch line", length=edges[0].length),
            Total(what="upper edge, along the stitch line", length=edges[3].length),
        ),
        verdict=verdict,
        side="middle",
        count=2,
        windows=(),
        lines=tuple(lines),
        note=ZIPPED_NOTE if zipped else RING_NOTE,
    )
