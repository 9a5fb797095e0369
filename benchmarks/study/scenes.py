"""Synthetic character and wearer pairs, and the ways each is photographed and marked."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
from benchmarks.study.bodies import Body, load_body, template_body
from benchmarks.study.character import make_character, random_style
from benchmarks.study.costume import random_costume
from benchmarks.study.observe import Marking, Scene, mark_picture
from benchmarks.study.sections import true_charts
from benchmarks.study.view import take_picture
from numpy.typing import NDArray

from layfigure.body.chart import RegionChart
from layfigure.design.marks import PictureMarks

Indices = NDArray[np.int64]

_FRONT_16 = frozenset(
    [
        "crown",
        "chin",
        "crotch",
        "shoulder_point_left",
        "shoulder_point_right",
        "waist_left",
        "waist_right",
        "hip_left",
        "hip_right",
        "knee_left",
        "knee_right",
        "ankle_left",
        "ankle_right",
        "elbow_left",
        "wrist_left",
        "wrist_right",
    ]
)
_FRONT_18 = (_FRONT_16 - {"chin"}) | {"elbow_right", "bust_left", "bust_right"}
_SIDE_2 = frozenset(("crown", "ankle_left"))
_SIDE_7 = frozenset(
    ("crown", "ankle_left", "bust_front", "waist_front", "waist_back", "hip_front", "hip_back")
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Setting:
    """One way to draw and mark a character.

    views : pictures used. distance : [mm], random when None. advised : further clicks are made as the study
    asks for them, up to so many in all; 0 makes none.
    """

    name: str
    views: tuple[str, ...]
    marking: Marking
    inconsistency: float = 0.0
    distance: float | None = None
    advised: int = 0


_FULL = Marking()
SETTINGS: dict[str, Setting] = {
    setting.name: setting
    for setting in (
        Setting(name="full, three views", views=("front", "left", "back"), marking=_FULL),
        Setting(name="full and three-quarter", views=("front", "left", "back", "free"), marking=_FULL),
        Setting(name="front only, full", views=("front",), marking=_FULL),
        Setting(
            name="25 clicks, as advised",
            views=("front", "left"),
            marking=Marking(landmarks={"front": _FRONT_16, "left": _SIDE_2}, outlines=None),
            advised=25,
        ),
        Setting(
            name="25 clicks, a fixed list",
            views=("front", "left"),
            marking=Marking(landmarks={"front": _FRONT_18, "left": _SIDE_7}, outlines=None),
        ),
        Setting(
            name="16 clicks, front",
            views=("front",),
            marking=Marking(landmarks={"front": _FRONT_16}, outlines=None),
        ),
        Setting(
            name="drawings 1 % inconsistent",
            views=("front", "left", "back", "free"),
            marking=_FULL,
            inconsistency=0.01,
        ),
        Setting(
            name="hidden by skirt or hair",
            views=("front", "left", "back"),
            marking=Marking(skirt=True, hair=True),
        ),
        Setting(
            name="everything bad",
            views=("front", "left"),
            marking=Marking(
                landmarks={"front": _FRONT_18, "left": _SIDE_7}, outlines=0.08, skirt=True, hair=True,
                mark_noise=2.0,
            ),
            inconsistency=0.01,
            distance=3000.0,
        ),
    )
}  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Sitting:
    """One character under one setting: what the solver is given, and what each mark truly is."""

    scene: Scene
    marks: tuple[PictureMarks, ...]
    which: tuple[tuple[Indices, ...], ...]


def random_scene(seed: int, *, source: str | None = None) -> Scene:
    """A character with a costume, not yet photographed. source : ``man``, ``woman`` or ``template``."""
    rng = np.random.default_rng([seed, 1])
    name = source or ("man", "woman", "template")[seed % 3]
    body: Body = (
        template_body(rng, preset=str(rng.choice(["man", "woman"])))
        if name == "template"
        else load_body(name)
    )
    while True:
        try:
            character = make_character(body, random_style(rng), name=f"{name} {seed}")
            charts = true_charts(character)
        except (ValueError, IndexError):  # a limb swallowed by the trunk: no such character
            continue
        if all(len(chart.chart.stations) > 20 for chart in charts.values()):
            break
    return Scene(character=character, charts=charts, costume=random_costume(rng), pictures=())


def sit(scene: Scene, setting: Setting, seed: int) -> Sitting:
    """Photograph and mark a character under one setting.

    The same seed gives the same cameras, so settings differ in what is marked and in nothing else.
    """
    rng = np.random.default_rng([seed, 2])
    drawn = f"{setting.inconsistency} {setting.distance}"
    pictures = tuple(
        take_picture(
            scene.character.vertices,
            view,
            rng,
            drawing=drawn,
            yaw=float(rng.uniform(30, 45)) if view == "free" else None,
            distance=setting.distance,
            inconsistency=setting.inconsistency,
        )
        for view in setting.views
    )
    posed = replace(scene, pictures=pictures)
    rng = np.random.default_rng([seed, 5])
    marked = [mark_picture(posed, picture, setting.marking, rng) for picture in pictures]
    return Sitting(
        scene=posed, marks=tuple(marks for marks, _ in marked), which=tuple(which for _, which in marked)
    )


def independent_wearer(seed: int, stature: float = 1650.0) -> Mapping[str, RegionChart]:
    """Charts of a plain body of that stature, made without the package's own fit."""
    rng = np.random.default_rng([seed, 3])
    body = load_body("woman" if seed % 2 else "man")
    calm = random_style(rng, asymmetry=0.01)

    # A wearer is a person: a fifth of the exaggeration, all of the unlikeness.
    def near_one(value: float) -> float:
        return 1.0 + 0.2 * (value - 1.0)

    style = replace(
        calm,
        torso_heights=tuple(near_one(v) for v in calm.torso_heights),
        torso_widths=tuple(near_one(v) for v in calm.torso_widths),
        torso_depths=tuple(near_one(v) for v in calm.torso_depths),
        bone_lengths={bone: near_one(v) for bone, v in calm.bone_lengths.items()},
        bone_widths={bone: near_one(v) for bone, v in calm.bone_widths.items()},
        bone_depths={bone: near_one(v) for bone, v in calm.bone_depths.items()},
        bumps=0.02,
        arm_fall=dict.fromkeys(("left", "right"), 75.0),
    )
    character = make_character(body, style)
    scale = stature / character.stature
    return {
        region: RegionChart(
            region=region,
            level_names=truth.chart.level_names,
            stations=truth.chart.stations,
            sections=truth.chart.sections * scale,
        )
        for region, truth in true_charts(character).items()
    }
