"""Stiff wraps on random bodies: does skin poke out, how far do bands stand off, how many are needed.

Bodies are the template's own shape modes, drawn at random about both presets. On each one a forearm guard,
a shin guard with a pointed top, a thigh band with a pointed top and a slung belt are drafted. Writes
``results/wrap.json``.

    python benchmarks/wrap.py --bodies 50
"""

from __future__ import annotations

import argparse
import collections
import json
import time
from pathlib import Path

import numpy as np

from layfigure.body.chart import ChartPoint
from layfigure.body.shape import form_of
from layfigure.body.template import load_template
from layfigure.design.design import DesignEdge, EdgePoint, PieceStatement
from layfigure.draft.belt.kind import KIND as BELT
from layfigure.draft.registry import DraftRequest, validated_options
from layfigure.draft.wrap.kind import KIND as WRAP
from layfigure.errors import DraftError
from layfigure.materials.cloth import Cloth
from layfigure.place.place import place_edge
from layfigure.place.placement import Placement

FOAM = Cloth(
    slug="foam", kind="foam", name="foam", width=1000.0, areal_mass=500.0, thickness=5.0, tested=True
)


def ring(slug, region, station, wave=0.0, phase=0.0, point=0.0):
    points = []
    for k in range(16):
        around = k / 16.0
        rise = point * max(0.0, 1.0 - min(around, 1.0 - around) / 0.25)
        s = station + wave * np.cos(2.0 * np.pi * around + phase) - rise
        points.append(
            EdgePoint(
                at=ChartPoint(region=region, station=float(s), around=around), corner=point > 0.0 and k == 0
            )
        )
    return DesignEdge(slug=slug, points=tuple(points), closed=True)


CASES = {
    "forearm guard": (
        WRAP,
        {"bottom": ring("b", "forearm_left", 0.97), "top": ring("t", "forearm_left", 0.2, 0.05)},
        {},
    ),
    "shin guard": (
        WRAP,
        {"bottom": ring("b", "shank_left", 0.9), "top": ring("t", "shank_left", 0.18, point=0.12)},
        {},
    ),
    "shin guard, one band": (
        WRAP,
        {"bottom": ring("b", "shank_left", 0.9), "top": ring("t", "shank_left", 0.18, point=0.12)},
        {"bands": 1},
    ),
    "thigh band": (
        WRAP,
        {"bottom": ring("b", "thigh_left", 0.75), "top": ring("t", "thigh_left", 0.5, point=0.15)},
        {},
    ),
    "slung belt": (BELT, {"line": ring("l", "torso", 3.5, 0.2, 1.57)}, {"shape": "slung", "width": "50 mm"}),
}


def run(form, kind, edges, options):
    statement = PieceStatement(
        slug="piece",
        kind=kind.name,
        cloth="foam",
        edges={r: e.slug for r, e in edges.items()},
        options=options,
    )
    request = DraftRequest(
        statement=statement,
        options=validated_options(kind, options, where="benchmark"),
        form=form,
        placement=Placement(wearer="", edges={e.slug: place_edge(e, form) for e in edges.values()}),
        cloths={"foam": FOAM},
        stack=1.0,
    )
    start, busy = time.perf_counter(), time.process_time()
    result = kind.draft(request)
    return result, 1000.0 * (time.perf_counter() - start), 1000.0 * (time.process_time() - busy)


def summary(rows, refused):
    def numbers(key):
        values = np.array([row[key] for row in rows])
        return {
            "median": round(float(np.median(values)), 3),
            "p95": round(float(np.percentile(values, 95)), 3),
            "max": round(float(values.max()), 3),
        }

    return {
        "drafted": len(rows),
        "refused": refused,
        "bands": dict(sorted(collections.Counter(row["bands"] for row in rows).items())),
        "poke_mm": numbers("poke"),
        "gap_p95_mm": numbers("gap"),
        "gap_over_10": sum(row["gap"] > 10.0 for row in rows),
        "mates_mm": numbers("mates"),
        "ms": numbers("ms"),
        "cpu_ms": numbers("cpu"),
        "crossed_outlines": sum(row["crossed"] for row in rows),
    }


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--bodies", type=int, default=50)
    parser.add_argument("--seed", type=int, default=7)
    arguments = parser.parse_args()
    template = load_template()
    draw = np.random.default_rng(arguments.seed)
    rows = {name: [] for name in CASES}
    refused = {name: [] for name in CASES}
    for body in range(arguments.bodies):
        preset = template.presets["woman" if body % 2 else "man"].copy()
        preset[: template.mode_count] += 0.6 * draw.normal(size=template.mode_count)
        form = form_of(template, preset, wearer="benchmark")
        for name, (kind, edges, options) in CASES.items():
            try:
                result, ms, cpu = run(form, kind, edges, options)
            except DraftError as error:
                refused[name].append(error.what)
                continue
            values = {check.what.split(": ", 1)[1]: check.value for check in result.checks}
            find = {
                key: next((v for w, v in values.items() if words in w), 0.0)
                for key, words in {
                    "poke": "stands out",
                    "gap": "stands off",
                    "mates": "that are joined",
                    "crossed": "cross themselves",
                }.items()
            }
            rows[name].append({**find, "bands": len(result.pieces), "ms": ms, "cpu": cpu})
    report = {
        "bodies": arguments.bodies,
        "seed": arguments.seed,
        "cases": {name: summary(rows[name], dict(collections.Counter(refused[name]))) for name in CASES},
    }
    out = Path(__file__).parent / "results" / "wrap.json"
    out.write_text(json.dumps(report, indent=2) + "\n", encoding="utf-8")
    print(json.dumps(report, indent=2))


if __name__ == "__main__":
    main()
