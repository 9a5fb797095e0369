"""Where a dome or cup sits: on a joint by its name, or within a closed line placed on the body."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from layfigure.body.form import Form
from layfigure.body.levels import split_region
from layfigure.draft.registry import DraftRequest
from layfigure.draft.shell.cap import AZIMUTHS, Cap
from layfigure.draft.shell.cap_frame import CapFrame, cap_frame
from layfigure.draft.shell.options import Over, ShellOptions
from layfigure.draft.shell.seats import FRONT, SEATS, UP
from layfigure.draft.shell.smooth_reach import smooth_over
from layfigure.draft.verdict import governing_measures
from layfigure.errors import DraftError
from layfigure.geometry.offset_hull import OffsetHull, offset_hull
from layfigure.place.placement import PlacedEdge

Points = NDArray[np.float64]

WIDEST = np.radians(100.0)
"""A cap that is put on from outside reaches no further round than this from its crown."""

MARGIN = np.radians(10.0)
"""How far beyond the rim the body is looked at, besides what the room beneath asks for."""

SMOOTHNESS = 4
"""Degree of the surface: it may bend one way and back across a dome, and no more."""

AHEAD = np.radians(30.0)
"""Body seen so near to the axis shows how far away the cap is."""

LIMBS: dict[str, tuple[str, ...]] = {
    "thigh": ("thigh", "shank"),
    "shank": ("thigh", "shank", "foot"),
    "foot": ("shank", "foot"),
    "upper_arm": ("upper_arm", "torso", "forearm"),
    "forearm": ("upper_arm", "forearm"),
    "hand": ("forearm", "hand"),
    "torso": ("torso", "upper_arm"),
    "neck": ("neck", "torso"),
    "head": ("head",),
}
"""Regions that lie under a cap on a region."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PlacedCap:
    """A cap on the body. beneath : (m, 3) body points that it must cover [mm]. measures : that govern it.
    spread : of its rim [mm].
    """

    cap: Cap
    beneath: Points
    measures: tuple[str, ...]
    spread: float = 0.0


def region_points(form: Form, regions: frozenset[str]) -> Points:
    """Vertices of the standing body in regions, (m, 3) [mm]."""
    wanted = np.array([name in regions for name in form.region_names])
    within = np.zeros(len(form.standing.vertices), dtype=np.bool_)
    within[form.standing.faces[wanted[form.face_region]]] = True
    points: Points = form.standing.vertices[within]
    return points


def place_cap(request: DraftRequest, options: ShellOptions, growth: float) -> PlacedCap:
    """The cap of a dome or cup. growth : from skin to the sheet's neutral surface [mm].

    Raises DraftError for a cap that is neither said nor placed, or a rim that no cap can have.
    """
    rim = request.placement.edges.get(request.statement.edges.get("rim", ""))
    if rim is not None:
        return _within_rim(request.form, rim, options, growth)
    over: Over | None = options.over or ("bust" if options.shape == "cup" else None)
    if over is None:
        raise DraftError(
            "it is not said where the dome sits.",
            advice="Say over = 'knee', 'elbow', 'shoulder' or 'bust', or place its rim as a closed edge.",
        )
    side = request.statement.side
    if side not in ("left", "right"):
        raise DraftError(
            f"a dome over the {over} needs a side.", advice="Say side = 'left', 'right' or 'both'."
        )
    seat = SEATS[over](request.form, side)
    width, height = options.width or seat.width, options.height or seat.height
    body = region_points(request.form, seat.regions)
    near = _near(body, seat.frame, 0.8 * max(width, height))
    toward_midline = 0.25 if side == "left" else 0.75
    hull = _hull_within(near, seat.frame, np.full(AZIMUTHS, WIDEST), growth)
    quarters = np.array(
        [
            _angle_at(hull, seat.frame, way * 2.0 * np.pi, arc)
            for way, arc in (
                (0.0, 0.5 * height),
                (0.25, min(0.5 * width, seat.inner) if toward_midline == 0.25 else 0.5 * width),
                (0.5, 0.5 * height),
                (0.75, min(0.5 * width, seat.inner) if toward_midline == 0.75 else 0.5 * width),
            )
        ]
    )
    asked = options.width is not None or options.height is not None
    if asked and not np.isfinite(quarters).all():
        raise DraftError(
            "the dome would reach further round than it can be put on.",
            advice="Make its width or height smaller.",
        )
    quarters = np.minimum(quarters, WIDEST)
    azimuth = np.linspace(0.0, 2.0 * np.pi, AZIMUTHS, endpoint=False)
    along = np.where(np.cos(azimuth) >= 0.0, quarters[0], quarters[2])
    across = np.where(np.sin(azimuth) >= 0.0, quarters[1], quarters[3])
    rim_angle = 1.0 / np.hypot(np.cos(azimuth) / along, np.sin(azimuth) / across)
    cap = _cap_within(near, seat.frame, rim_angle, growth, options.rise)
    return PlacedCap(cap=cap, beneath=near, measures=seat.measures)


