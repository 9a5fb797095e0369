"""Where places on the trunk lie on flat halves of a bodice: in proportion between what they were laid by.

A half is a fan of triangles about its tip. Their corners are known on the body and flat, and a place keeps
its share between them, in its way round and how far it is up: ease is spread evenly, and darts do not count.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from layfigure.body.chart import RegionChart
from layfigure.draft.registry import DraftRequest
from layfigure.draft.window.sheet import REACH, Carry, Kept, Sheet, laid_mesh, unrolled
from layfigure.draft.woven.bodice import is_right_way
from layfigure.draft.woven.bodice_fit import DART_IN, HALVES, FittedBodice
from layfigure.draft.woven.bodice_flat import SHOULDER_SHARE, SIDE_SHARE, HalfFlat
from layfigure.draft.woven.bodice_points import HalfPoints, half_points
from layfigure.draft.woven.options import WovenOptions
from layfigure.draft.woven.reaching import reaching
from layfigure.geometry.rigid import rigid_onto
from layfigure.piece.piece import Piece

Points = NDArray[np.float64]
Indices = NDArray[np.int64]

BUST = 1.0
"""Station of the bust on the torso."""
RUNS = (
    ("one_b", "two_a"),
    ("two_b", "side_waist", "side_a"),
    ("side_b", "underarm", "armhole", "shoulder", "shoulder_a"),
    ("shoulder_b", "neck", "centre_neck", "centre_waist", "one_a"),
)
"""Corners round the tip between darts, counter-clockwise."""
TOLD = (
    "A place on the body is carried in proportion between bust point or shoulder blade, waist, seams and "
    "neck: ease is spread evenly. Try the windows in a toile first."
)


def bodice_sheets(
    request: DraftRequest, options: WovenOptions, bodice: FittedBodice, pieces: Sequence[Piece]
) -> list[Sheet]:
    """Fronts and backs that windows may lie on, with what they stay clear of."""
    prefix, by_slug = request.statement.slug, {piece.slug: piece for piece in pieces}
    carries: dict[str, list[Carry]] = {}
    for part, side in HALVES:
        half = bodice.halves[part, side]
        points = half_points(
            bodice.trunk,
            bodice.waist_line,
            part,
            side,
            drop=options.armhole_drop,
            waist_length=bodice.waist,
            dart_in=DART_IN,
            back_room=0.5 * reaching(request.form).back,
        )
        mirror = 1.0 if is_right_way(part, side) else -1.0
        for name, carry in _half_carries(request, half, points, mirror).items():
            slug = f"{prefix}_{part}{name}_{side}"
            # Without an opening in front both halves are one piece.
            slug = slug if slug in by_slug else f"{prefix}_{part}{name}"
            carries.setdefault(slug, []).append(carry)
    return [
        Sheet(
            slug=slug,
            edges=by_slug[slug].edges,
            carry=own[0] if len(own) == 1 else _nearer(own),
            kept=kept_on(by_slug[slug]),
            told=TOLD,
        )
        for slug, own in carries.items()
        if slug in by_slug
    ]


def kept_on(piece: Piece) -> tuple[Kept, ...]:
    """Darts, buttons and buttonholes of a piece."""
    kept = []
    for line in piece.lines:
        if line.label.startswith("dart"):
            kept.append(Kept(what="a dart", curve=line.curve, closed=True))
        elif "button" in line.label:
            kept.append(Kept(what="a button or its hole", curve=line.curve, closed=line.closed))
    return tuple(kept)


def _half_carries(
    request: DraftRequest, half: HalfFlat, points: HalfPoints, mirror: float
) -> dict[str, Carry]:
    """Carries of one half by the part of its slug: the panel at the centre, and one at the side."""
    on_body = _spots(points)
    if half.side_corners is None:
        return {"": _fan(request, half.corners, on_body, RUNS, mirror)}
    side = dict(half.side_corners)
    shared = [name for name in side if name != "shoulder_a"]
    turn, move = rigid_onto(np.array([half.corners[n] for n in shared]), np.array([side[n] for n in shared]))
    side["tip"] = half.corners["tip"] @ turn + move
    at_side = (("one_b", "side_waist", "underarm", "armhole", "shoulder", "shoulder_a"),)
    return {
        "": _fan(request, half.corners, on_body, (RUNS[3],), mirror),
        "_side": _fan(request, side, on_body, at_side, mirror),
    }


def _spots(points: HalfPoints) -> dict[str, Points]:
    """Every corner on the body, (3,) each."""
    one, two = (spot.at for spot in points.dart_waists)
    low, high = points.side_waist.at, points.underarm.at
    at_side = high + SIDE_SHARE * (low - high)
    out, neck = points.shoulder.at, points.neck.at
    on_shoulder = out + SHOULDER_SHARE * (neck - out)
    return {
        "tip": points.tip.at,
        "one_a": one,
        "one_b": one,
        "two_a": two,
        "two_b": two,
        "side_waist": low,
        "side_a": at_side,
        "side_b": at_side,
        "underarm": high,
        "armhole": points.armhole.at,
        "shoulder": out,
        "shoulder_a": on_shoulder,
        "shoulder_b": on_shoulder,
        "neck": neck,
        "centre_neck": points.centre_neck.at,
        "centre_waist": points.centre_waist.at,
    }


def _fan(
    request: DraftRequest,
    flat: dict[str, Points],
    on_body: dict[str, Points],
    runs: Sequence[Sequence[str]],
    mirror: float,
) -> Carry:
    chart = request.form.charts["torso"]
    girth = float(chart.girth(1.0))
    names = [name for run in runs for name in run]
    at = np.array([on_body["tip"], *(on_body[name] for name in names)])
    _, first, _ = chart.locate(at[:1])
    middle = float(first[0])

    def seen(places: Points) -> Points:
        station, around, _ = chart.locate(places)
        return np.column_stack([girth * unrolled(around, 1.0, middle), _above_bust(chart, station, around)])

    faces, start = [], 1
    for run in runs:
        faces += [(0, k, k + 1) for k in range(start, start + len(run) - 1)]
        start += len(run)
    corners = _corners_seen(chart, at, girth, middle)
    laid = np.array([flat["tip"], *(flat[name] for name in names)]) * (mirror, 1.0)
    read = laid_mesh(corners, laid, np.array(faces, dtype=np.int64), seen=seen)

    def carry(places: Points) -> tuple[Points, Points]:
        found, aside = read(places)
        _, around, off = chart.locate(places)
        # What is on the other side of the body, or on a limb, is nowhere near this half.
        behind = np.abs(np.mod(around - middle + 0.5, 1.0) - 0.5) > 0.4
        return found, np.where(behind | (off > REACH / 3.0), np.inf, aside)

    return carry


def _corners_seen(chart: RegionChart, at: Points, girth: float, middle: float) -> Points:
    """Corners of a fan in its own plane, each on the lap nearest to its tip."""
    station, around, _ = chart.locate(at)
    across = girth * (around + np.round(middle - around))
    return np.column_stack([across, _above_bust(chart, station, around)])


def _above_bust(chart: RegionChart, station: Points, around: Points) -> Points:
    """How far up the body places are above the level of the bust, along its own lines, (m,) [mm]."""
    lines = chart.lines(around)
    down = np.cumsum(np.linalg.norm(np.diff(lines, axis=1), axis=2), axis=1)
    down = np.concatenate([np.zeros((len(lines), 1)), down], axis=1)
    own = zip(station, down, strict=True)
    return np.array([np.interp(BUST, chart.stations, d) - np.interp(t, chart.stations, d) for t, d in own])


def _nearer(carries: Sequence[Carry]) -> Carry:
    """One piece of two halves: every place by the half that it lies on."""

    def carry(places: Points) -> tuple[Points, Points]:
        read = [own(places) for own in carries]
        offs = np.stack([off for _, off in read])
        best = offs.argmin(axis=0)
        rows = np.arange(len(places))
        return np.stack([flat for flat, _ in read])[best, rows], offs[best, rows]

    return carry
