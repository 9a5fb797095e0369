"""The edges of a bodice half as they are sewn: darts folded in, seams divided where their mates are."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from layfigure.draft.woven.bodice_flat import HalfFlat
from layfigure.draft.woven.half_outline import Cut, Dart
from layfigure.draft.woven.options import WovenOptions
from layfigure.errors import DraftError
from layfigure.geometry.pleat import hidden_edge
from layfigure.geometry.polyline import arc_lengths, length, points_at
from layfigure.piece.piece import InnerLine, Notch, PieceEdge

Points = NDArray[np.float64]

SHORTEST = 0.5
"""A stretch of an edge shorter than this is not cut off [mm]."""
NECK_ALLOWANCE = 10.0
"""Of a neckline, which is curved (common practice)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class HalfPlace:
    """Which half it is and what its edges meet.

    prefix : of its seams' names. extension : past the centre line [mm]. centre : ``seam``, ``zip``,
    ``open`` or
    ``faced``; ``joined`` where the other half is cut in one with it. neck_faced : the neck is sewn to a
    facing.
    breaks : edge to distances along it at which its mate is divided [mm], from the start of the edge.
    waist_seam :
    from the number of a stretch of the waist edge, centre first, to its seam; None where it is a hem.
    """

    part: str
    side: str
    prefix: str
    extension: float
    centre: str
    neck_faced: bool
    breaks: Mapping[str, Sequence[float]]
    waist_seam: Callable[[int], str] | None


def half_edges(half: HalfFlat, place: HalfPlace, options: WovenOptions) -> list[list[PieceEdge]]:
    """Edges of every panel of a half, the one at the centre first, counter-clockwise with the centre at
    the left.
    """
    panels: list[list[PieceEdge]] = [[], []]
    edges = panels[0]
    counts = {"waist": 0, "side": 0, "shoulder": 0}
    passed = dict.fromkeys(counts, 0.0)
    runs = list(half.runs)
    for k, run in enumerate(runs):
        if isinstance(run, Cut):
            edges.append(_princess_edge(half, place, options, at_centre=edges is panels[0]))
            edges = panels[1] if edges is panels[0] else panels[0]
            continue
        if isinstance(run, Dart):
            wide = edges[-1].allowance
            before, after = runs[k - 1], runs[k + 1]
            assert isinstance(before, tuple)
            assert isinstance(after, tuple)
            edges.append(
                PieceEdge(
                    slug=f"dart_{run.name}",
                    curve=mouth(run, before[1], after[1]),
                    role="seam",
                    allowance=wide,
                )
            )
            continue
        name, curve = run
        stem = name.rstrip("_0123456789")
        if stem in counts:
            # What is eased is spread evenly: its mate's breaks lie as much farther along.
            longer = 1.0 / (1.0 - _eased_share(half, stem))
            cuts = [b * longer - passed[stem] for b in place.breaks.get(stem, ())]
            passed[stem] += length(curve)
            parts = cut_curve(curve, cuts)
            if stem == "waist" and not counts["waist"] and place.extension:
                parts[0] = np.vstack([parts[0][0] - (place.extension, 0.0), parts[0]])
            for part in parts:
                counts[stem] += 1
                sewn = _sewn(stem, counts[stem], part, place, options)
                edges.append(replace(sewn, eased=_eased_share(half, stem) * sewn.length))
        elif stem == "armhole":
            edges += _armhole_edges(half, curve, place, options)
        else:
            edges += _neck_and_centre(stem, curve, place, options)
    return [panel for panel in panels if panel]


def _eased_share(half: HalfFlat, stem: str) -> float:
    """What share of an edge is worked in when it is sewn."""
    return half.shoulder_eased / half.edge_length(stem) if stem == "shoulder" else 0.0


def _princess_edge(half: HalfFlat, place: HalfPlace, options: WovenOptions, *, at_centre: bool) -> PieceEdge:
    """The seam over the tip: up on the panel at the centre, down on the one at the side."""
    assert half.princess is not None
    curve = half.princess[0] if at_centre else half.princess[1][::-1]
    seam = f"{place.prefix}_princess_{place.part}_{place.side}"
    whole, tip = length(curve), float(np.linalg.norm(half.corners["tip"] - half.corners["one_a"]))
    # Three notches: two would let the bust slip past its place.
    places = (0.45 * tip, tip, tip + 0.5 * (whole - tip))
    notches = tuple(
        Notch(name=f"{seam} {name}", distance=at if at_centre else whole - at)
        for name, at in zip(("below", "tip", "above"), places, strict=True)
    )
    return PieceEdge(
        slug="princess",
        curve=curve,
        role="seam",
        allowance=options.seam_allowance,
        seam=seam,
        against=not at_centre,
        notches=notches if at_centre else notches[::-1],
    )


def _sewn(stem: str, number: int, curve: Points, place: HalfPlace, options: WovenOptions) -> PieceEdge:
    if stem == "waist":
        joined = place.waist_seam is not None
        return PieceEdge(
            slug=f"waist_{number}",
            curve=curve,
            role="seam" if joined else "hem",
            allowance=options.seam_allowance if joined else options.let_out,
            seam=place.waist_seam(number) if place.waist_seam is not None else None,
        )
    whole = length(curve)
    seam = f"{place.prefix}_{stem}_{place.side}_{number}"
    return PieceEdge(
        slug=f"{stem}_{number}",
        curve=curve,
        role="seam",
        allowance=options.let_out if stem == "side" else options.seam_allowance,
        seam=seam,
        notches=(Notch(name=f"{seam} middle", distance=0.5 * whole),) if whole > 60.0 else (),
    )


