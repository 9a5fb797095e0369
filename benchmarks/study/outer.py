"""What a character wears over her suit, as simple solids in space, for pictures of the whole costume."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from benchmarks.study.character import Character
from numpy.typing import ArrayLike, NDArray

from layfigure.body.chart import RegionChart
from layfigure.geometry.mesh import TriangleMesh
from layfigure.geometry.transport import transport_frames
from layfigure.geometry.tube import rows_mesh, tube_rings

Points = NDArray[np.float64]
Colour = tuple[int, int, int]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Solid:
    """A painted surface, seen from both sides. shine : lacquer, 0 to 1."""

    name: str
    mesh: TriangleMesh
    colour: Colour
    shine: float = 0.0


def pleated_skirt(trunk: RegionChart, hem: float, *, pleats: int, flare: float, colour: Colour) -> Solid:
    """A skirt with knife pleats from the waist to a hem at a height [mm], open in front."""
    waist, hip = trunk.section(3.0), trunk.section(4.0)
    turn = np.linspace(0.015, 0.985, pleats * 6 + 1)
    tooth = np.mod(turn * pleats, 1.0)
    rows = []
    for share in np.linspace(0.0, 1.0, 14):
        height = (1.0 - share) * waist[0, 2] + share * hem
        # To the hips it follows the body, below it falls straight and opens.
        to_hip = min(1.0, (waist[0, 2] - height) / (waist[0, 2] - hip[0, 2]))
        ring = (1.0 - to_hip) * _round(waist, turn) + to_hip * _round(hip, turn)
        middle = ring[:, :2].mean(axis=0)
        out = ring[:, :2] - middle
        reach = np.linalg.norm(out, axis=1, keepdims=True)
        grown = 8.0 + flare * max(0.0, share - 0.25) + (6.0 + 20.0 * share) * tooth[:, None]
        rows.append(np.column_stack([middle + out * (1.0 + grown / reach), np.full(len(turn), height)]))
    return Solid(name="coat skirt", mesh=rows_mesh(np.stack(rows), closed=False), colour=colour)


def cape(character: Character, hem: float, *, opening: float, colour: Colour) -> Solid:
    """A cape from the neck over the shoulders to a hem at a height [mm].

    opening : half the angle left open in front [degrees].
    """
    neck = character.joints["neck"]
    nape = character.levels["nape"]
    angle = np.radians(np.linspace(opening, 360.0 - opening, 120))
    way = np.column_stack([np.sin(angle), -np.cos(angle)])
    above = character.vertices[character.vertices[:, 2] > character.levels["under_bust"]]
    flat = above[:, :2] - neck[:2]
    bearing = np.degrees(np.arctan2(flat[:, 0], -flat[:, 1])) % 360.0
    low = above[:, 2] < nape
    shoulder = np.array(
        [
            np.linalg.norm(flat[low & (np.abs(_turned(bearing - a)) < 8.0)], axis=1).max(initial=150.0)
            for a in np.degrees(angle)
        ]
    )
    shoulder = _eased(shoulder, 9)
    fold = 1.0 + 0.05 * np.sin(angle * 11.0)
    rows = []
    for reach, drop in ((0.0, 0.0), (0.35, 14.0), (0.7, 40.0), (0.95, 75.0), (1.06, 130.0), (1.1, 220.0)):
        radius = 78.0 + reach * (shoulder + 14.0 - 78.0)
        rows.append(
            np.column_stack([neck[:2] + radius[:, None] * way, np.full(len(angle), nape + 6.0 - drop)])
        )
    for share in np.linspace(0.15, 1.0, 8):
        radius = (1.1 + 0.12 * share) * (shoulder + 14.0) * (1.0 + share * (fold - 1.0))
        height = (1.0 - share) * (nape + 6.0 - 220.0) + share * hem
        rows.append(np.column_stack([neck[:2] + radius[:, None] * way, np.full(len(angle), height)]))
    return Solid(name="cape", mesh=rows_mesh(np.stack(rows), closed=False), colour=colour)


def stand_collar(character: Character, *, opening: float, height: float, colour: Colour) -> Solid:
    """A collar that stands up from the neck of the cape."""
    neck, nape = character.joints["neck"], character.levels["nape"]
    angle = np.radians(np.linspace(opening, 360.0 - opening, 60))
    way = np.column_stack([np.sin(angle), -np.cos(angle)])
    rise = height * (0.55 + 0.45 * np.sin(0.5 * angle) ** 2)
    rows = [
        np.column_stack([neck[:2] + radius * way, nape + 4.0 + share * rise])
        for radius, share in ((79.0, 0.0), (84.0, 0.5), (92.0, 1.0))
    ]
    return Solid(name="collar", mesh=rows_mesh(np.stack(rows), closed=False), colour=colour)


def helm(character: Character, *, brim: float, colour: Colour, trim: Colour) -> list[Solid]:
    """A dome over the head from above the brow, with a brim and a band of trim."""
    rim = character.levels["brow"] + 14.0
    crown = character.levels["crown"] + 22.0
    top = character.vertices[character.vertices[:, 2] > character.levels["brow"]]
    middle = 0.5 * (top.min(axis=0) + top.max(axis=0))
    half = 0.5 * np.ptp(top[:, :2], axis=0) + 18.0
    angle = np.linspace(0.0, 2.0 * np.pi, 97)

    def ring(scale: float, height: float, *, out: float = 0.0) -> Points:
        return np.column_stack(
            [
                middle[0] + (scale * half[0] + out) * np.sin(angle),
                middle[1] - (scale * half[1] + out) * np.cos(angle),
                np.full(len(angle), height),
            ]
        )

    lean = np.linspace(0.0, 0.5 * np.pi, 16)
    dome = [ring(float(np.cos(t)) + 1e-3, rim + (crown - rim) * float(np.sin(t))) for t in lean]
    edge = [ring(1.0, rim + 2.0), ring(1.0, rim - 4.0, out=0.5 * brim), ring(1.0, rim - 14.0, out=brim)]
    band = [ring(1.015, rim), ring(1.015, rim + 16.0)]
    return [
        Solid(name="helm", mesh=rows_mesh(np.stack(dome), closed=False), colour=colour, shine=1.0),
        Solid(name="brim", mesh=rows_mesh(np.stack(edge), closed=False), colour=colour, shine=1.0),
        Solid(name="helm band", mesh=rows_mesh(np.stack(band), closed=False), colour=trim, shine=1.0),
    ]


def plume_horn(character: Character, *, length: float, turns: float, colour: Colour) -> Solid:
    """A tapered spiral that leans back from the crown."""
    t = np.linspace(0.0, 1.0, 90)
    foot = np.array([0.0, character.joints["head"][1] + 20.0, character.levels["crown"] + 12.0])
    axis = np.array([0.0, np.sin(0.45), np.cos(0.45)])
    coil = 30.0 * t * (1.0 - 0.3 * t)
    turn = 2.0 * np.pi * turns * t
    side = np.array([1.0, 0.0, 0.0])
    line = (
        foot
        + length * t[:, None] * axis
        + coil[:, None] * (np.cos(turn)[:, None] * side + np.sin(turn)[:, None] * np.cross(axis, side))
    )
    radius = 34.0 * (1.0 - t) ** 0.8 + 3.0
    rings = tube_rings(line, transport_frames(line, side), radius, 24)
    return Solid(name="plume horn", mesh=rows_mesh(rings, closed=True), colour=colour, shine=0.8)


def knee_dome(character: Character, side: str, *, colour: Colour) -> Solid:
    """Half an egg over a kneecap."""
    knee = character.joints[f"knee_{side}"]
    near = character.vertices[np.linalg.norm(character.vertices - knee, axis=1) < 110.0]
    front = float(near[:, 1].min())
    wide = 0.5 * float(np.ptp(near[np.abs(near[:, 2] - knee[2]) < 20.0][:, 0]))
    rows = []
    for lean in np.linspace(0.0, 0.5 * np.pi, 12):
        angle = np.linspace(0.0, 2.0 * np.pi, 49)
        scale = np.cos(lean) + 1e-3
        rows.append(
            np.column_stack(
                [
                    knee[0] + 0.95 * wide * scale * np.cos(angle),
                    np.full(len(angle), front + 34.0 - 62.0 * np.sin(lean)),
                    knee[2] + 10.0 + 84.0 * scale * np.sin(angle),
                ]
            )
        )
    mesh = rows_mesh(np.stack(rows), closed=False)
    return Solid(name=f"knee dome {side}", mesh=mesh, colour=colour, shine=1.0)


def strap(trunk: RegionChart, path: ArrayLike, *, width: float, clear: float, colour: Colour) -> Solid:
    """A strap along chart places (m, 2) of the trunk, standing off by ``clear`` [mm]."""
    line, up = _along(trunk, path, clear)
    rows = [line + share * width * up for share in (-0.5, 0.5)]
    return Solid(name="strap", mesh=rows_mesh(np.stack(rows), closed=False), colour=colour)


def rings(
    trunk: RegionChart, path: ArrayLike, *, count: int, size: float, clear: float, colour: Colour
) -> Solid:
    """A chain of flat rings along chart places of the trunk."""
    line, up = _along(trunk, path, clear)
    at = np.linspace(4, len(line) - 5, count).round().astype(int)
    ahead = np.gradient(line, axis=0)
    ahead /= np.linalg.norm(ahead, axis=1, keepdims=True)
    angle = np.linspace(0.0, 2.0 * np.pi, 25)
    vertices, faces, start = [], [], 0
    for k in at:
        way = np.cos(angle)[:, None] * ahead[k] + np.sin(angle)[:, None] * up[k]
        ring = rows_mesh(np.stack([line[k] + r * size * way for r in (0.3, 0.5)]), closed=False)
        vertices.append(ring.vertices)
        faces.append(ring.faces + start)
        start += len(ring.vertices)
    mesh = TriangleMesh(np.concatenate(vertices), np.concatenate(faces))
    return Solid(name="rings", mesh=mesh, colour=colour, shine=1.0)


def roll(trunk: RegionChart, *, colour: Colour) -> Solid:
    """A rolled case hanging from the belt at the left hip."""
    foot = trunk.points([3.75], [0.27])[0]
    out = np.array([1.0, -0.1, 0.0])
    line = foot + 34.0 * out + np.linspace(-90.0, 90.0, 20)[:, None] * np.array([0.1, 1.0, 0.0])
    line[:, 2] -= 40.0
    radius = np.full(20, 30.0)
    radius[[0, -1]] = 1.0
    radius[[1, -2]] = 27.0
    made = tube_rings(line, transport_frames(line, [0.0, 0.0, 1.0]), radius, 28)
    return Solid(name="brush roll", mesh=rows_mesh(made, closed=True), colour=colour, shine=0.3)


def banner(character: Character, trunk: RegionChart, *, width: float, length: float, colour: Colour,
           emblem: Colour) -> list[Solid]:  # fmt: skip
    """A pointed banner on the back with a pinwheel of six swirls."""
    top = float(character.levels["waist"]) + 60.0
    behind = float(trunk.section(4.0)[:, 1].max()) + 50.0
    across = np.linspace(-0.5, 0.5, 25)
    rows = []
    for share in np.linspace(0.0, 1.0, 12):
        point = 70.0 * (1.0 - 2.0 * np.abs(across)) if share == 1.0 else np.zeros(25)
        rows.append(
            np.column_stack(
                [across * width, np.full(25, behind + 60.0 * share), top - share * (length - 70.0) - point]
            )
        )
    cloth = Solid(name="banner", mesh=rows_mesh(np.stack(rows), closed=False), colour=colour)
    middle = np.array([0.0, behind + 32.0, top - 0.4 * length])
    vertices, faces = [], []
    for turn in np.arange(6) * np.pi / 3.0:
        t = np.linspace(0.0, 1.0, 14)
        arms = []
        for bend, reach in ((0.0, 1.0), (0.55, 0.97)):
            angle = turn + bend * (1.0 - t) + 0.9 * t
            radius = 0.32 * width * t * reach
            arms.append(
                middle + np.column_stack([radius * np.sin(angle), np.zeros(14), radius * np.cos(angle)])
            )
        swirl = rows_mesh(np.stack(arms), closed=False)
        faces.append(swirl.faces + sum(len(v) for v in vertices))
        vertices.append(swirl.vertices)
    mesh = TriangleMesh(np.concatenate(vertices), np.concatenate(faces))
    return [cloth, Solid(name="pinwheel", mesh=mesh, colour=emblem)]


def _along(trunk: RegionChart, path: ArrayLike, clear: float) -> tuple[Points, Points]:
    """Places along a path of chart places, off the skin, and the direction across the path."""
    marks = np.asarray(path, dtype=np.float64)
    t = np.linspace(0.0, len(marks) - 1.0, 160)
    station, around = (np.interp(t, np.arange(len(marks)), marks[:, k]) for k in (0, 1))
    places = trunk.points(station, around)
    for _ in range(12):
        places[1:-1] = 0.25 * places[:-2] + 0.5 * places[1:-1] + 0.25 * places[2:]
    middle = np.array(
        [trunk.section(float(s)).mean(axis=0) for s in np.clip(station, *trunk.stations[[0, -1]])]
    )
    out = places - middle
    out[:, 2] = 0.0
    out /= np.linalg.norm(out, axis=1, keepdims=True)
    ahead = np.gradient(places, axis=0)
    up = np.cross(out, ahead)
    up /= np.linalg.norm(up, axis=1, keepdims=True)
    return places + clear * out, up


def _round(section: Points, turn: Points) -> Points:
    """A closed section at even shares of the turn."""
    ring = np.vstack([section, section[:1]])
    at = np.linspace(0.0, 1.0, len(ring))
    return np.column_stack([np.interp(turn, at, ring[:, k]) for k in range(3)])


def _turned(angle: Points) -> Points:
    result: Points = np.mod(angle + 180.0, 360.0) - 180.0
    return result


def _eased(values: Points, reach: int) -> Points:
    padded = np.concatenate([np.full(reach, values[0]), values, np.full(reach, values[-1])])
    result: Points = np.convolve(padded, np.ones(2 * reach + 1) / (2 * reach + 1), mode="valid")
    return np.maximum(result, values)
