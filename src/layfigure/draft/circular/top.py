"""What is sewn to the top edge of a circular piece: waistband or casing, stand collar, binding, hood."""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from layfigure.body.form import Form
from layfigure.draft.circular.options import CircularOptions
from layfigure.draft.circular.plan import CircularPlan
from layfigure.draft.flat_edges import grain, inner, straight_edge
from layfigure.draft.sewn_practice import SewnPractice
from layfigure.errors import DraftError
from layfigure.geometry.bezier import flattened_bezier
from layfigure.geometry.part_circle import PartCircle
from layfigure.geometry.polyline import arc_lengths, length
from layfigure.piece.piece import EdgeRole, Grainline, InnerLine, Notch, PieceEdge, Total

Points = NDArray[np.float64]

ELASTIC_EASE = 6.0
"""Room for the elastic in its casing [mm] (common practice, no source)."""
BINDING_WIDTH = 40.0
"""Of a bias strip, four times its finished width [mm] (common practice, no source)."""
HOOD_HEIGHT_EASE = 40.0
HOOD_DEPTH_EASE = 20.0
"""Looseness of a hood over the crown and behind the head [mm] (common practice, no source)."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class TopPart:
    """A piece of the top edge: its outline and what is said of it.

    name : added to the slug. label : added to the label. count : how many to cut.
    """

    name: str
    label: str
    edges: tuple[PieceEdge, ...]
    grainline: Grainline
    lines: tuple[InnerLine, ...]
    totals: tuple[Total, ...]
    note: tuple[str, ...]
    count: int = 1
    pair: bool = False
    interfaced: bool = False


def top_parts(
    plan: CircularPlan,
    options: CircularOptions,
    practice: SewnPractice,
    form: Form,
    *,
    seam: str,
    count: int,
    where: str,
) -> list[TopPart]:
    """Parts for the finish of the top edge, and a hood. Raises DraftError where a hood has no head."""
    parts = []
    if options.finish in ("band", "elastic"):
        parts.append(_band(plan, options, practice, seam, count))
    elif options.finish == "collar":
        parts.append(_collar(plan, options, practice, seam, count))
    elif options.finish == "binding":
        parts.append(_binding(plan))
    if options.hood:
        parts.append(_hood(plan, practice, form, seam, where))
    return parts


def _mates(
    curve: Points, seam: str | None, count: int, allowance: float, upto: float
) -> tuple[PieceEdge, ...]:
    """The lower edge cut where the panels meet, left to right; ``upto`` of its length is sewn to panels."""
    along = arc_lengths(curve)
    cuts = [int(np.abs(along - upto * number / count).argmin()) for number in range(1, count)]
    bounds = [0, *cuts, len(curve) - 1]
    edges = []
    for number in range(count):
        part = curve[bounds[number] : bounds[number + 1] + 1]
        edges.append(
            PieceEdge(
                slug=f"bottom_{number + 1}",
                curve=part,
                role="seam",
                allowance=allowance,
                seam=None if seam is None else f"{seam}_top_{number + 1}",
                notches=(Notch(name=f"top_{number + 1}_middle", distance=0.5 * length(part)),),
            )
        )
    return tuple(edges)


def _band(
    plan: CircularPlan, options: CircularOptions, practice: SewnPractice, seam: str, count: int
) -> TopPart:
    """A straight strip folded along its middle: a waistband, or a casing for elastic."""
    elastic = options.finish == "elastic"
    long = plan.flat.top if elastic else plan.finished
    depth = options.band_depth + (ELASTIC_EASE if elastic else 0.0)
    free = plan.joined and options.opening is None
    lap = 0.0 if free or elastic else options.overlap
    sewn = None if plan.pleats else seam
    whole = np.linspace(0.0, long, max(2 * count, math.ceil(long / 2.0)) * count + 1)
    lower = _mates(np.column_stack([whole, np.zeros(len(whole))]), sewn, count, practice.seam, long)
    ends: EdgeRole = "seam" if free or elastic else "closure"
    end_seam = f"{seam}_band_end" if ends == "seam" else None
    corners = [(long, 0.0), (long + lap, 0.0), (long + lap, 2.0 * depth), (0.0, 2.0 * depth), (0.0, 0.0)]
    edges = [*lower]
    if lap > 0.0:
        edges.append(straight_edge("underlap", corners[0], corners[1], "closure", practice.seam))
    edges += [
        straight_edge("right_end", corners[1], corners[2], ends, practice.seam, seam=end_seam, against=True),
        straight_edge("inside", corners[2], corners[3], "opening", practice.seam),
        straight_edge("left_end", corners[3], corners[4], ends, practice.seam, seam=end_seam),
    ]
    lines = [inner("fold", (0.0, depth), (long + lap, depth), "fold line")]
    if lap > 0.0:
        lines.append(inner("placement", (long, 0.0), (long, 2.0 * depth), "the other end comes to here"))
    note = (
        ("Casing: join the ends, leave a gap to thread the elastic, fold along the middle.",)
        if elastic
        else ("Fold the band along its middle; the ends close edge over underlap.",)
    )
    return TopPart(
        name="band",
        label="casing" if elastic else "waistband" if options.use == "skirt" else "band",
        edges=tuple(edges),
        grainline=grain((0.1 * long, 0.5 * depth), (0.45 * long, 0.5 * depth)),
        lines=tuple(lines),
        totals=(
            Total(what="lower edge, as far as it is sewn to the panels", length=long),
            Total(what="whole length", length=long + lap),
            Total(what="depth, unfolded", length=2.0 * depth),
        ),
        note=note,
        interfaced=not elastic,
    )


def _collar(
    plan: CircularPlan, options: CircularOptions, practice: SewnPractice, seam: str, count: int
) -> TopPart:
    """A stand collar, a frustum laid flat: its upper edge shorter so that it leans toward the neck."""
    upper = plan.finished - options.collar_lean
    height = options.collar_height
    share = options.collar_lean / (2.0 * math.pi * height)
    if share < 0.0:
        ring, near, far = PartCircle(top=plan.finished, share=-share), height, 0.0
    else:
        ring, near, far = PartCircle(top=upper, share=share), 0.0, height
    places = ring.steps(0.0, 1.0, height)
    # As many steps to each panel, so that a panel's corner is a point of the curve.
    places = np.linspace(0.0, 1.0, -(-(len(places) - 1) // (2 * count)) * 2 * count + 1)
    lower, top = ring.at(places, far, middle=0.5), ring.at(places, near, middle=0.5)
    if share < 0.0:
        lower, top = lower * (1.0, -1.0), top * (1.0, -1.0)
    sewn = None if plan.pleats else seam
    ends = practice.seam
    edges = (
        *_mates(lower, sewn, count, practice.seam, length(lower)),
        straight_edge("right_end", lower[-1], top[-1], "opening", ends),
        PieceEdge(slug="upper", curve=top[::-1], role="opening", allowance=ends),
        straight_edge("left_end", top[0], lower[0], "opening", ends),
    )
    middle = len(places) // 2
    x, y0, y1 = float(lower[middle, 0]), float(lower[middle, 1]), float(top[middle, 1])
    return TopPart(
        name="collar",
        label="stand collar",
        edges=edges,
        grainline=grain((x + 8.0, y0 + 0.2 * (y1 - y0)), (x + 8.0, y0 + 0.8 * (y1 - y0))),
        lines=(InnerLine(kind="centre", curve=np.array([lower[middle], top[middle]]), label="middle"),),
        totals=(
            Total(what="lower edge, end to end along the line", length=length(lower)),
            Total(what="upper edge, end to end along the line", length=length(top)),
            Total(what="height in the middle", length=abs(y1 - y0)),
        ),
        note=(
            "Collar: sew the two together along ends and upper edge, turn; the lower edge meets the neck.",
        ),
        count=2,
        interfaced=True,
    )


def _binding(plan: CircularPlan) -> TopPart:
    """A bias strip that wraps the raw edge."""
    long = plan.finished + 2.0 * 15.0
    corners = [(0.0, 0.0), (long, 0.0), (long, BINDING_WIDTH), (0.0, BINDING_WIDTH), (0.0, 0.0)]
    names = ("bottom", "right_end", "top", "left_end")
    edges = tuple(
        straight_edge(slug, a, b, "opening", 0.0)
        for slug, a, b in zip(names, corners[:-1], corners[1:], strict=True)
    )
    half = 0.3 * BINDING_WIDTH
    return TopPart(
        name="binding",
        label="bias binding",
        edges=edges,
        # At 45 degrees to the strip: that is what lets it follow a curve.
        grainline=grain(
            (0.5 * long - half, 0.2 * BINDING_WIDTH), (0.5 * long + half, 0.2 * BINDING_WIDTH + 2.0 * half)
        ),
        lines=tuple(inner("fold", (0.0, k * 10.0), (long, k * 10.0)) for k in (1, 2, 3)),
        totals=(
            Total(what="length, 15 mm to turn in at each end", length=long),
            Total(what="width", length=BINDING_WIDTH),
            Total(what="top edge that it binds", length=plan.finished),
        ),
        note=("Binding: cut on the bias, fold in four, wrap the top edge in it.",),
    )


def _hood(plan: CircularPlan, practice: SewnPractice, form: Form, seam: str, where: str) -> TopPart:
    """Half a hood, cut as a mirrored pair and joined over the crown and down the back of the head."""
    if "head" not in form.charts or "front_neck" not in form.landmarks:
        raise DraftError("a hood needs a head to go round.", where=where, advice="Draft it on a whole body.")
    rise = float(form.landmarks["crown"][2] - form.landmarks["front_neck"][2])
    height = rise + HOOD_HEIGHT_EASE
    depth = 0.5 * float(form.charts["head"].girths.max()) - 30.0 + HOOD_DEPTH_EASE
    neck = 0.5 * plan.finished
    depth = max(depth, neck + 10.0)
    # Front edge on the right, so that the outline shows the wearer's right half from outside.
    start, farthest, nape = (0.0, height), (-depth, 0.5 * height), (-neck, 0.0)
    crown = np.array([start, (-0.75 * depth, height), (-1.05 * depth, 0.85 * height), farthest])
    back = np.array([farthest, (-0.96 * depth, 0.25 * height), (-neck - 4.0, 0.2 * height), nape])
    over = _dense(np.vstack([start, flattened_bezier(crown, 0.02), flattened_bezier(back, 0.02)]))
    whole = length(over)
    edges = (
        straight_edge("neck", over[-1], (0.0, 0.0), "seam", practice.seam),
        straight_edge("face", (0.0, 0.0), (0.0, height), "opening", practice.edge * 2.0),
        PieceEdge(
            slug="crown",
            curve=over,
            role="seam",
            allowance=practice.seam,
            seam=f"{seam}_hood_crown",
            notches=(Notch(name="hood_crown_half", distance=0.5 * whole),),
        ),
    )
    return TopPart(
        name="hood",
        label="hood half",
        edges=edges,
        grainline=grain((-0.3 * depth, 0.2 * height), (-0.3 * depth, 0.75 * height)),
        lines=(inner("balance", (-0.6 * depth, 0.5 * height), (0.0, 0.5 * height), "square to the grain"),),
        totals=(
            Total(what="neck edge", length=neck),
            Total(what="face edge", length=height),
            Total(what="over the crown and down the back, along the line", length=whole),
        ),
        note=(
            "Hood: join the halves from the face over the crown to the nape.",
            "The nape comes to the middle of the back.",
        ),
        count=2,
        pair=True,
    )


def _dense(curve: Points, step: float = 2.0) -> Points:
    """The same line with points added on its longer steps, (n, 2)."""
    along = arc_lengths(curve)
    parts = [
        np.linspace(a, b, max(1, math.ceil((b - a) / step)), endpoint=False)
        for a, b in itertools.pairwise(along.tolist())
    ]
    every = np.append(np.concatenate(parts), along[-1])
    return np.column_stack([np.interp(every, along, curve[:, k]) for k in range(2)])
