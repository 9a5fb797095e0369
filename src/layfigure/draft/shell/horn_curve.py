"""The middle line of a horn: a stated spiral from a place on the head, or along a line placed on the body."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import brentq

from layfigure.body.form import Form
from layfigure.draft.shell.cap import Cap
from layfigure.draft.shell.options import ShellOptions
from layfigure.errors import DraftError
from layfigure.geometry.polyline import arc_lengths, length, resample
from layfigure.place.placement import PlacedEdge

Points = NDArray[np.float64]

STEP = 6.0
"""Spacing of the rings of a horn [mm]."""

BACK = np.array([0.0, 1.0, 0.0])


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class HornRoot:
    """Where a horn stands. place : (3,) [mm]. out : (3,) unit, away from the surface there. back : (3,) unit,
    square to it, the way it leans and curls.
    """

    place: Points
    out: Points
    back: Points


def root_on(cap: Cap, around: float, up: float) -> HornRoot:
    """The root on a helm's skull. around : share of the way round from the front. up : 0 rim, 1 crown."""
    azimuth, share = 2.0 * np.pi * around, float(np.clip(1.0 - up, 0.02, 1.0))
    ways = np.array([azimuth, azimuth + 1e-3, azimuth - 1e-3, azimuth, azimuth])
    shares = np.array([share, share, share, share + 1e-3, share - 1e-3])
    place, *around_it = cap.points(ways, shares)
    out = np.cross(around_it[0] - around_it[1], around_it[3] - around_it[2])
    out /= np.linalg.norm(out)
    back = BACK - (BACK @ out) * out
    if np.linalg.norm(back) < 0.1:
        back = np.array([0.0, 0.0, 1.0])
    return HornRoot(place=place, out=out, back=back / np.linalg.norm(back))


def spiral(root: HornRoot, options: ShellOptions) -> Points:
    """The stated curve, as long as asked, (m, 3) [mm].

    Its axis leans back from upright and curls on by an even bend; round the axis it swings out to ``coil``,
    more and more toward the tip. Raises DraftError where so wide a swing leaves no length to rise.
    """
    count = max(12, int(np.ceil(options.length / STEP)) + 1)
    share = np.linspace(0.0, 1.0, 8 * count)
    lean, curl = np.radians(options.lean), np.radians(options.curl)
    side = np.cross(root.out, root.back)

    angle = lean + curl * share
    heading = np.cos(angle)[:, None] * root.out + np.sin(angle)[:, None] * root.back
    steps = 0.5 * (heading[1:] + heading[:-1]) / (len(share) - 1)
    axis = np.concatenate([np.zeros((1, 3)), np.cumsum(steps, axis=0)])
    # The axis stays in one plane, so a frame carried along it keeps its first direction square to that.
    turn = 2.0 * np.pi * options.turns * share
    swing = np.cos(turn)[:, None] * side + np.sin(turn)[:, None] * np.cross(heading, side)
    swung = root.place + (options.coil * share)[:, None] * swing

    def curve(axis_length: float) -> Points:
        return np.asarray(axis_length * axis + swung)

    shortest = 0.15 * options.length
    if options.coil > 0.0 and length(curve(shortest)) >= options.length:
        raise DraftError(
            "so wide a spiral uses up the horn's length.",
            advice="Give it fewer turns, a smaller coil, or more length.",
        )
    axis_length = (
        float(brentq(lambda h: length(curve(h)) - options.length, shortest, options.length))
        if options.coil > 0.0
        else options.length
    )
    return resample(curve(axis_length), count)


def along_line(form: Form, line: PlacedEdge, growth: float, options: ShellOptions) -> Points:
    """The curve of a horn that lies on the body along a placed line, its skin just touching, (m, 3) [mm]."""
    if line.edge.closed:
        raise DraftError(f"edge {line.edge.slug!r} is closed.", advice="Give a horn a line with two ends.")
    places, outs = [], []
    for run in line.curves:
        chart = form.charts[run.region]
        at = chart.points(run.station, run.around)
        middles = chart.sections.mean(axis=1)
        middle = np.column_stack([np.interp(run.station, chart.stations, middles[:, k]) for k in range(3)])
        places.append(at)
        outs.append(at - middle)
    place, out = np.concatenate(places), np.concatenate(outs)
    keep = np.concatenate([[True], np.linalg.norm(np.diff(place, axis=0), axis=1) > 1e-6])
    place, out = place[keep], out[keep] / np.linalg.norm(out[keep], axis=1, keepdims=True)
    run_length = arc_lengths(place)
    share = run_length / run_length[-1]
    lift = growth + 0.5 * (options.base + (options.tip - options.base) * share)
    count = max(12, int(np.ceil(run_length[-1] / STEP)) + 1)
    return resample(place + lift[:, None] * out, count)


def tightest_bend(curve: Points) -> Points:
    """Radius of the circle through each three neighbours, (m,) [mm]; ends as their neighbours."""
    a, b, c = curve[:-2], curve[1:-1], curve[2:]
    sides = [np.linalg.norm(q - p, axis=1) for p, q in ((a, b), (b, c), (c, a))]
    area = 0.5 * np.linalg.norm(np.cross(b - a, c - a), axis=1)
    radius = np.prod(sides, axis=0) / np.maximum(4.0 * area, 1e-9)
    return np.concatenate([radius[:1], radius, radius[-1:]])
