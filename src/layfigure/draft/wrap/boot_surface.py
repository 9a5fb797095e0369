"""One half of a boot cover's surface: sections of shank and foot made even, with room for a shoe.

Inner and outer half of each section are averaged, so that one pattern, cut mirrored, does for both and the
girth stays. Sections widen by the leg's ease above and by the shoe below. A wall stands straight down from
just above the sole to the lower edge, and a rounded toe box closes the front.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray
from shapely import Polygon

from layfigure.body.chart import RegionChart
from layfigure.draft.round_edge import WrapEdge
from layfigure.draft.wrap.boot_options import BootOptions
from layfigure.errors import DraftError
from layfigure.geometry.polyline import arc_lengths, resample

Points = NDArray[np.float64]

WALL = 18.0
"""Above the foot's sole, where sections end and the straight wall starts [mm]."""
SPACING = 9.0
"""Of rows and points [mm]."""
NARROWING = 0.95
"""The toe box starts where the section's girth is this share of the girth at the ball."""
NOSE = 2.2
"""Exponent of the toe box's outline seen from above; 2 is an ellipse, more is blunter."""
BALL = 2.0
CLOSE = 0.3
"""Share of the way between two sections within which the corner's row takes the place of one."""
ABOVE, BELOW = 35.0, 10.0
"""How far above and below the bend of the ankle its front is bridged [mm]."""
BLEND = 30.0
"""Over which the shoe's room runs out at its top [mm]."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BootHalf:
    """Half of a boot cover in its own frame: x forward, y out from the middle, z up from the foot's sole, mm.

    leg : rows from the top down that run from the front seam to the back seam, each (k, 3). corner : the row
    whose end is the heel, where the wall starts. foot : rows from there forward, from the front seam
    to the lower edge; the first is ``corner`` with its wall, and the last lies in the middle, round the toe.
    ankle : which of ``leg`` is at the ankle. origin, forward : (3,) of the frame in the standing pose.
    leg_middle : (k, 2) z and how far to the left of the frame sections of the leg have their middle;
    foot_middle : (k, 2) x and the same of the foot.
    """

    leg: tuple[Points, ...]
    corner: Points
    foot: tuple[Points, ...]
    ankle: int
    origin: Points
    forward: Points
    leg_middle: Points
    foot_middle: Points

    @property
    def rows(self) -> tuple[Points, ...]:
        """Every row, from the top."""
        return self.leg + self.foot

    def to_space(self, places: Points, side: float) -> Points:
        """Places in the standing pose, (n, 3); side : 1 to the wearer's left of the middle, -1 right."""
        up = np.array([0.0, 0.0, 1.0])
        sideways = np.cross(up, self.forward)
        on_leg = np.interp(places[:, 2], *self.leg_middle.T)
        on_foot = np.interp(places[:, 0], *self.foot_middle.T)
        share = np.clip((places[:, 2] - WALL) / (self.leg_middle[0, 0] - WALL), 0.0, 1.0)
        out = side * places[:, 1] + share * on_leg + (1.0 - share) * on_foot
        put: Points = (
            self.origin + places[:, :1] * self.forward + out[:, None] * sideways + places[:, 2:3] * up
        )
        return put


class _Row(NamedTuple):
    """A section: start and unit way (x, z) in the middle plane; half (k, 2) along and out from that line;
    off (k,) the line's own bend square to it [mm].
    """

    start: Points
    way: Points
    half: Points
    off: Points


