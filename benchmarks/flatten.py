"""How long trued flattening takes beside plain flattening, and how well seams, corners and windows come out.

Usage: python benchmarks/flatten.py

Writes benchmarks/results/flatten.json. Times are medians of repeated runs of this process on one core, given
also as a ratio to plain flattening (40 local and global steps) of the same panels in the same run, which
carries over to other machines.
"""

from __future__ import annotations

import json
import statistics
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np

from layfigure.draft.flatten.arap import build_system, flatten_freely
from layfigure.draft.flatten.checks import (
    corner_error,
    curve_pairs,
    least_radius,
    mate_difference,
)
from layfigure.draft.flatten.panel import Ease, Panel
from layfigure.draft.flatten.panel_outline import outline_loop
from layfigure.draft.flatten.rest_shape import rest_triangles
from layfigure.draft.flatten.truing import flatten_panels
from layfigure.draft.flatten.worn_stretch import greatest_stretch_p95
from layfigure.draft.window.rest_windows import rest_windows, window_spreads
from layfigure.draft.window.worn_plane import worn_plane
from layfigure.geometry.polyline import length

ROOT = Path(__file__).resolve().parents[1]
sys.path.insert(0, str(ROOT / "tests" / "draft" / "flatten"))
from analytic_panels import meshed_panel, rectangle, sleeve, tube  # noqa: E402

EASE = Ease(around=-0.10, along=-0.02)


def leg(count: int) -> list[Panel]:
    girth, height = 440.0, 760.0
    surface = tube(
        lambda turn, v: (
            68.0
            + 24.0 * np.cos(2 * np.pi * v / 800.0)
            + 8.0 * np.cos(2 * turn) * np.sin(v / 120.0)
            + 10.0 * np.cos(turn - 1.0) * v / height
        ),
        girth,
    )
    cuts = np.linspace(0.0, girth, count + 1)
    return [
        meshed_panel(
            f"leg_{k}",
            surface,
            rectangle((cuts[k], cuts[k + 1]), (0.0, height), left=f"s{k}", right=f"s{(k + 1) % count}"),
        )
        for k in range(count)
    ]


def median_time(work: Callable[[], Any], repeats: int = 7) -> float:
    work()
    times = []
    for _ in range(repeats):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return statistics.median(times)


def plain(panels: list[Panel]) -> None:
    for panel in panels:
        flatten_freely(build_system(rest_triangles(panel, EASE), panel.faces, outline_loop(panel)), steps=40)


def measured(panels: list[Panel]) -> dict[str, Any]:
    flats = flatten_panels(panels, EASE)
    pairs = list(curve_pairs(flats.values()))
    apart = [mate_difference(a, b, opposed=opposed) for a, b, opposed in pairs]
    curves = [curve for flat in flats.values() for curve in flat.curves.values()]
    plain_time, trued_time = (
        median_time(lambda: plain(panels)),
        median_time(lambda: flatten_panels(panels, EASE)),
    )
    return {
        "panels": len(panels),
        "vertices": sum(panel.vertices.shape[0] for panel in panels),
        "plain_ms_a_panel": round(1e3 * plain_time / len(panels), 1),
        "trued_ms_a_panel": round(1e3 * trued_time / len(panels), 1),
        "trued_over_plain": round(trued_time / plain_time, 2),
        "mates_largest_difference_mm": round(max(apart, default=0.0), 5),
        "corners_largest_miss_degrees": round(corner_error(flats, EASE), 4),
        "stretch_p95_beyond_ease": [round(greatest_stretch_p95(flat), 3) for flat in flats.values()],
        "least_radius_mm": round(min(least_radius(curve) for curve in curves), 1),
        "outline_mm": round(sum(length(curve) for curve in curves)),
    }


def windows() -> dict[str, Any]:
    (panel, _) = leg(2)
    answer: dict[str, Any] = {}
    angle = np.linspace(0.0, 2 * np.pi, 120, endpoint=False)
    for around in (-0.05, -0.10, -0.15):
        ease = Ease(around=around, along=-0.02)
        flat = flatten_panels([panel], ease)[panel.slug]
        centre = flat.vertices.mean(axis=0) @ worn_plane(flat, ease).T
        wanted = [("round", centre + 31.0 * np.stack([np.cos(angle), np.sin(angle)], axis=1))]
        seconds = median_time(lambda w=wanted, f=flat, e=ease: rest_windows(f, w, e, backing=False), 3)
        (spread,) = window_spreads(flat, wanted, ease)
        answer[f"{-around:.0%}"] = {
            "seconds": round(seconds, 3),
            "physical_spread_p95_mm": round(spread.p95, 2),
            "physical_spread_greatest_mm": round(spread.greatest, 2),
        }
    return answer


def main() -> None:
    result = {
        "ease": {"around": EASE.around, "along": EASE.along},
        "leg in two": measured(leg(2)),
        "leg in four": measured(leg(4)),
        "one-piece sleeve": measured([sleeve()]),
        "a round window of 62 mm, unbacked, by negative ease": windows(),
    }
    out = ROOT / "benchmarks" / "results" / "flatten.json"
    out.parent.mkdir(exist_ok=True)
    out.write_text(json.dumps(result, indent=2) + "\n", encoding="utf-8")
    print(json.dumps(result, indent=2))


if __name__ == "__main__":
    main()