def _cap_within(body: Points, frame: CapFrame, rim: Points, growth: float, rise: float) -> Cap:
    hull = _hull_within(body, frame, rim, growth)
    return Cap(frame=frame, reach=smooth_over(hull, frame, rim, degree=SMOOTHNESS), rim=rim, rise=rise)


def _near(body: Points, frame: CapFrame, reach: float) -> Points:
    """Body points that can lie under a cap: not the far end of a limb that is seen past its rim.

    reach : of the cap from the frame's centre at least [mm].
    """
    _, polar, distance = frame.angles(body)
    ahead = distance[polar < AHEAD]
    if not ahead.size:
        raise DraftError("there is no body under the cap.", advice="Place its rim on one side of a limb.")
    near: Points = body[distance < max(reach, 1.5 * float(np.percentile(ahead, 95)))]
    return near


def _hull_within(body: Points, frame: CapFrame, rim: Points, growth: float) -> OffsetHull:
    """Hull of the body about an axis out to a margin beyond the rim, grown."""
    azimuth, polar, distance = frame.angles(body)
    margin = MARGIN + np.arctan2(growth, float(np.median(distance)))
    every = np.linspace(0.0, 2.0 * np.pi, len(rim), endpoint=False)
    seen = polar <= np.interp(azimuth, every, rim, period=2.0 * np.pi) + margin
    # The centre counts as body: a shallow cap is seen from a place that its own stretch need not surround.
    return offset_hull(np.vstack([body[seen], frame.centre]), frame.centre, growth)


def _angle_at(hull: OffsetHull, frame: CapFrame, azimuth: float, arc: float) -> float:
    """Polar angle at which the surface has run an arc from the crown [rad]; infinite where it never does."""
    polar = np.linspace(0.0, WIDEST, 200)
    toward = frame.directions(np.full_like(polar, azimuth), polar)
    places = hull.radius(toward)[:, None] * toward
    run = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(places, axis=0), axis=1))])
    return float(np.interp(arc, run, polar, right=np.inf))


def _within_rim(form: Form, rim: PlacedEdge, options: ShellOptions, growth: float) -> PlacedCap:
    """A cap whose rim is seen from inside the body along a placed closed line."""
    if not rim.edge.closed:
        raise DraftError(f"edge {rim.edge.slug!r} is not closed.", advice="Close it: it is the cap's rim.")
    names = sorted({at.region for at in rim.at})
    centres = np.array([form.charts[at.region].section(at.station).mean(axis=0) for at in rim.at])
    out = rim.points - centres
    lean = out.mean(axis=0)
    if np.linalg.norm(lean) < 0.3 * np.linalg.norm(out, axis=1).mean():
        raise DraftError(
            f"edge {rim.edge.slug!r} goes round the limb.",
            advice="A dome covers one side: draw its rim as a closed line there, or say over = 'shoulder'.",
        )
    axis = lean / np.linalg.norm(lean)
    frame = cap_frame(centres.mean(axis=0), axis, UP if abs(axis @ UP) < 0.9 else FRONT)
    azimuth, polar, distance = frame.angles(rim.line)
    turn = np.unwrap(azimuth)
    if turn[-1] < turn[0]:
        turn, polar = turn[::-1], polar[::-1]
    if abs(turn[-1] - turn[0]) < 1.8 * np.pi or np.diff(turn).min() < -np.radians(2.0):
        raise DraftError(
            f"edge {rim.edge.slug!r} doubles back on itself.", advice="Draw the rim as one round line."
        )
    if polar.max() > WIDEST:
        raise DraftError(
            f"edge {rim.edge.slug!r} reaches further round than a cap can be put on.",
            advice="Draw the rim nearer to the crown, or make a wrap of it.",
        )
    order = np.argsort(turn % (2.0 * np.pi))
    every = np.linspace(0.0, 2.0 * np.pi, AZIMUTHS, endpoint=False)
    angle = np.interp(every, (turn % (2.0 * np.pi))[order], polar[order], period=2.0 * np.pi)
    regions = frozenset(_beneath(names))
    reach = 1.3 * float(distance.max())
    body = _near(region_points(form, regions), frame, reach)
    stations = {name: [at.station for at in rim.at if at.region == name] for name in names}
    measures = tuple(
        measure
        for name in names
        for measure in governing_measures(name, min(stations[name]), max(stations[name]))
    )
    cap = _cap_within(body, frame, angle, growth, options.rise)
    spread = float(np.max(rim.spread)) if len(rim.spread) else 0.0
    return PlacedCap(cap=cap, beneath=body, measures=measures, spread=spread)


def _beneath(names: list[str]) -> list[str]:
    """Full names of the regions that lie under a rim in these regions."""
    under = []
    for name in names:
        definition, side = split_region(name)
        sides = ("left", "right") if side == "middle" else (side,)
        for stem in LIMBS[definition.name]:
            under.extend([stem] if stem in ("torso", "neck", "head") else [f"{stem}_{s}" for s in sides])
    return under
