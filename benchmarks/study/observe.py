"""What somebody would mark on a picture of a character: only what is seen, with a shaky hand.

Everything is read off the rendered picture: outlines are the edge pixels of a region against what lies
behind it, edges of the costume are marked where the depth buffer shows them.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
from benchmarks.study.bodies import BONES
from benchmarks.study.character import Character
from benchmarks.study.costume import TrueEdge
from benchmarks.study.sections import TrueChart
from benchmarks.study.view import PictureView
from numpy.typing import NDArray

from layfigure.design.marks import EdgeMarks, OutlineMarks, PictureMarks
from layfigure.drawing.depth_buffer import Buffer, rasterise

Points = NDArray[np.float64]
Indices = NDArray[np.int64]

TORSO_LEVELS = ("bust", "under_bust", "waist", "hip")
LIMB_ENDS = {
    "elbow": ("forearm", 0.0),
    "wrist": ("forearm", 1.0),
    "knee": ("shank", 0.0),
    "ankle": ("shank", 1.0),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Marking:
    """How much is marked, and how well.

    landmarks : names marked, by view; None marks all that are seen. outlines : spacing along a region as a
    share of stature, or None for no outlines. mark_noise : one sd [px]. cloth : swelling of outlines by
    clothes, mean and sd as a share of stature. skirt : the costume's skirt hides hips and thighs.
    hair : long hair hides neck, shoulders and upper back.
    """

    landmarks: Mapping[str, frozenset[str]] | None = None
    outlines: float | None = 0.028
    mark_noise: float = 1.0
    cloth: tuple[float, float] = (0.0012, 0.0018)
    skirt: bool = False
    hair: bool = False
    edge_spacing: float = 0.035


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Scene:
    """A character seen: its truth, and one depth buffer a picture."""

    character: Character
    charts: Mapping[str, TrueChart]
    costume: Sequence[TrueEdge]
    pictures: Sequence[PictureView]
    _buffers: dict[str, Buffer] = field(default_factory=dict)

    def buffer(self, picture: PictureView) -> Buffer:
        """The picture's depth buffer, rendered once."""
        key = f"{picture.name} {picture.drawing}"
        if key not in self._buffers:
            pixels, depth = picture.project(self.character.vertices)
            self._buffers[key] = rasterise(pixels, depth, self.character.faces, *picture.size)
        return self._buffers[key]

    def forget_buffers(self) -> None:
        """Give the memory of rendered pictures back."""
        self._buffers.clear()


def seen(scene: Scene, picture: PictureView, places: Points, slack: float = 0.008) -> NDArray[np.bool_]:
    """Whether places on the skin show in a picture, (m,)."""
    buffer = scene.buffer(picture)
    pixels, depth = picture.project(places)
    column, row = np.floor(pixels).astype(np.int64).T
    width, height = picture.size
    inside = (column >= 0) & (column < width) & (row >= 0) & (row < height)
    nearest = np.full(len(places), np.inf)
    nearest[inside] = buffer.depth[row[inside], column[inside]]
    # The background beside an outline point is not in front of it.
    result: NDArray[np.bool_] = inside & (depth <= nearest + slack * scene.character.stature)
    return result


def mark_picture(
    scene: Scene, picture: PictureView, marking: Marking, rng: np.random.Generator
) -> tuple[PictureMarks, tuple[Indices, ...]]:
    """All marks of one picture, and for each of its edges which point of the true edge every mark is."""
    regions = region_image(scene, picture)
    landmarks = {
        name: place + rng.normal(0, marking.mark_noise, 2)
        for name, place in true_landmarks(scene, picture, regions).items()
        if _is_marked(name, picture.view, marking)
    }
    outlines = [] if marking.outlines is None else list(_outlines(scene, picture, marking, regions, rng))
    edges = [pair for edge in scene.costume for pair in _edge_marks(scene, picture, edge, marking, rng)]
    width, height = picture.size
    limit = np.array([width, height], dtype=np.float64)
    marks = PictureMarks(
        name=picture.name,
        view=picture.view,  # type: ignore[arg-type]
        size=picture.size,
        landmarks={name: np.clip(place, 0, limit) for name, place in landmarks.items()},
        outlines=tuple(outlines),
        edges=tuple(marked for marked, _ in edges),
        yaw=picture.yaw if picture.view == "free" else None,
    )
    return marks, tuple(which for _, which in edges)


