"""A body of upright cylinders whose every length is known, for tests of placement."""

import numpy as np

from layfigure.body.chart import RegionChart
from layfigure.body.levels import all_region_names, split_region

LEVELS = {
    "crown": 1700.0, "brow": 1600.0, "chin": 1480.0, "under_chin": 1480.0, "neck_base": 1420.0,
    "nape": 1450.0, "bust": 1250.0, "under_bust": 1180.0, "waist": 1080.0, "hip": 880.0, "crotch": 800.0,
    "shoulder_point": 1400.0, "elbow": 1100.0, "wrist": 850.0, "knuckles": 770.0, "fingertip": 680.0,
    "knee": 480.0, "ankle": 80.0, "instep": 60.0, "ball": 30.0, "toe_tip": 10.0,
}  # fmt: skip


def body() -> dict[str, RegionChart]:
    """Every region an upright cylinder of girth 400 mm, its stations at the heights above."""
    charts: dict[str, RegionChart] = {}
    turn = 2 * np.pi * np.arange(64) / 64
    for name in all_region_names():
        definition, _ = split_region(name)
        start = 0.2 if definition.name == "upper_arm" else 0.0  # the chart begins at the armpit
        stations = np.linspace(start, len(definition.levels) - 1, 41)
        heights = np.interp(
            stations, range(len(definition.levels)), [LEVELS[level] for level in definition.levels]
        )
        ring = 400.0 / (2 * np.pi) * np.column_stack([np.sin(turn), -np.cos(turn), 0 * turn])
        sections = ring[None] + heights[:, None, None] * np.array([0.0, 0.0, 1.0])
        charts[name] = RegionChart(
            region=name, level_names=definition.levels, stations=stations, sections=sections
        )
    return charts


CHARTS = body()