def _armhole_edges(half: HalfFlat, curve: Points, place: HalfPlace, options: WovenOptions) -> list[PieceEdge]:
    """Two stretches that meet at the notch, single in front, double behind: sewn to a sleeve or a facing."""
    lower, upper = cut_curve(curve, [half.armhole_notch])
    seams = [f"{place.prefix}_armhole_{place.part}_{which}_{place.side}" for which in ("lower", "upper")]
    allowance = min(options.seam_allowance, 12.0)
    sewn = options.sleeves or place.neck_faced
    notch = Notch(name=f"{seams[0]} notch", distance=length(lower), count=1 if place.part == "front" else 2)
    return [
        PieceEdge(
            slug=f"armhole_{which}",
            curve=run,
            role="seam" if sewn else "opening",
            allowance=allowance,
            seam=seam if sewn else None,
            notches=(notch,) if which == "lower" and sewn else (),
        )
        for which, run, seam in zip(("lower", "upper"), (lower, upper), seams, strict=True)
    ]


def _neck_and_centre(stem: str, curve: Points, place: HalfPlace, options: WovenOptions) -> list[PieceEdge]:
    if stem == "neck":
        if place.extension:
            curve = np.vstack([curve, curve[-1] - (place.extension, 0.0)])
        return [
            PieceEdge(
                slug="neck",
                curve=curve,
                role="seam" if place.neck_faced else "opening",
                allowance=NECK_ALLOWANCE,
                seam=f"{place.prefix}_neck_{place.part}_{place.side}" if place.neck_faced else None,
            )
        ]
    if place.centre == "joined":
        return []
    curve = curve - (place.extension, 0.0) if place.extension else curve
    seam = {
        "seam": f"{place.prefix}_centre_{place.part}",
        "zip": f"{place.prefix}_centre_{place.part}",
        "faced": f"{place.prefix}_front_edge_{place.side}",
    }.get(place.centre)
    return [
        PieceEdge(
            slug=f"centre_{place.part}",
            curve=curve,
            role="closure" if place.centre in ("zip", "open") else "seam",
            allowance=options.let_out if place.part == "back" else options.seam_allowance,
            seam=seam,
            notches=(Notch(name=f"{seam} middle", distance=0.5 * length(curve)),)
            if place.centre == "seam"
            else (),
        )
    ]


def mouth(dart: Dart, before: Points, after: Points) -> Points:
    """The edge across a dart's mouth, true when it is folded. before, after : the runs beside it."""
    inner = np.array([dart.tip, 0.5 * (dart.first + dart.second)])
    try:
        if dart.toward_first:
            curve = hidden_edge(before[::-1], np.array([dart.tip, dart.first]), inner)
        else:
            curve = hidden_edge(after, np.array([dart.tip, dart.second]), inner)[::-1]
    except ValueError as error:
        raise DraftError(
            "a dart's fold runs off the edge it starts from.",
            advice="Move the waist edge nearer to the waist, or give less ease.",
        ) from error
    curve[0], curve[-1] = dart.first, dart.second
    return curve


def dart_lines(half: HalfFlat) -> list[InnerLine]:
    """Stitch lines of every dart, and the line it is folded along."""
    lines = []
    for run in half.runs:
        if isinstance(run, Dart):
            way = {"side": "down"}.get(run.name, "toward the centre")
            lines.append(
                InnerLine(
                    kind="stitch", curve=np.array([run.first, run.tip, run.second]), label=f"dart, fold {way}"
                )
            )
            middle = 0.5 * (run.first + run.second)
            lines.append(InnerLine(kind="fold", curve=np.array([middle, run.tip])))
    return lines


def cut_curve(curve: Points, distances: Sequence[float]) -> list[Points]:
    """A curve cut at distances along it; those at or beyond its ends are left out."""
    along = arc_lengths(curve)
    inside = [d for d in sorted(distances) if SHORTEST < d < along[-1] - SHORTEST]
    stops = [0.0, *inside, float(along[-1])]
    places = points_at(curve, stops)
    parts = []
    for k, (start, end) in enumerate(itertools.pairwise(stops)):
        within = (along > start + 1e-9) & (along < end - 1e-9)
        parts.append(np.vstack([places[k], curve[within], places[k + 1]]))
    return parts


def mirrored_edges(edges: Sequence[PieceEdge]) -> list[PieceEdge]:
    """The same edges on the other side of the body, again counter-clockwise."""
    turned = []
    for edge in reversed(edges):
        curve: Points = (edge.curve * (-1.0, 1.0))[::-1]
        whole = length(edge.curve)
        notches = tuple(replace(n, distance=whole - n.distance) for n in reversed(edge.notches))
        turned.append(replace(edge, curve=curve, against=not edge.against, notches=notches))
    return turned


def mirrored_lines(lines: Sequence[InnerLine]) -> list[InnerLine]:
    """Inner lines on the other side of the body."""
    return [replace(line, curve=line.curve * (-1.0, 1.0)) for line in lines]