def region_image(scene: Scene, picture: PictureView) -> Indices:
    """Bone index of every pixel, -1 in the background, (h, w)."""
    character = scene.character
    buffer = scene.buffer(picture)
    corners = character.region[character.faces]
    of_face = np.where(corners[:, 1] == corners[:, 2], corners[:, 1], corners[:, 0])
    result: Indices = np.where(buffer.face >= 0, of_face[buffer.face], -1)
    return result


def _is_marked(name: str, view: str, marking: Marking) -> bool:
    if marking.skirt and name.startswith(("hip_", "crotch")):
        return False
    if marking.hair and (name.startswith("nape") or (view == "back" and name.startswith("shoulder_point"))):
        return False
    return marking.landmarks is None or name in marking.landmarks.get(view, frozenset())


def true_landmarks(scene: Scene, picture: PictureView, regions: Indices) -> dict[str, Points]:
    """Every landmark that shows in a picture, (2,) pixels each, without noise."""
    character, charts = scene.character, scene.charts
    found: dict[str, Points] = {}
    across = np.array([np.cos(np.radians(picture.yaw)), np.sin(np.radians(picture.yaw))])

    def shown(pixel: Points, bones: Iterable[str]) -> bool:
        column, row = int(pixel[0]), int(pixel[1])
        if not (0 <= row < regions.shape[0] and 0 <= column < regions.shape[1]):
            return False
        window = regions[max(row - 3, 0) : row + 4, max(column - 3, 0) : column + 4]
        return bool(np.isin(window, [BONES.index(bone) for bone in bones]).any())

    def drawn(place: Points) -> Points:
        return picture.project(place[None])[0][0]

    head = character.vertices[np.isin(character.region, [BONES.index("head")])]
    found["crown"] = drawn(head[head[:, 2].argmax()])
    chin = drawn(_front_of(character, character.levels["chin"], ("head", "neck")))
    if picture.view != "back" and shown(chin, ("head", "neck")):
        found["chin"] = chin
    nape = drawn(_front_of(character, character.levels["nape"], ("neck", "torso"), back=True))
    if picture.view in ("back", "left", "right") and shown(nape, ("neck", "torso")):
        found["nape"] = nape
    if picture.view in ("front", "back"):
        middle = np.array([0.0, charts["torso"].chart.section(5.0)[:, 1].mean(), character.levels["crotch"]])
        found["crotch"] = drawn(middle)
    for level in TORSO_LEVELS:
        station = float(charts["torso"].chart.level_names.index(level))
        pixels, _ = picture.project(charts["torso"].chart.section(station))
        if picture.view in ("front", "back", "free"):
            sides = ("left", "right") if across[0] > 0 else ("right", "left")
            for side, index in zip(sides, (pixels[:, 0].argmax(), pixels[:, 0].argmin()), strict=True):
                if shown(pixels[index], ("torso", "thigh_left", "thigh_right")):
                    found[f"{level}_{side}"] = pixels[index]
        for name, around in (("front", 0.0), ("back", 0.5)):
            if picture.view in ("left", "right"):
                ahead = across[1] if name == "back" else -across[1]
                index = pixels[:, 0].argmax() if ahead > 0 else pixels[:, 0].argmin()
                if shown(pixels[index], ("torso",)):
                    found[f"{level}_{name}"] = pixels[index]
            elif picture.view == name or (picture.view == "free" and name == "front"):
                skin = charts["torso"].skin_points(np.array([station]), np.array([around]))
                if seen(scene, picture, skin)[0]:
                    found[f"{level}_{name}"] = drawn(skin[0])
    for side in ("left", "right"):
        point = drawn(character.joints[f"shoulder_point_{side}"])
        if shown(point, (f"upper_arm_{side}", "torso")) and _near_side(picture, side):
            found[f"shoulder_point_{side}"] = point
        for name in ("knuckles", "fingertip", "toe_tip"):
            joint = character.joints[f"{name}_{side}"]
            bone = "foot" if name == "toe_tip" else "hand"
            if shown(drawn(joint), (f"{bone}_{side}",)):
                found[f"{name}_{side}"] = drawn(joint)
        for name, (limb, station) in LIMB_ENDS.items():
            chart = charts[f"{limb}_{side}"].chart
            section = chart.section(station)
            pixels, _ = picture.project(section)
            outward = 1.0 if (side == "left") == (across[0] >= 0) else -1.0
            own = (f"{limb}_{side}", f"{_UPPER[limb]}_{side}", f"{_LOWER[limb]}_{side}")
            # Square to the limb as drawn, or a leaning limb's ends are read at two levels.
            limb_line = picture.project(chart.section(chart.stations[len(chart.stations) // 2]))[0].mean(0)
            limb_line = limb_line - pixels.mean(axis=0)
            sideways = np.array([-limb_line[1], limb_line[0]]) / np.linalg.norm(limb_line)
            sideways = sideways * np.sign(sideways[0]) * outward
            out, inner = pixels[(pixels @ sideways).argmax()], pixels[(pixels @ sideways).argmin()]
            middle = 0.5 * (out + inner)
            if not shown(middle, own):
                continue
            found[f"{name}_{side}"] = (
                drawn(section[0]) if name == "knee" and picture.view == "front" else middle
            )
            if picture.view in ("front", "back"):
                if shown(out, own):
                    found[f"{name}_{side}_outer"] = out
                if shown(inner, own):
                    found[f"{name}_{side}_inner"] = inner
    return found


_UPPER = {"forearm": "upper_arm", "shank": "thigh"}
_LOWER = {"forearm": "hand", "shank": "foot"}


def _near_side(picture: PictureView, side: str) -> bool:
    return not ((picture.view == "left" and side == "right") or (picture.view == "right" and side == "left"))


def _front_of(character: Character, height: float, bones: tuple[str, ...], *, back: bool = False) -> Points:
    """Foremost or rearmost skin near the middle at a height."""
    own = np.isin(character.region, [BONES.index(bone) for bone in bones])
    v = character.vertices
    near = own & (np.abs(v[:, 2] - height) < 25) & (np.abs(v[:, 0] - np.median(v[own, 0])) < 30)
    candidates = v[near] if near.any() else v[own]
    place: Points = candidates[(candidates[:, 1] if back else -candidates[:, 1]).argmax()].copy()
    place[2] = height
    return place


def _outlines(
    scene: Scene, picture: PictureView, marking: Marking, regions: Indices, rng: np.random.Generator
) -> Iterable[OutlineMarks]:
    """Edge pixels of every charted region, thinned, swollen by clothes."""
    character, buffer = scene.character, scene.buffer(picture)
    height, width = regions.shape
    spacing = marking.outlines or 1.0
    scale = 0.9 * height / character.stature
    step = spacing * character.stature * scale
    for region in scene.charts:
        own = regions == BONES.index(region)
        if own.sum() < 100:
            continue
        rows, columns = np.nonzero(own)
        depth = buffer.depth[rows, columns]
        for dy, dx in ((0, 1), (0, -1), (1, 0), (-1, 0)):
            r, c = np.clip(rows + dy, 0, height - 1), np.clip(columns + dx, 0, width - 1)
            behind = (regions[r, c] == -1) | (
                (regions[r, c] != BONES.index(region))
                & (buffer.depth[r, c] > depth + 0.02 * character.stature)
            )
            if not behind.any():
                continue
            edge = np.stack([columns[behind] + 0.5 + 0.5 * dx, rows[behind] + 0.5 + 0.5 * dy], axis=1)
            face = buffer.face[rows[behind], columns[behind]]
            corners = character.vertices[character.faces[face]]
            places = (buffer.weights[rows[behind], columns[behind]][:, :, None] * corners).sum(axis=1)
            yield from _thinned(
                scene, picture, marking, region, edge, places, np.array([dx, dy], float), step, scale, rng
            )


def _thinned(
    scene: Scene,
    picture: PictureView,
    marking: Marking,
    region: str,
    edge: Points,
    places: Points,
    outward: Points,
    step: float,
    scale: float,
    rng: np.random.Generator,
) -> Iterable[OutlineMarks]:
    chart = scene.charts[region].chart
    # Limbs and trunk run down the picture; their outlines are seen to the side, not along.
    low, high = (
        picture.project(chart.section(chart.stations[0]).mean(0)[None])[0][0],
        picture.project(chart.section(chart.stations[-1]).mean(0)[None])[0][0],
    )
    line = (high - low) / max(float(np.linalg.norm(high - low)), 1e-9)
    if abs(float(line @ outward)) > 0.8:
        return
    order = np.argsort(edge @ line)
    chosen: list[int] = []
    last = -np.inf
    for index in order.tolist():
        along = float(edge[index] @ line)
        if along - last >= step * rng.uniform(0.9, 1.1):
            chosen.append(index)
            last = along
    if not chosen:
        return
    station, _, distance = chart.locate(places[chosen])
    keep = distance < 0.03 * scene.character.stature
    index = np.array(chosen)[keep]
    station = station[keep]
    if len(index) == 0:
        return
    stature = scene.character.stature * scale
    swell = (
        marking.cloth[0]
        + marking.cloth[1] * rng.normal(size=len(index)) * 0.6
        + rng.normal() * 0.6 * marking.cloth[1]
    )
    marks = (
        edge[index]
        + outward * (swell * stature)[:, None]
        + rng.normal(0, marking.mark_noise, (len(index), 2))
    )
    covered = np.zeros(len(index), dtype=bool)
    if marking.skirt:
        covered = (station > 3.6) if region == "torso" else (station < 0.45) & region.startswith("thigh")
        marks = marks + outward * (covered * rng.uniform(0.012, 0.045) * stature)[:, None]
    gone = np.zeros(len(index), dtype=bool)
    if marking.hair and region == "torso":
        gone = station < 1.2
    limit = np.array(picture.size, dtype=np.float64)
    inside = (marks >= 0).all(axis=1) & (marks <= limit).all(axis=1) & ~gone
    for hidden in (False, True):
        pick = inside & (covered == hidden)
        if pick.any():
            yield OutlineMarks(region=region, points=marks[pick], hidden=hidden)


def _edge_marks(
    scene: Scene, picture: PictureView, edge: TrueEdge, marking: Marking, rng: np.random.Generator
) -> Iterable[tuple[EdgeMarks, Indices]]:
    """Marks on every stretch of an edge that shows, corners included."""
    truth = scene.charts[edge.region]
    places = truth.skin_points(edge.station, edge.around)
    facing = _facing(truth, edge, picture)
    inside = (edge.station >= truth.chart.stations[0]) & (edge.station <= truth.chart.stations[-1])
    shown = seen(scene, picture, places) & (facing > 0.12) & inside
    if marking.skirt:
        if edge.region == "torso":
            shown &= edge.station < 3.9
        elif edge.region.startswith("thigh"):
            shown &= edge.station > 0.45
    if marking.hair and edge.region == "torso":
        shown &= edge.station > 1.0
    if not shown.any():
        return
    whole = bool(shown.all()) and edge.closed
    start = 0 if whole else int(np.flatnonzero(shown & ~np.roll(shown, 1))[0]) if not shown.all() else 0
    run = (np.arange(len(places)) + start) % len(places)
    splits = np.flatnonzero(np.diff(shown[run].astype(int)) != 0) + 1
    for stretch in np.split(run, splits):
        if not shown[stretch[0]] or len(stretch) < 4:
            continue
        pixels, _ = picture.project(places[stretch])
        arc = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(places[stretch], axis=0), axis=1))])
        if arc[-1] < 0.006 * scene.character.stature:
            continue
        count = max(3, int(np.ceil(arc[-1] / (marking.edge_spacing * scene.character.stature))) + 1)
        count = max(count, 8) if edge.kind == "window" else count
        wanted = np.linspace(0, arc[-1], count, endpoint=not whole)
        picks = set(np.abs(arc[:, None] - wanted[None]).argmin(axis=0).tolist())
        corners = [int(k) for k in np.flatnonzero(np.isin(stretch, edge.corners))]
        # A plain mark right beside a corner would be the corner itself, marked twice.
        picks = {
            k for k in picks if all(abs(arc[k] - arc[c]) > 0.006 * scene.character.stature for c in corners)
        }
        order = sorted(picks | set(corners))
        marks = pixels[order] + rng.normal(0, marking.mark_noise, (len(order), 2))
        limit = np.array(picture.size, dtype=np.float64)
        if len(order) < 2 or (marks < 0).any() or (marks > limit).any():
            continue
        marked = EdgeMarks(
            slug=edge.slug,
            points=marks,
            regions=(edge.region,),
            closed=whole,
            corners=frozenset(order.index(c) for c in corners),
        )
        yield marked, stretch[order]


def _facing(truth: TrueChart, edge: TrueEdge, picture: PictureView) -> Points:
    """Cosine between the tape surface's normal and the line to the camera, (m,)."""
    chart = truth.chart
    d_around, d_station = 1.0 / chart.sections.shape[1], 0.03
    u = chart.points(edge.station, edge.around + d_around) - chart.points(
        edge.station, edge.around - d_around
    )
    v = chart.points(edge.station + d_station, edge.around) - chart.points(
        edge.station - d_station, edge.around
    )
    normal = np.cross(u, v)
    centre = chart.sections.mean(axis=1)
    middle = np.stack([np.interp(edge.station, chart.stations, centre[:, k]) for k in range(3)], axis=1)
    places = chart.points(edge.station, edge.around)
    normal *= np.sign(((places - middle) * normal).sum(axis=1))[:, None]
    toward = picture.camera.place - places
    cosine: Points = (normal * toward).sum(axis=1) / (
        np.linalg.norm(normal, axis=1) * np.linalg.norm(toward, axis=1) + 1e-12
    )
    return cosine
