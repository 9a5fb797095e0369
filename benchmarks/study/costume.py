"""True costumes: edges as curves in chart coordinates, all over the character."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

Points = NDArray[np.float64]
EdgeClass = Literal["limb edge", "torso band", "window"]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class TrueEdge:
    """One edge as it truly runs.

    station, around : (m,) dense, in order; around is not wrapped, so that neighbours stay near.
    corners : indices that are sharp. closed : the last point runs back to the first.
    """

    slug: str
    kind: EdgeClass
    region: str
    station: Points
    around: Points
    closed: bool = True
    corners: tuple[int, ...] = ()


def ring(
    slug: str, kind: EdgeClass, region: str, station: float, slant: float, phase: float, point: float = 0.0
) -> TrueEdge:
    """A line right round a region, slanted by a share of a level step, perhaps with a point at the phase."""
    around = np.arange(400) / 400
    away = np.abs((around - phase + 0.5) % 1.0 - 0.5)
    wave = station + slant * np.cos(2 * np.pi * (around - phase))
    wave = wave + point * np.clip(1 - away / 0.16, 0, None)
    corners = () if point == 0 else (int(np.argmin(away)),)
    return TrueEdge(slug=slug, kind=kind, region=region, station=wave, around=around, corners=corners)


def lens(
    slug: str,
    region: str,
    middle: tuple[float, float],
    half: tuple[float, float],
    bulge: tuple[float, float],
) -> TrueEdge:
    """A lens: two sharp tips at middle ± half, two arcs bulging by ± bulge; all (station, around)."""
    t = np.linspace(-1, 1, 61)[:-1]
    m, h, b = np.array(middle), np.array(half), np.array(bulge)
    there = m + t[:, None] * h + (1 - t[:, None] ** 2) * b
    back = m - t[:, None] * h - (1 - t[:, None] ** 2) * b
    places = np.vstack([there, back])
    return TrueEdge(
        slug=slug,
        kind="window",
        region=region,
        station=places[:, 0],
        around=places[:, 1],
        corners=(0, len(there)),
    )


def random_costume(rng: np.random.Generator) -> tuple[TrueEdge, ...]:
    """Edges on arms, legs and trunk, slanted, pointed and cut out at random."""
    edges: list[TrueEdge] = []
    for side in ("left", "right"):
        edges += [
            ring(
                f"thigh_band_{side}", "limb edge", f"thigh_{side}", rng.uniform(0.38, 0.72),
                rng.uniform(0, 0.08), rng.uniform(), rng.choice([0.0, -0.08]),
            ),
            ring(
                f"shin_top_{side}", "limb edge", f"shank_{side}", rng.uniform(0.08, 0.3),
                rng.uniform(0, 0.05), rng.uniform(), rng.choice([0.0, -0.05]),
            ),
            ring(
                f"shin_bottom_{side}", "limb edge", f"shank_{side}", rng.uniform(0.62, 0.8),
                rng.uniform(0, 0.04), rng.uniform(),
            ),
            ring(
                f"guard_top_{side}", "limb edge", f"forearm_{side}", rng.uniform(0.12, 0.35),
                rng.uniform(0, 0.06), rng.uniform(), rng.choice([0.0, -0.07]),
            ),
            ring(
                f"guard_bottom_{side}", "limb edge", f"forearm_{side}", rng.uniform(0.75, 0.92),
                rng.uniform(0, 0.03), rng.uniform(),
            ),
            ring(
                f"sleeve_{side}", "limb edge", f"upper_arm_{side}", rng.uniform(0.62, 0.85),
                rng.uniform(0, 0.05), rng.uniform(),
            ),
        ]  # fmt: skip
    edges += [
        ring("belt", "torso band", "torso", rng.uniform(3.4, 3.75), rng.uniform(0.05, 0.3), rng.uniform()),
        ring("waistband", "torso band", "torso", rng.uniform(2.85, 3.1), rng.uniform(0, 0.08), rng.uniform()),
        ring("under_band", "torso band", "torso", rng.uniform(1.9, 2.3), rng.uniform(0, 0.1), rng.uniform()),
    ]
    turn = rng.choice([-1.0, 1.0])
    for index, (station, around) in enumerate(
        ((1.7, 0.93), (2.6, 0.05), (3.35, 0.17), (2.5, 0.48), (2.5, 0.78))
    ):
        where = (station + rng.normal(0, 0.08), around * turn + rng.normal(0, 0.02))
        edges.append(
            lens(
                f"window_{index}", "torso", where,
                (rng.uniform(0.15, 0.28), turn * rng.uniform(0.02, 0.07)),
                (rng.uniform(-0.06, 0.0), turn * rng.uniform(0.02, 0.04)),
            )
        )  # fmt: skip
    side = rng.choice(["left", "right"])
    edges.append(
        lens(
            "window_thigh",
            f"thigh_{side}",
            (rng.uniform(0.4, 0.55), rng.uniform(0.05, 0.3)),
            (0.12, 0.03),
            (0, 0.06),
        )
    )
    return tuple(edges)
