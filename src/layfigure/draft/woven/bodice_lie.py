"""Where places on the trunk lie on flat halves of a bodice: where the cloth lies over them.

A half is a fan of triangles about its tip, or one fan from dart to dart (``tape_net``): what darts take away
holds no place of the body.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from layfigure.body.form import Form
from layfigure.draft.registry import DraftRequest
from layfigure.draft.window.sheet import REACH, Carry, Kept, Sheet
from layfigure.draft.woven.bodice import is_right_way
from layfigure.draft.woven.bodice_fit import DART_IN, HALVES, FittedBodice
from layfigure.draft.woven.bodice_flat import SHOULDER_SHARE, SIDE_SHARE, HalfFlat
from layfigure.draft.woven.bodice_points import HalfPoints, half_points
from layfigure.draft.woven.eased_trunk import EasedTrunk, Spot
from layfigure.draft.woven.options import WovenOptions
from layfigure.draft.woven.reaching import reaching
from layfigure.draft.woven.tape_net import Fan
from layfigure.geometry.polyline import arc_lengths, length, points_at
from layfigure.piece.piece import Piece

Points = NDArray[np.float64]

CORNERS = (
    "one_b", "two_a", "two_b", "side_waist", "side_a", "side_b", "underarm", "armhole", "shoulder",
    "shoulder_a", "shoulder_b", "neck", "centre_neck", "centre_waist", "one_a",
)  # fmt: skip
"""Round the tip, counter-clockwise, from one leg of the first waist dart to the other."""
AT_SIDE = ("one_b", "side_waist", "underarm", "armhole", "shoulder", "shoulder_a")
AT_CENTRE = ("shoulder_b", "neck", "centre_neck", "centre_waist", "one_a")
"""Of the two panels of a princess half."""
SHUT = 1e-6
"""Corners this near to each other flat have no dart between [mm]."""
ELSEWHERE = REACH / 3.0
"""A place further than this from the cloth is on another part of the body [mm]."""
TOLD = (
    "A place on the body is carried as a tape over it measures, with the ease that the cloth has there. Try "
    "the windows in a toile first."
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
        for name, carry in half_carries(bodice.trunk, half, points, mirror).items():
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


def half_carries(trunk: EasedTrunk, half: HalfFlat, points: HalfPoints, mirror: float) -> dict[str, Carry]:
    """Carries of one half by the part of its slug: the panel at the centre, and one at the side.

    mirror : -1 where the piece is drawn the other way.
    """
    on_body = corner_spots(trunk, points)
    if half.side_corners is None or half.princess is None:
        fans = [_fan(trunk, half, half.corners, on_body, run, {}) for run in _between_darts(half.corners)]
        return {"": _carry(trunk.form, fans, mirror)}
    centre, side = half.princess
    at_side = {**half.side_corners, "tip": _as_far_along(side, centre, half.corners["tip"])}
    parts = (
        ("", half.corners, AT_CENTRE, ("shoulder_b", "one_a"), centre),
        ("_side", at_side, AT_SIDE, ("shoulder_a", "one_b"), side),
    )
    carries = {}
    for name, flat, run, ends, seam in parts:
        fan = _fan(trunk, half, flat, on_body, run, _spokes(flat["tip"], seam, ends))
        carries[name] = _carry(trunk.form, [fan], mirror)
    return carries


def _between_darts(flat: Mapping[str, Points]) -> list[tuple[str, ...]]:
    """Corners round the tip, parted where a dart is open; two that no dart parts are one."""
    runs: list[list[str]] = [[CORNERS[0]]]
    for before, name in pairwise(CORNERS):
        twin = before[:-1] == name[:-1] and before.endswith("_a")
        if not twin:
            runs[-1].append(name)
        elif float(np.linalg.norm(flat[before] - flat[name])) > SHUT:
            runs.append([name])
    return [tuple(run) for run in runs]


def _as_far_along(curve: Points, other: Points, place: Points) -> Points:
    """The place on a curve that is as far along it as a place on another curve is there."""
    along = arc_lengths(other)[int(np.linalg.norm(other - place, axis=1).argmin())]
    found: Points = points_at(curve, [along])[0]
    return found


def _spokes(tip: Points, seam: Points, ends: tuple[str, str]) -> dict[str, Points]:
    """A princess seam from the tip up and from the tip down, by the corner that each ends at."""
    k = int(np.linalg.norm(seam - tip, axis=1).argmin())
    return {ends[0]: seam[k:], ends[1]: seam[: k + 1][::-1]}


def corner_spots(trunk: EasedTrunk, points: HalfPoints) -> dict[str, Spot]:
    """Every corner on the body."""
    one, two = points.dart_waists
    low, high = points.side_waist, points.underarm
    at_side = _part_way(trunk, high, low, SIDE_SHARE)
    on_shoulder = _part_way(trunk, points.shoulder, points.neck, SHOULDER_SHARE)
    return {
        "tip": points.tip,
        "one_a": one,
        "one_b": one,
        "two_a": two,
        "two_b": two,
        "side_waist": low,
        "side_a": at_side,
        "side_b": at_side,
        "underarm": high,
        "armhole": points.armhole,
        "shoulder": points.shoulder,
        "shoulder_a": on_shoulder,
        "shoulder_b": on_shoulder,
        "neck": points.neck,
        "centre_neck": points.centre_neck,
        "centre_waist": points.centre_waist,
    }


def _part_way(trunk: EasedTrunk, start: Spot, end: Spot, share: float) -> Spot:
    way = trunk.way(start, end)
    return Spot(points_at(way, [share * length(way)])[0], start.out + share * (end.out - start.out))


def _fan(
    trunk: EasedTrunk,
    half: HalfFlat,
    flat: Mapping[str, Points],
    on_body: Mapping[str, Spot],
    names: Sequence[str],
    spokes: Mapping[str, Points],
) -> Fan:
    rims = {n: _seam(half, flat, a, b) for n, (a, b) in enumerate(pairwise(names))}
    return Fan(
        trunk=trunk,
        tip=on_body["tip"],
        tip_flat=flat["tip"],
        spots=tuple(on_body[name] for name in names),
        flat=np.array([flat[name] for name in names]),
        rims={n: curve for n, curve in rims.items() if curve is not None},
        spokes={n: spokes[name] for n, name in enumerate(names) if name in spokes},
    )


def _seam(half: HalfFlat, flat: Mapping[str, Points], first: str, second: str) -> Points | None:
    """The curve on which the edge between two corners lies flat; None for armhole and neckline."""
    if "armhole" in (first, second) or {first, second} == {"neck", "centre_neck"}:
        return None
    curves = dict(run for run in half.runs if isinstance(run, tuple))
    for stem in ("side", "shoulder"):
        # Beside a dart a seam is bent a little.
        own = {f"{stem}_a": f"{stem}_1"}.get(second) or {f"{stem}_b": f"{stem}_2"}.get(first)
        if own is not None and own in curves:
            return curves[own]
    return np.array([flat[first], flat[second]])


def _carry(form: Form, fans: Sequence[Fan], mirror: float) -> Carry:
    armpit, shoulder = (
        np.mean([form.landmarks[f"{name}_{side}"][2] for side in ("left", "right")])
        for name in ("armpit", "shoulder_point")
    )

    def carry(places: Points) -> tuple[Points, Points]:
        lying = np.clip((places[:, 2] - armpit) / (shoulder - armpit), 0.0, 1.0)
        read = [fan.read(places, lying, reach=ELSEWHERE) for fan in fans]
        offs = np.stack([off for _, off in read])
        best, rows = offs.argmin(axis=0), np.arange(len(places))
        return np.stack([flat for flat, _ in read])[best, rows] * (mirror, 1.0), offs[best, rows]

    return carry


def _nearer(carries: Sequence[Carry]) -> Carry:
    """One piece of two halves: every place by the half that it lies on."""

    def carry(places: Points) -> tuple[Points, Points]:
        read = [own(places) for own in carries]
        offs = np.stack([off for _, off in read])
        best = offs.argmin(axis=0)
        rows = np.arange(len(places))
        return np.stack([flat for flat, _ in read])[best, rows], offs[best, rows]

    return carry
