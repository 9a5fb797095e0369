"""A painted picture of a character: flat tones, ink lines, lacquer where it shines."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from benchmarks.study.bodies import BONES
from benchmarks.study.observe import Scene
from benchmarks.study.outer import Solid
from benchmarks.study.view import PictureView
from numpy.typing import NDArray
from PIL import Image

from layfigure.drawing.depth_buffer import rasterise

Points = NDArray[np.float64]
Mask = NDArray[np.bool_]
Colour = tuple[int, int, int]

SUPERSAMPLE = 2


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Skin:
    """What the painter knows of every pixel on the character; all (p,) unless said.

    bone : name of the bone, as index into BONES. place : (p, 3) [mm]. hand : share of the way from wrist
    to knuckles. charted : region to station and around, nan far from the region.
    """

    bone: NDArray[np.int64]
    place: Points
    hand: Points
    charted: Mapping[str, tuple[Points, Points]]

    def on(self, *bones: str) -> Mask:
        """Pixels of these bones."""
        result: Mask = np.isin(self.bone, [BONES.index(bone) for bone in bones])
        return result


@dataclass(frozen=True, slots=True, kw_only=True)
class Area:
    """A colour and where it lies; later areas paint over earlier ones. shine : lacquer, 0 to 1.

    inked : its border is drawn as a line.
    """

    name: str
    colour: Colour
    where: Callable[[Skin], Mask]
    shine: float = 0.0
    inked: bool = True


def inside_lens(skin: Skin, curve: tuple[Points, Points], region: str) -> Mask:
    """Pixels inside a closed curve of (station, around) on one region."""
    from shapely import Polygon, contains_xy, prepare

    middle = float(np.mean(curve[1]))
    polygon = Polygon(np.stack(curve, axis=1))
    prepare(polygon)
    station, around = skin.charted[region]
    near = np.mod(around - middle + 0.5, 1.0) - 0.5 + middle
    result: Mask = np.isfinite(station) & contains_xy(polygon, np.nan_to_num(station, nan=-9.0), near)
    return result


def between(skin: Skin, region: str, top: tuple[Points, Points], bottom: tuple[Points, Points]) -> Mask:
    """Pixels of a region between two lines right round it."""
    own, round_ = skin.charted[region]

    def line(curve: tuple[Points, Points]) -> Points:
        station, around = curve
        order = np.argsort(np.mod(around, 1.0))
        at = np.mod(around, 1.0)[order]
        value: Points = np.interp(np.mod(round_, 1.0), at, station[order], period=1.0)
        return value

    with np.errstate(invalid="ignore"):
        result: Mask = (own >= line(top)) & (own <= line(bottom))
    return result


def paint(
    scene: Scene,
    picture: PictureView,
    areas: Sequence[Area],
    *,
    paper: tuple[Colour, Colour] = ((247, 240, 226), (232, 216, 190)),
    ink: Colour = (46, 30, 28),
    details: Mapping[str, Callable[[Skin, Points], Points]] | None = None,
    over: Sequence[Solid] = (),
    supersample: int = SUPERSAMPLE,
) -> Image.Image:
    """The picture. details : functions that touch up the colours (p, 3) after the areas. over : solids that
    hide what lies behind them.

    supersample : how many times finer it is painted before it is made smooth.
    """
    big = _enlarged(picture, supersample)
    width, height = big.size
    character = scene.character
    pixels, depth = big.project(character.vertices)
    buffer = rasterise(pixels, depth, character.faces, width, height)
    rows, columns = np.nonzero(buffer.face >= 0)
    face = buffer.face[rows, columns]
    weights = buffer.weights[rows, columns]
    corners = character.faces[face]

    def blend(values: Points, own: Mask) -> Points:
        result: Points = np.einsum("pc,pc...->p...", weights[own], values[corners[own]])
        return result

    bones = character.region[corners]
    bone = bones[np.arange(len(bones)), weights.argmax(axis=1)]
    everywhere = np.ones(len(face), dtype=bool)
    normal = blend(_vertex_normals(character.vertices, character.faces), everywhere)
    normal /= np.linalg.norm(normal, axis=1, keepdims=True) + 1e-12
    skin = _skin(scene, bone, blend)

    colour = np.zeros((len(face), 3))
    shine = np.zeros(len(face))
    border = np.full(len(face), -1)
    for index, area in enumerate(areas):
        mask = area.where(skin)
        colour[mask], shine[mask] = area.colour, area.shine
        if area.inked:
            border[mask] = index
    for touch in (details or {}).values():
        colour = touch(skin, colour)

    seen = _with_solids(over, big, (rows, columns), buffer.depth, colour, normal, shine, border, len(areas))
    (rows, columns), depths, colour, normal, shine, border = seen

    camera = picture.camera
    light = -0.75 * camera.forward - 0.45 * camera.right - 0.75 * camera.down
    light /= np.linalg.norm(light)
    lit = normal @ light
    tone = 0.62 + 0.2 * _step(lit, 0.12) + 0.14 * _step(lit, 0.5) + 0.05 * np.clip(lit, 0, 1)
    shaded = colour * tone[:, None] + (1 - tone[:, None]) * np.array([40, 24, 60]) * 0.5
    half = light - camera.forward
    half /= np.linalg.norm(half)
    gleam = _step(np.clip(normal @ half, 0, 1), 0.955, 0.012) * shine
    shaded += gleam[:, None] * (np.array([255, 250, 235]) - shaded) * 0.75
    rim = np.clip(1 + normal @ camera.forward, 0, 1) ** 3
    shaded += (rim * 0.25 * (lit > 0))[:, None] * (np.array([255, 244, 220]) - shaded)

    top, bottom = (np.array(c, dtype=np.float64) for c in paper)
    fade = np.linspace(0, 1, height)[:, None, None]
    image = np.broadcast_to((1 - fade) * top + fade * bottom, (height, width, 3)).copy()
    _floor_shadow(image, pixels, depth)
    image[rows, columns] = shaded
    lines = _ink_lines(depths, rows, columns, border, (height, width), character.stature)
    image = np.where(lines[..., None], np.array(ink, dtype=np.float64), image)
    full = Image.fromarray(np.clip(image, 0, 255).astype(np.uint8))
    return full.resize(picture.size, Image.Resampling.LANCZOS)


_Cells = tuple[NDArray[np.int64], NDArray[np.int64]]


def _with_solids(
    over: Sequence[Solid],
    picture: PictureView,
    cells: _Cells,
    depth: Points,
    colour: Points,
    normal: Points,
    shine: Points,
    border: NDArray[np.int64],
    first: int,
) -> tuple[_Cells, Points, Points, Points, Points, NDArray[np.int64]]:
    """Pixels of the character and of the solids before her: cells, depth, colour, normal, shine, border."""
    width, height = picture.size
    near = depth.copy()
    sheets = [np.zeros((height, width, 3)), np.zeros((height, width, 3))]
    glossy, label = np.zeros((height, width)), np.full((height, width), -1)
    for sheet, values in zip(sheets, (colour, normal), strict=True):
        sheet[cells] = values
    glossy[cells], label[cells] = shine, border
    for index, solid in enumerate(over):
        pixels, away = picture.project(solid.mesh.vertices)
        seen = rasterise(pixels, away, solid.mesh.faces, width, height, cull=False)
        front = (seen.face >= 0) & (seen.depth < near)
        corners = solid.mesh.faces[seen.face[front]]
        facing = _vertex_normals(solid.mesh.vertices, solid.mesh.faces)
        turned = np.einsum("pc,pcx->px", seen.weights[front], facing[corners])
        turned *= np.where(turned @ picture.camera.forward > 0.0, -1.0, 1.0)[:, None]
        near[front] = seen.depth[front]
        sheets[0][front], sheets[1][front] = solid.colour, turned
        glossy[front], label[front] = solid.shine, first + index
    rows, columns = np.nonzero(np.isfinite(near))
    return (
        (rows, columns),
        near,
        sheets[0][rows, columns],
        sheets[1][rows, columns],
        glossy[rows, columns],
        label[rows, columns],
    )


def _enlarged(picture: PictureView, factor: int) -> PictureView:
    camera = replace(
        picture.camera, focal=picture.camera.focal * factor, centre=picture.camera.centre * factor
    )
    liberties = picture.liberties
    if liberties is not None:
        liberties = replace(
            liberties,
            knots=liberties.knots * factor,
            rise=liberties.rise * factor,
            shift=liberties.shift * factor,
            centre=liberties.centre * factor,
        )
    width, height = picture.size
    return replace(picture, camera=camera, liberties=liberties, size=(width * factor, height * factor))


_BESIDE = {"torso": ("thigh_left", "thigh_right")}
"""Bones whose skin a region's chart also covers: seats and hips move with the thighs."""


