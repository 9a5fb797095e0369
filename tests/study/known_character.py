"""A character whose body is known, and pictures of it by a true pinhole camera: truth for the study's tests.

The character is the template's *man*, stretched far from human averages; the study fits the *woman*. Its
camera and its marks share no code with the study.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache

import numpy as np
from numpy.typing import NDArray

from layfigure.body.chart import RegionChart
from layfigure.body.form import Form
from layfigure.body.shape import form_of
from layfigure.body.template import load_template
from layfigure.design.marks import EdgeMarks, OutlineMarks, PictureMarks
from layfigure.study.figure import FigureModel
from layfigure.study.template_figure import build_model

Points = NDArray[np.float64]

YAW = {"front": 0.0, "left": 90.0, "back": 180.0, "right": 270.0, "free": 38.0}
LEVELS = ("bust", "under_bust", "waist", "hip")
LIMBS = ("upper_arm", "forearm", "thigh", "shank")


@cache
def woman() -> Form:
    template = load_template()
    return form_of(template, template.presets["woman"])


@cache
def model() -> FigureModel:
    return build_model(woman().charts)


@cache
def character() -> dict[str, RegionChart]:
    """Charts of a character with long legs, wide shoulders and a small waist."""
    template = load_template()
    man = form_of(template, template.presets["man"])
    crotch, waist = man.level_heights["crotch"], man.level_heights["waist"]
    shoulder = float(man.landmarks["shoulder_point_left"][2])
    charts = {}
    for name, chart in man.charts.items():
        p = chart.sections.copy()
        x, y, z = p[..., 0], p[..., 1], p[..., 2]
        middle = np.median(chart.sections[..., 1]) if name != "torso" else np.median(y)
        if name in ("torso", "neck", "head"):
            wide = np.interp(z, [crotch, waist, shoulder], [1.0, 0.8, 1.2])
            deep = np.interp(z, [crotch, waist, shoulder], [1.05, 0.85, 1.1])
            p[..., 0], p[..., 1] = x * wide, middle + (y - middle) * deep
        elif "arm" in name or "hand" in name:
            p[..., 0] = x + np.sign(x) * 0.2 * abs(float(man.landmarks["shoulder_point_left"][0]))
        p[..., 2] = np.where(z < crotch, z * 1.2, z + 0.2 * crotch)
        charts[name] = replace(chart, sections=p)
    return charts


@dataclass(frozen=True)
class Pinhole:
    """A camera at a distance [mm], looking at the character's middle from a yaw [degrees]."""

    yaw: float
    distance: float
    focal: float
    size: tuple[int, int]

    def project(self, places: Points) -> Points:
        turn = np.radians(self.yaw)
        right = np.array([np.cos(turn), np.sin(turn), 0.0])
        away = np.array([-np.sin(turn), np.cos(turn), 0.0])
        target = np.array([0.0, 0.0, 0.95e3])
        local = places - (target - self.distance * away)
        depth = local @ away
        flat = np.stack([local @ right, -(local[..., 2])], axis=-1) / depth[..., None]
        return self.focal * flat + np.array(self.size) / 2.0


def camera(view: str, distance: float = 4500.0) -> Pinhole:
    return Pinhole(yaw=YAW[view], distance=distance, focal=0.45 * distance, size=(900, 1000))


def facing(chart: RegionChart, station: Points, around: Points, pinhole: Pinhole) -> Points:
    """Cosine between skin and line of sight, (m,)."""
    e = 1e-3
    u = chart.points(station, around + e) - chart.points(station, around - e)
    v = chart.points(station + 0.01, around) - chart.points(station - 0.01, around)
    normal = np.cross(u, v)
    place = chart.points(station, around)
    centre = np.stack([chart.section(float(t)).mean(axis=0) for t in np.atleast_1d(station)])
    normal *= np.sign(((place - centre) * normal).sum(axis=1))[:, None]
    turn = np.radians(pinhole.yaw)
    toward = np.array([np.sin(turn), -np.cos(turn), 0.0])
    return normal @ toward / np.linalg.norm(normal, axis=1)


def ring(region: str, station: float, slant: float) -> tuple[Points, Points]:
    around = np.arange(40) / 40.0
    return station + slant * np.cos(2 * np.pi * around), around


EDGES: dict[str, tuple[str, float, float]] = {
    "thigh_band": ("thigh_left", 0.55, 0.06),
    "shin_top": ("shank_right", 0.25, 0.04),
    "guard": ("forearm_left", 0.35, 0.05),
    "belt": ("torso", 3.5, 0.15),
    "under_band": ("torso", 2.2, 0.05),
}


