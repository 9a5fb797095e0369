"""The Form: one wearer's body in space, with the charts every stage reads."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from layfigure.body.chart import RegionChart
from layfigure.geometry.mesh import TriangleMesh

Points = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Form:
    """A body in the project's frame: x to the wearer's left, y to the back, z up from the floor, mm.

    standing, drafting : the same surface (same faces, same vertex order) standing with arms hanging, and
        in the drafting pose, where limbs stand clear of the trunk.
    charts, drafting_charts : one a region, by full region name, the same stations and around in both poses.
    face_region : (m,) index into ``region_names`` of every face.
    level_heights : standing height of every level [mm], named ``waist`` or ``knee_left``.
    landmarks : (3,) places on the standing surface, named as in ``body.landmarks``.
    measures : what our own tape reads on this Form [mm], by measure name, sided as ``wrist_girth_left``.
    estimated : the measures that were not taken but guessed.
    spreads : one standard deviation of each estimated measure [mm].
    posture : whether the drafting surface stands or sits.
    """

    wearer: str
    standing: TriangleMesh
    drafting: TriangleMesh
    charts: Mapping[str, RegionChart]
    drafting_charts: Mapping[str, RegionChart]
    region_names: tuple[str, ...]
    face_region: NDArray[np.int64]
    level_heights: Mapping[str, float]
    landmarks: Mapping[str, Points]
    measures: Mapping[str, float]
    estimated: frozenset[str]
    spreads: Mapping[str, float]
    posture: Literal["standing", "seated"] = "standing"