def _skin(scene: Scene, bone: NDArray[np.int64], blend: Callable[[Points, Mask], Points]) -> Skin:
    character = scene.character
    vertices = character.vertices
    charted: dict[str, tuple[Points, Points]] = {}
    for region, truth in scene.charts.items():
        own = np.isin(bone, [BONES.index(name) for name in (region, *_BESIDE.get(region, ()))])
        station, around = np.full(len(bone), np.nan), np.full(len(bone), np.nan)
        if own.any():
            s, a, _ = truth.chart.locate(vertices)
            # Around jumps at the zero line; its cosine and sine do not.
            turn = blend(np.stack([s, np.cos(2 * np.pi * a), np.sin(2 * np.pi * a)], axis=1), own)
            station[own] = turn[:, 0]
            around[own] = np.mod(np.arctan2(turn[:, 2], turn[:, 1]) / (2 * np.pi), 1.0)
        charted[region] = (station, around)
    place = blend(vertices, np.ones(len(bone), dtype=bool))
    hand = np.zeros(len(bone))
    for side in ("left", "right"):
        wrist, knuckles = (character.joints[f"{joint}_{side}"] for joint in ("wrist", "knuckles"))
        line = knuckles - wrist
        own = bone == BONES.index(f"hand_{side}")
        hand[own] = ((place - wrist) @ line / (line @ line))[own]
    return Skin(bone=bone, place=place, hand=hand, charted=charted)