def boot_half(
    shank: RegionChart, foot: RegionChart, top: WrapEdge, options: BootOptions, stack: float
) -> BootHalf:
    """The half surface. stack : thickness of layers beneath [mm]. Raises DraftError for a top in the shoe."""
    tip, heel = foot.sections[-1].mean(axis=0), foot.section(0.0)[foot.sections.shape[1] // 2]
    forward = (tip - heel) * np.array([1.0, 1.0, 0.0])
    forward /= np.linalg.norm(forward)
    floor = float(foot.sections[:, :, 2].min())
    origin = np.array([*foot.section(1.0).mean(axis=0)[:2], floor])
    around = np.linspace(0.0, 1.0, shank.sections.shape[1] + 1)
    station = np.interp(around, top.around, top.station, period=1.0)
    station = 0.5 * (station + station[::-1])[:-1]
    lowest = float(shank.height(station.max()) - floor)
    if lowest < options.shoe_top - options.sole:
        raise DraftError(
            "the cover ends below the top of its shoe.", advice="Raise its top edge, or say a lower shoe_top."
        )
    count = max(4, int(np.ceil((lowest - float(shank.height(1.0) - floor)) / SPACING)))
    sections = [
        _across(shank, station + share * (1.0 - station)) for share in np.linspace(0.0, 1.0, count + 1)
    ]
    girths = foot.girths
    ball = float(foot.girth(BALL))
    base = float(foot.stations[(foot.stations <= BALL) | (girths >= NARROWING * ball)].max())
    depth = np.linspace(0.0, base, max(12, int(np.ceil(base / 0.1))))[1:]
    sections.extend(foot.section(float(s)) for s in depth)
    rows = [_with_room(_halved(section, origin, forward), options, stack) for section in sections]
    leg, foot_rows, corner = _assembled(rows, count, _toe(foot, origin, forward), options)
    sideways = np.cross(np.array([0.0, 0.0, 1.0]), forward)
    middles = np.array([section.mean(axis=0) - origin for section in sections])
    # On the leg from the ankle up, on the foot from the heel forward: rising, for interpolation.
    leg_middle = np.column_stack([middles[:, 2], middles @ sideways])[count::-1]
    foot_middle = np.column_stack([middles @ forward, middles @ sideways])[count:]
    return BootHalf(
        leg=leg,
        corner=corner,
        foot=foot_rows,
        ankle=min(count, len(leg) - 1),
        origin=origin,
        forward=forward,
        leg_middle=leg_middle,
        foot_middle=foot_middle[np.argsort(foot_middle[:, 0])],
    )


def foot_reach(foot: RegionChart) -> float:
    """Length of the foot from heel to toes along its own way [mm]."""
    tip, heel = foot.sections[-1].mean(axis=0), foot.section(0.0)[foot.sections.shape[1] // 2]
    forward = (tip - heel) * np.array([1.0, 1.0, 0.0])
    forward /= np.linalg.norm(forward)
    return float(np.ptp(foot.sections.reshape(-1, 3) @ forward))


def ball_of(half: BootHalf, foot: RegionChart) -> float:
    """Where the ball of the foot lies in the frame, forward [mm]."""
    return float(((foot.section(BALL) - half.origin) @ half.forward).mean())


def _across(chart: RegionChart, station: Points) -> Points:
    around = np.arange(len(station)) / len(station)
    return chart.points(station, around)


def _halved(section: Points, origin: Points, forward: Points) -> Points:
    """Both halves averaged, from the front to the back, (k, 3) in the frame, its girth kept."""
    half = len(section) // 2
    mine = section[: half + 1]
    other = np.concatenate([section[:1], section[: half - 1 : -1]])
    middle = 0.5 * (mine + other) - origin
    out = 0.5 * np.linalg.norm(mine - other, axis=1)
    places = np.column_stack([middle @ forward, out, middle[:, 2]])
    girth = float(arc_lengths(section, closed=True)[-1])
    for _ in range(3):
        places[:, 1] *= girth / (2.0 * float(arc_lengths(places)[-1]))
    return places


def _with_room(places: Points, options: BootOptions, stack: float) -> _Row:
    """The section widened in its plane for ease and shoe."""
    start = places[0, [0, 2]]
    way = places[-1, [0, 2]] - start
    way = way / np.linalg.norm(way)
    run = (places[:, [0, 2]] - start) @ way
    front_height = places[0, 2]
    within = np.clip((options.shoe_top - options.sole + BLEND - front_height) / BLEND, 0.0, 1.0)
    leg = stack + options.leg_ease / (2.0 * np.pi)
    room = leg + (max(leg, stack + options.shoe) - leg) * within * within * (3.0 - 2.0 * within)
    ring = np.concatenate(
        [np.column_stack([run, places[:, 1]]), np.column_stack([run, -places[:, 1]])[-2:0:-1]]
    )
    wide = Polygon(ring).convex_hull.buffer(room, quad_segs=16)
    outline = np.asarray(wide.exterior.coords)[:-1]
    half = np.asarray(
        Polygon(outline)
        .intersection(Polygon([(-1e4, 0.0), (1e4, 0.0), (1e4, 1e4), (-1e4, 1e4)]))
        .exterior.coords
    )[:-1]
    # From the front point over the side to the back point.
    first = int(np.lexsort((half[:, 0], half[:, 1] > 1e-9))[0])
    half = np.roll(half, -first, axis=0)
    if half[1, 1] < 1e-9:
        half = np.concatenate([half[:1], half[:0:-1]])
    off = (places[:, [0, 2]] - start) @ np.array([-way[1], way[0]])
    order = np.argsort(run)
    return _Row(start=start, way=way, half=half, off=np.interp(half[:, 0], run[order], off[order]))


def _lifted(row: _Row) -> Points:
    half = row.half
    line = row.start + half[:, :1] * row.way + row.off[:, None] * np.array([-row.way[1], row.way[0]])
    return np.column_stack([line[:, 0], half[:, 1], line[:, 1]])


def _toe(foot: RegionChart, origin: Points, forward: Points) -> tuple[float, float]:
    """How far forward the toes reach and how high the foremost section is [mm]."""
    last = foot.sections[-1] - origin
    return float((last @ forward).max()), float(last[:, 2].max())


def _assembled(
    rows: list[_Row],
    ankle: int,
    toe: tuple[float, float],
    options: BootOptions,
) -> tuple[tuple[Points, ...], tuple[Points, ...], Points]:
    """Rows of leg and foot and the corner's, from sections in order from the top."""
    lifted = _bridged([_lifted(row) for row in rows], ankle)
    ends = np.array([places[-1, 2] for places in lifted])
    reached = np.flatnonzero(ends <= WALL)
    if not len(reached) or reached[0] <= ankle:
        raise DraftError("no heel was found on the foot.", advice="Refit the wearer's feet.")
    at = int(reached[0])
    # The section that ends just where the wall starts is the corner at the heel.
    share = float((ends[at - 1] - WALL) / (ends[at - 1] - ends[at]))
    corner = _blended(lifted[at - 1], lifted[at], share)
    heel = np.array([1.0, 0.0, 0.0]) * (options.heel_room - options.shoe)
    line = options.line - options.sole
    # Sections close to it would leave slivers.
    above = at - 1 if share < CLOSE and at - 1 > ankle else at
    below = at + 1 if share > 1.0 - CLOSE else at
    leg = [_toward_heel(places, heel, options) for places in lifted[:above]]
    corner = _toward_heel(corner, heel, options)
    walls = max(2, round((WALL - line) / SPACING))
    foot = [_walled(corner, line, walls)]
    foot.extend(
        _walled(_cut_at_wall(_toward_heel(places, heel, options)), line, walls) for places in lifted[below:]
    )
    foot.extend(_nose(foot[-1], toe, options, walls))
    return tuple(_even(places) for places in leg), tuple(foot), _even(corner)


def _bridged(rows: list[Points], ankle: int) -> list[Points]:
    """Rows whose fronts run on downward over the bend of the ankle, bridged straight there.

    Sections of shank and foot turn about the instep and cross each other a little at the front.
    """
    rows = [resample(places, 200) for places in rows]
    fronts = np.array([places[0] for places in rows])
    bend = float(fronts[ankle:, 2].max())
    first = int(np.flatnonzero(fronts[: ankle + 1, 2] >= min(bend + ABOVE, fronts[0, 2]))[-1])
    last = ankle + int(np.flatnonzero(fronts[ankle:, 2] >= bend - BELOW)[-1]) + 1
    back = np.linspace(1.0, 0.0, 200)[:, None] ** 2
    for k in range(first + 1, last):
        share = (k - first) / (last - first)
        front = (1.0 - share) * fronts[first] + share * fronts[last]
        rows[k] = rows[k] + back * (front - fronts[k])
    return rows


def _blended(first: Points, second: Points, share: float) -> Points:
    blended: Points = (1.0 - share) * first + share * second
    return blended


def _toward_heel(places: Points, heel: Points, options: BootOptions) -> Points:
    """Moved back where the shoe's heel is: the rear of sections below the shoe's top."""
    low = np.clip((options.shoe_top - options.sole - places[:, 2]) / BLEND, 0.0, 1.0)
    rear = (places[:, 0] < 0.0) * np.clip(-places[:, 0] / 40.0, 0.0, 1.0)
    moved: Points = places - (low * rear)[:, None] * heel
    return moved


def _cut_at_wall(places: Points) -> Points:
    """From the front as far as the section first comes down to the wall."""
    below = int(np.flatnonzero(places[:, 2] <= WALL)[0])
    if below == 0:
        raise DraftError("the foot is lower than its shoe's sole.", advice="Refit the wearer's feet.")
    a, b = places[below - 1], places[below]
    share = (a[2] - WALL) / (a[2] - b[2])
    return np.concatenate([places[:below], (a + share * (b - a))[None]])


def _even(places: Points) -> Points:
    run = arc_lengths(places)[-1]
    return resample(places, max(4, round(float(run) / SPACING)) + 1)


def _walled(places: Points, line: float, walls: int) -> Points:
    """Evenly spaced, with its wall down to the lower edge."""
    return _down(_even(places), line, walls)


def _down(upper: Points, line: float, walls: int) -> Points:
    """A row with its wall."""
    wall = np.repeat(upper[-1:], walls, axis=0)
    wall[:, 2] = np.linspace(upper[-1, 2], line, walls + 1)[1:]
    return np.concatenate([upper, wall])


def _nose(last: Points, toe: tuple[float, float], options: BootOptions, walls: int) -> list[Points]:
    """Rows of the toe box, the last flat in the middle plane."""
    reach, height = toe
    upper = last[: len(last) - walls]
    level = float(upper[:, 0].mean())
    length = reach + options.toe_room - level
    high = float(upper[0, 2])
    drop = np.clip((height + options.shoe + 6.0 - WALL) / (high - WALL), 0.35, 1.0)
    count = max(5, int(np.ceil(1.25 * length / SPACING)))
    rows = []
    for turn in np.linspace(0.0, 0.5 * np.pi, count + 1)[1:]:
        ahead, wide = np.sin(turn) ** (2.0 / NOSE), max(np.cos(turn), 0.0) ** (2.0 / NOSE)
        moved = upper.copy()
        moved[:, 0] = (1.0 - ahead) * upper[:, 0] + ahead * (reach + options.toe_room)
        moved[:, 1] *= wide if turn < 0.5 * np.pi - 1e-9 else 0.0
        moved[:, 2] = WALL + (upper[:, 2] - WALL) * (1.0 - (1.0 - drop) * ahead)
        # Evenly again: a flat top closes up where the middle comes near.
        rows.append(_down(resample(moved, len(moved)), float(last[-1, 2]), walls))
    return rows
