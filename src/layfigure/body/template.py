"""The template body: one surface whose shape is linear in a few coefficients, with joints and skin weights.

The asset ``data/template.npz`` is derived by ``tools/build_template.py`` from CC0 data (see NOTICE.md).
Its pose has the arms raised to about 40° and the feet apart; ``body.pose`` lets the arms down.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray
from scipy import sparse
from scipy.spatial import cKDTree

from layfigure.body.landmarks import LANDMARKS

Points = NDArray[np.float64]
Indices = NDArray[np.int64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Template:
    """A surface, its joints, and the directions in which both may change. "Points" are both, in that order.

    mean : (p, 3) [mm] mean adult in the drafting pose. faces : (m, 3) into the first ``vertex_count``.
    directions : (k, p, 3) [mm] float32; the first ``mode_count`` are whole-body shapes of one standard
    deviation among adults of the source, the others local shapes named ``local_names``.
    bones : names of the rigid parts; weights : (p, bones) shares, each row summing to 1.
    joints : row of every joint among the points. mirror : (vertices,) the vertex on the other side.
    presets : coefficients (k,) of a neutral ``woman`` and ``man``.
    landmarks : vertex of every landmark by its name on a Form.
    """

    mean: Points
    faces: Indices
    directions: NDArray[np.float32]
    mode_count: int
    local_names: tuple[str, ...]
    bones: tuple[str, ...]
    weights: Points
    joints: Mapping[str, int]
    mirror: Indices
    presets: Mapping[str, Points]
    landmarks: Mapping[str, int]

    @property
    def vertex_count(self) -> int:
        """Number of surface vertices; the joints follow them among the points."""
        return len(self.mirror)

    def points(self, coefficients: Points) -> Points:
        """Points of a body in the drafting pose, feet on the floor, (p, 3) [mm].

        coefficients : (k,) or fewer, the rest taken as 0.
        """
        c = np.asarray(coefficients, dtype=np.float32)
        moved = np.tensordot(c, self.directions[: len(c)], axes=1).astype(np.float64) + self.mean
        moved[:, 2] -= moved[: self.vertex_count, 2].min()
        return moved

    def linear_points(self, coefficients: Points) -> Points:
        """The same, not put on the floor, as a fit needs them; coefficients : (k,), all of them."""
        # In double precision, since single would round to another body with every order of adding up.
        whole, local = _summed_directions(self)
        moved = coefficients[: self.mode_count] @ whole + local @ coefficients[self.mode_count :]
        result: Points = moved.reshape(self.mean.shape) + self.mean
        return result


@lru_cache(maxsize=1)
def _summed_directions(template: Template) -> tuple[Points, sparse.csc_array]:
    """Whole-body shapes (mode_count, 3 p), and local ones, which reach few points each, (3 p, rest)."""
    every = template.directions.reshape(len(template.directions), -1)
    count = template.mode_count
    return every[:count].astype(np.float64), sparse.csr_array(every[count:], dtype=np.float64).T


@lru_cache(maxsize=1)
def load_template() -> Template:
    """The template shipped with the package (read once)."""
    with files("layfigure.body").joinpath("data/template.npz").open("rb") as stream:
        asset = np.load(stream)
        mean = asset["mean"].astype(np.float64)
        faces = asset["faces"].astype(np.int64)
        directions = asset["basis"] * asset["basis_scale"][:, None, None]
        weights = asset["weights"].astype(np.float64)
        bones = tuple(str(name) for name in asset["bones"])
        local_names = tuple(str(name) for name in asset["local_names"])
        joint_names = [str(name) for name in asset["joint_names"]]
        mode_count = int(asset["mode_count"])
        presets = {
            str(name): np.concatenate([row.astype(np.float64), np.zeros(len(local_names))])
            for name, row in zip(asset["preset_names"], asset["preset_coefficients"], strict=True)
        }
    count = int(faces.max()) + 1
    surface = mean[:count]
    distance, mirror = cKDTree(surface).query(surface * (-1.0, 1.0, 1.0))
    assert distance.max() < 1.0, "the template is not symmetric"
    landmarks: dict[str, int] = {}
    for name, landmark in LANDMARKS.items():
        if landmark.paired:
            landmarks[f"{name}_left"] = landmark.vertex
            landmarks[f"{name}_right"] = int(mirror[landmark.vertex])
        else:
            landmarks[name] = landmark.vertex
    return Template(
        mean=mean,
        faces=faces,
        directions=directions.astype(np.float32),
        mode_count=mode_count,
        local_names=local_names,
        bones=bones,
        weights=weights / weights.sum(axis=1, keepdims=True),
        joints=MappingProxyType({name: count + row for row, name in enumerate(joint_names)}),
        mirror=mirror.astype(np.int64),
        presets=MappingProxyType(presets),
        landmarks=MappingProxyType(landmarks),
    )