def _step(value: Points, at: float, soft: float = 0.03) -> Points:
    result: Points = np.clip((value - at) / soft * 0.5 + 0.5, 0, 1)
    return result


def _vertex_normals(vertices: Points, faces: NDArray[np.int64]) -> Points:
    a, b, c = (vertices[faces[:, k]] for k in range(3))
    face_normal = np.cross(b - a, c - a)
    normal = np.zeros_like(vertices)
    for k in range(3):
        np.add.at(normal, faces[:, k], face_normal)
    unit: Points = normal / (np.linalg.norm(normal, axis=1, keepdims=True) + 1e-12)
    return unit


def _floor_shadow(image: Points, pixels: Points, depth: Points) -> None:
    """A soft ellipse under the feet, so that the figure stands."""
    height, width = image.shape[:2]
    low = pixels[:, 1].max()
    feet = pixels[pixels[:, 1] > low - 0.04 * height]
    middle = 0.5 * (feet[:, 0].min() + feet[:, 0].max())
    half = min(0.75 * np.ptp(feet[:, 0]), 0.5 * np.ptp(feet[:, 0]) + 0.035 * height)
    y, x = np.mgrid[0:height, 0:width]
    away = ((x - middle) / half) ** 2 + ((y - low + 0.008 * height) / (0.022 * height)) ** 2
    dark = 0.35 * np.clip(1.2 - away, 0, 1)[..., None]
    image *= 1 - dark * (depth.min() > 0)


def _ink_lines(
    depth: Points, rows: Points, columns: Points, border: Points, shape: tuple[int, int], stature: float
) -> Mask:
    from scipy.ndimage import binary_dilation

    label = np.full(shape, -2)
    label[rows, columns] = border
    far = np.where(np.isfinite(depth), depth, 1e6)
    line = np.zeros(shape, dtype=bool)
    for axis in (0, 1):
        here = [slice(None), slice(None)]
        there = [slice(None), slice(None)]
        here[axis], there[axis] = slice(None, -1), slice(1, None)
        changed = label[tuple(here)] != label[tuple(there)]
        jump = np.abs(far[tuple(here)] - far[tuple(there)]) > 0.018 * stature
        line[tuple(here)] |= changed | jump
    ring: Mask = binary_dilation(line, iterations=1)
    return ring
