"""A cap cut from rim to crown into gores, as few as lie flat without more stretch than sheets take."""

from __future__ import annotations

import itertools
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from layfigure.draft.flatten.panel import FlatPanel, Panel, PanelEdge
from layfigure.draft.shell.cap import Cap
from layfigure.draft.shell.flattening import (
    begin_flattening,
    excess,
    flatten_shell,
    surely_too_far,
)
from layfigure.errors import DraftError
from layfigure.geometry.polyline import arc_lengths
from layfigure.geometry.zipped_rows import zipped_rows

Points = NDArray[np.float64]
Indices = NDArray[np.int64]

MOST_GORES = 20
LEAP = 0.85


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Gores:
    """A cap in gores, flat.

    azimuths : (n + 1,) of the seams, the last a whole turn after the first [rad].
    flats : by panel slug, gores as ``gore_1`` and on. stretch : their ``stretches``.
    bevels : (n, 2) half the angle that is missing from straight between neighbouring gores at each seam, at
    the rim and halfway to the crown, if they were flat across [degrees].
    """

    cap: Cap
    azimuths: Points
    flats: dict[str, FlatPanel]
    stretch: tuple[float, float]
    bevels: Points

    @property
    def count(self) -> int:
        """Number of gores."""
        return len(self.azimuths) - 1

    def upright(self, number: int) -> tuple[Points, float]:
        """Middle of a gore's flat rim, and the turn that brings its tip above [rad]. number : from 1."""
        flat = self.flats[f"gore_{number}"]
        rim, right = (flat.curves[edge.slug] for edge in flat.panel.outline[:2])
        bottom = rim[len(rim) // 2]
        return bottom, 0.5 * np.pi - float(np.arctan2(*(right[-1] - bottom)[::-1]))

    def field_azimuths(self, number: int, fields: int) -> Points:
        """Azimuths of even fields over one gore, numbered from 0, (fields + 1,) [rad]."""
        return np.linspace(float(self.azimuths[number]), float(self.azimuths[number + 1]), fields + 1)


def cut_gores(
    cap: Cap, seam: str, *, count: int | None, step: int = 1, least: int = 4, rim_joins: bool = False
) -> Gores:
    """Gores of a cap.

    seam : stem of the seams' names. count : wanted, or None for as few as will do. step : counts go up by it.
    least : where to start. rim_joins : a brim is joined to the rim.
    Where even many stretch too far, the checks say so.
    """
    wanted = count or least
    while True:
        azimuths = seam_azimuths(cap, wanted)
        panels = gore_panels(cap, azimuths, seam, rim_joins=rim_joins)
        begun = begin_flattening(panels)
        more = wanted + max(step, 2)
        if count is None and wanted < MOST_GORES:
            exceeds = surely_too_far(begun)
            if exceeds is not None:
                wanted = _more_gores(wanted, exceeds, step)
                continue
        try:
            flats, stretch = flatten_shell(panels, begun)
        except DraftError:
            if count is not None or more > MOST_GORES:
                raise
            wanted = more
            continue
        exceeds = excess(*stretch)
        if count is not None or exceeds <= 1.0 or wanted >= MOST_GORES:
            bevels = seam_bevels(cap, azimuths)
            return Gores(cap=cap, azimuths=azimuths, flats=flats, stretch=stretch, bevels=bevels)
        wanted = _more_gores(wanted, exceeds, step)


def _more_gores(count: int, exceeds: float, step: int) -> int:
    """How many to try after ``count`` that stretch ``exceeds`` times too far."""
    # Stretch falls a little faster than the number grows, so this leaps without overshooting.
    grown = int(count * (exceeds**LEAP - 1.0)) // step * step
    return min(MOST_GORES, count + max(step, grown))


def seam_azimuths(cap: Cap, count: int) -> Points:
    """Azimuths of the seams, (count + 1,) [rad]: equal shares of the rim's length from azimuth 0."""
    azimuth = np.linspace(0.0, 2.0 * np.pi, 721)
    run = arc_lengths(cap.points(azimuth, np.ones_like(azimuth)))
    seams: Points = np.interp(np.linspace(0.0, run[-1], count + 1), run, azimuth)
    return seams


def gore_panels(cap: Cap, azimuths: Points, seam: str, *, rim_joins: bool = False) -> list[Panel]:
    """Gores as meshes, each with its base first, then its right and left sides seen from outside.

    azimuths : (n + 1,) of the seams [rad]. rim_joins : a brim is joined to the rim.
    """
    count = len(azimuths) - 1
    middles = 0.5 * (azimuths[:-1] + azimuths[1:])
    shares = np.linspace(1.0, 0.0, 61)
    levels, spacings = [], []
    for way in cap.points(middles[:, None], shares):
        run = arc_lengths(way)
        spacing = float(np.clip(run[-1] / 18.0, 3.0, 9.0))
        even = np.linspace(0.0, run[-1], int(np.ceil(run[-1] / spacing)) + 1)
        levels.append(np.interp(even, run, shares)[:-1])
        spacings.append(spacing)
    gore = np.repeat(np.arange(count), [len(level) for level in levels])
    level = np.concatenate(levels)
    ends = cap.points(np.stack([azimuths[gore], azimuths[gore + 1]]), level)
    fields = np.round(np.linalg.norm(ends[1] - ends[0], axis=1) / np.array(spacings)[gore]).astype(np.int64)
    fields = np.maximum(2, fields)
    lowest = np.flatnonzero(np.diff(gore, prepend=-1))
    fields[lowest] = fields[lowest + 1] = np.maximum(fields[lowest], fields[lowest + 1])
    row = np.repeat(np.arange(len(fields)), fields + 1)
    across = (np.arange(len(row)) - (np.cumsum(fields + 1) - fields - 1)[row]) / fields[row]
    # Written so that neighbours have the very same azimuth along their seam.
    way = (1.0 - across) * azimuths[gore[row]] + across * azimuths[gore[row] + 1]
    places = cap.points(np.concatenate([way, middles]), np.concatenate([level[row], np.zeros(count)]))
    return [
        _panel(
            np.vstack([places[: len(row)][gore[row] == number], places[len(row) + number]]),
            fields[gore == number],
            number,
            count,
            seam,
            rim_joins=rim_joins,
        )
        for number in range(count)
    ]


def _panel(
    vertices: Points, fields: Indices, number: int, count: int, seam: str, *, rim_joins: bool
) -> Panel:
    """One gore. vertices : row after row from the rim, the tip last. fields : of every row.
    number : from 0.
    """
    starts = np.concatenate([[0], np.cumsum(fields + 1)])
    rows = [np.arange(a, b) for a, b in itertools.pairwise(starts)]
    tip = int(starts[-1])
    left, right = np.append(starts[:-1], tip), np.append(starts[1:] - 1, tip)
    faces = zipped_rows(rows, tip)
    return Panel(
        slug=f"gore_{number + 1}",
        vertices=vertices,
        faces=faces,
        around=np.zeros((len(faces), 3)),
        outline=(
            PanelEdge(slug="rim", vertices=rows[0], seam=f"{seam}_rim_{number + 1}" if rim_joins else None),
            PanelEdge(slug="right", vertices=right, seam=f"{seam}_{(number + 1) % count + 1}"),
            PanelEdge(slug="left", vertices=left[::-1], seam=f"{seam}_{number + 1}", against=True),
        ),
    )


def seam_bevels(cap: Cap, azimuths: Points) -> Points:
    """Bevels at each seam, at the rim and halfway to the crown, (n, 2) [degrees].

    A gore flat across is the plane through its two sides there and its way up the middle.
    """
    bevels = []
    for share in (0.98, 0.5):
        sides = cap.points(azimuths[:-1], np.full(len(azimuths) - 1, share))
        across = np.roll(sides, -1, axis=0) - sides
        middle = 0.5 * (azimuths[1:] + azimuths[:-1])
        up = cap.points(middle, np.full_like(middle, share - 0.02)) - cap.points(
            middle, np.full_like(middle, share + 0.02)
        )
        normal = np.cross(across, up)
        normal /= np.linalg.norm(normal, axis=1, keepdims=True)
        cosine = np.clip((normal * np.roll(normal, 1, axis=0)).sum(axis=1), -1.0, 1.0)
        bevels.append(0.5 * np.degrees(np.arccos(cosine)))
    return np.column_stack(bevels)
