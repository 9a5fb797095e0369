"""How long trued flattening takes beside plain flattening, and how well seams, corners and windows come out.

Usage: python benchmarks/flatten.py [BODIES]

Writes benchmarks/results/flatten.json. Analytic surfaces first, then leggings and bodysuits as the knit kind
lays them on BODIES (12) template bodies: the two presets, then random shapes about them. Times are processor
time of this process, and a ratio to plain flattening (40 local and global steps) of the same panels in the
same run, which carries over to other machines.
"""

from __future__ import annotations

import json
import statistics
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import numpy as np

from layfigure.body.form import Form
from layfigure.body.shape import form_of
from layfigure.body.template import load_template
from layfigure.design.design import PieceStatement
from layfigure.draft.flatten.arap import flatten_freely, stiffness_of
from layfigure.draft.flatten.checks import (
    check_flat_panels,
    corner_error,
    curve_pairs,
    mate_difference,
)
from layfigure.draft.flatten.panel import Ease, Panel
from layfigure.draft.flatten.panel_outline import outline_loop
from layfigure.draft.flatten.rest_shape import rest_triangles
from layfigure.draft.flatten.stitch_line import least_radius
from layfigure.draft.flatten.truing import flatten_panels
from layfigure.draft.flatten.worn_stretch import greatest_stretch_p95
from layfigure.draft.knit.leggings import leggings_on
from layfigure.draft.knit.options import KnitOptions
from layfigure.draft.knit.top import top_on
from layfigure.draft.registry import DraftRequest
from layfigure.draft.window.rest_windows import rest_windows, window_spreads
from layfigure.draft.window.worn_plane import worn_plane
from layfigure.errors import DraftError
from layfigure.geometry.polyline import length
from layfigure.materials.cloth import Cloth
from layfigure.place.placement import Placement

ROOT = Path(__file__).resolve().parents[1]
sys.path.insert(0, str(ROOT / "tests" / "draft" / "flatten"))
from analytic_panels import meshed_panel, rectangle, sleeve, tube  # noqa: E402

EASE = Ease(around=-0.10, along=-0.02)
SHAPE_SPREAD = 0.8
"""Standard deviation of random shapes, in standard deviations of the template's source."""


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
        start = time.process_time()
        work()
        times.append(time.process_time() - start)
    return statistics.median(times)


def plain(panels: list[Panel]) -> None:
    for panel in panels:
        flatten_freely(stiffness_of(rest_triangles(panel, EASE), panel.faces, outline_loop(panel)), steps=40)


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


def bodies(count: int) -> Iterator[Form]:
    template = load_template()
    random = np.random.default_rng(7)
    for k in range(count):
        shape = template.presets["woman" if k % 2 else "man"].copy()
        if k > 1:
            shape[: template.mode_count] += random.normal(scale=SHAPE_SPREAD, size=template.mode_count)
        yield form_of(template, shape)


def request(form: Form, options: dict[str, Any]) -> DraftRequest:
    stretch = {"stretch_across": 0.6, "stretch_along": 0.5}
    cloth = Cloth(slug="knit", kind="knit", name="knit", width=1500.0, areal_mass=220.0, **stretch)
    statement = PieceStatement(slug="piece", kind="knit", cloth="knit", side="both", options=options)
    return DraftRequest(
        statement=statement,
        options=KnitOptions.model_validate(options),
        form=form,
        placement=Placement(wearer="", edges={}),
        cloths={"knit": cloth},
    )


def garments(count: int) -> dict[str, Any]:
    """Leggings and bodysuits on template bodies."""
    kinds = {
        "leggings": (leggings_on, {"garment": "leggings"}),
        "leggings of one panel a leg": (leggings_on, {"garment": "leggings", "panels_a_leg": 1}),
        "bodysuit": (top_on, {"garment": "bodysuit"}),
    }
    answer: dict[str, Any] = {}
    forms = list(bodies(count))
    for name, (lay, options) in kinds.items():
        stretches: dict[str, list[float]] = {}
        apart, missed, times, plain_times, refused, failed = [], [], [], [], [], []
        for form in forms:
            try:
                panels = list(lay(asked := request(form, options), asked.options).panels)
                start = time.process_time()
                flats = flatten_panels(panels, EASE)
                times.append((time.process_time() - start) / len(panels))
            except DraftError as error:
                refused.append(str(error))
                continue
            start = time.process_time()
            plain(panels)
            plain_times.append((time.process_time() - start) / len(panels))
            failed += [c.what for c in check_flat_panels(flats, EASE, stretch_limit=0.45) if not c.passed]
            apart += [mate_difference(a, b, opposed=o) for a, b, o in curve_pairs(flats.values())]
            missed.append(corner_error(flats, EASE))
            for slug, flat in flats.items():
                part = slug.removesuffix("_left").removesuffix("_right")
                stretches.setdefault(part, []).append(greatest_stretch_p95(flat))
        answer[name] = {
            "bodies": count,
            "refused": refused,
            "failed checks": failed,
            "trued_ms_a_panel_median": round(1e3 * statistics.median(times), 1) if times else None,
            "trued_over_plain": round(sum(times) / sum(plain_times), 2) if times else None,
            "mates_largest_difference_mm": round(max(apart, default=0.0), 4),
            "corners_largest_miss_degrees": round(max(missed, default=0.0), 4),
            "stretch_p95_beyond_ease_median_and_largest": {
                part: [round(statistics.median(values), 3), round(max(values), 3)]
                for part, values in stretches.items()
            },
        }
    return answer


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
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 12
    result = {
        "ease": {"around": EASE.around, "along": EASE.along},
        "leg in two": measured(leg(2)),
        "leg in four": measured(leg(4)),
        "one-piece sleeve": measured([sleeve()]),
        "garments on template bodies": garments(count),
        "a round window of 62 mm, unbacked, by negative ease": windows(),
    }
    out = ROOT / "benchmarks" / "results" / "flatten.json"
    out.parent.mkdir(exist_ok=True)
    out.write_text(json.dumps(result, indent=2) + "\n", encoding="utf-8")
    print(json.dumps(result, indent=2))


if __name__ == "__main__":
    main()