def mark(
    view: str, rng: np.random.Generator, *, noise: float = 1.0, distance: float = 4500.0
) -> PictureMarks:
    """Full marking of one picture: landmarks, outlines, and every edge point that faces the camera."""
    charts, pinhole = character(), camera(view, distance)

    def seen(places: Points) -> Points:
        pixels = pinhole.project(np.atleast_2d(places))
        return pixels + rng.normal(0.0, noise, pixels.shape)

    sides = ("left", "right") if view in ("front", "back", "free") else (view,)
    landmarks = {"crown": seen(charts["head"].sections[0].mean(axis=0))[0]}
    torso = charts["torso"]
    if view == "front":
        landmarks["chin"] = seen(charts["head"].points(2.0, 0.0))[0]
    landmarks["crotch"] = seen(torso.section(5.0).mean(axis=0))[0]
    for level in LEVELS:
        section = torso.section(float(torso.level_names.index(level)))
        pixels = pinhole.project(section)
        low, high = pixels[pixels[:, 0].argmin()], pixels[pixels[:, 0].argmax()]
        names = {"front": ("right", "left"), "back": ("left", "right"), "left": ("front", "back"),
                 "right": ("back", "front"), "free": ("right", "left")}[view]  # fmt: skip
        for name, pixel in zip(names, (low, high), strict=True):
            landmarks[f"{level}_{name}"] = pixel + rng.normal(0.0, noise, 2)
    for side in sides:
        for name, region, station in (("elbow", "forearm", 0.0), ("wrist", "forearm", 1.0),
                                      ("knee", "shank", 0.0), ("ankle", "shank", 1.0)):  # fmt: skip
            chart = charts[f"{region}_{side}"]
            kneecap = name == "knee" and view == "front"
            place = chart.points(station, 0.0)[0] if kneecap else chart.section(station).mean(axis=0)
            landmarks[f"{name}_{side}"] = seen(place)[0]
    outlines = []
    for limb in ("torso", *(f"{limb}_{side}" for limb in LIMBS for side in sides)):
        chart = charts[limb]
        for t in np.linspace(
            chart.stations[0] + 0.25, chart.stations[-1] - 0.1, 13 if limb == "torso" else 7
        ):
            pixels = pinhole.project(chart.section(float(t)))
            both = np.stack([pixels[pixels[:, 0].argmin()], pixels[pixels[:, 0].argmax()]])
            outlines.append(OutlineMarks(region=limb, points=both + rng.normal(0.0, noise, (2, 2))))
    edges = []
    for slug, (region, middle, slant) in EDGES.items():
        if view in ("left", "right") and region.endswith({"left": "right", "right": "left"}[view]):
            continue
        station, around = ring(region, middle, slant)
        shown = facing(charts[region], station, around, pinhole) > 0.15
        order = np.roll(np.arange(40), -int(np.flatnonzero(shown & ~np.roll(shown, 1))[0]))
        order = order[shown[order]][::2]
        points = seen(charts[region].points(station[order], around[order]))
        edges.append(EdgeMarks(slug=slug, points=points, regions=(region,)))
    return PictureMarks(
        name=view,
        view=view,  # type: ignore[arg-type]
        size=pinhole.size,
        landmarks=landmarks,
        outlines=tuple(outlines),
        edges=tuple(edges),
    )


def wearer_errors(
    readings: tuple[object, ...], spread_scale: float = 1650.0
) -> tuple[Points, Points, Points]:
    """Distance of every reading from the true curve on a 1.65 m wearer, along errors and stated spreads."""
    form = woman()
    scale = 1650.0 / model().stature
    distance, along, stated = [], [], []
    for reading in readings:
        region, middle, slant = EDGES[reading.slug]
        turns = np.arange(720) / 720.0
        curve = form.charts[region].points(middle + slant * np.cos(2 * np.pi * turns), turns) * scale
        place = form.charts[region].points(reading.station, reading.around)[0] * scale
        distance.append(float(np.linalg.norm(curve - place, axis=1).min()))
        true = middle + slant * np.cos(2 * np.pi * reading.around)
        length = form.charts[region].points([reading.station, true], reading.around) * scale
        along.append(float(np.linalg.norm(length[0] - length[1])))
        stated.append(reading.spread_along * 1650.0)
    return np.array(distance), np.array(along), np.array(stated)
