"""How long it takes to lay, list and price the demonstration, and how much memory: from drafted pieces.

Times are also ratios to one named baseline of the same run: importing numpy and scipy in a new process.
Beside seconds on the clock stand seconds of processor time of this process and of those it waits for.
Run: python -m benchmarks.buying [COSTUME] [--seconds 20]
"""

from __future__ import annotations

import argparse
import json
import os
import resource
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from layfigure.lay.lay_all import lay_all
from layfigure.lay.settings import LaySettings
from layfigure.pipeline.buying import costume_money
from layfigure.pipeline.folder import open_costume
from layfigure.pipeline.laying import hides_of
from layfigure.pipeline.work import draft_all, plan
from layfigure.recompute.cache import Cache
from layfigure.recompute.graph import Graph
from layfigure.shop.buying import buying_of

RESULT = Path(__file__).parent / "results" / "buying.json"
BASELINE = "import numpy, scipy.sparse.linalg, scipy.spatial, scipy.optimize"


def processor_seconds() -> float:
    own, waited = resource.getrusage(resource.RUSAGE_SELF), resource.getrusage(resource.RUSAGE_CHILDREN)
    return own.ru_utime + own.ru_stime + waited.ru_utime + waited.ru_stime


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("costume", nargs="?", type=Path, default=Path("examples/brindle"))
    parser.add_argument("--seconds", type=float, default=20.0, help="of search for all cloths together")
    arguments = parser.parse_args()
    load = os.getloadavg()[0]
    with tempfile.TemporaryDirectory() as cache:
        begun = time.perf_counter()
        environment = {**os.environ, "LAYFIGURE_CACHE": cache}
        subprocess.run([sys.executable, "-c", BASELINE], check=True, env=environment)
        baseline = time.perf_counter() - begun
    folder = open_costume(arguments.costume)
    wearers = {}
    for name in folder.wearers:
        work = plan(folder, folder.wearer(name), Graph(Cache()))
        drafts = draft_all(work)
        pieces = {slug: result.pieces for slug, result in drafts.items()}
        steps: dict[str, dict[str, float]] = {}
        kept = None
        for step, settings in (
            ("first layouts, no search", LaySettings(seconds=0.0)),
            ("with search", LaySettings(seconds=arguments.seconds, again=True)),
            ("stored layouts read again", LaySettings(seconds=0.0)),
        ):
            wall, cpu = time.perf_counter(), processor_seconds()
            laid = lay_all(pieces, folder.stock, settings, before=kept, hides=hides_of(folder))
            steps[step] = _took(wall, cpu, baseline)
            kept = {slug: cloth.layout for slug, cloth in laid.cloths.items()}
        wall, cpu = time.perf_counter(), processor_seconds()
        buying = buying_of(work.chosen, drafts, laid, folder.stock, costume_money(work.folder))
        steps["listed and priced"] = _took(wall, cpu, baseline)
        wearers[name] = {
            "steps": steps,
            "pieces": sum(piece.count for own in pieces.values() for piece in own),
            "cloths": {
                slug: {
                    "by": cloth.amount.by,
                    "to_buy": round(cloth.amount.to_buy, 1),
                    "density": round(cloth.layout.density, 3),
                    "length_over_bound": round(cloth.layout.length / cloth.layout.bound, 3)
                    if cloth.layout.sold_as == "roll" and cloth.layout.bound
                    else None,
                }
                for slug, cloth in laid.cloths.items()
            },
            "refused": {slug: str(error) for slug, error in laid.refused.items()},
            "total": round(buying.shopping.total, 2),
            "without_a_price": len(buying.shopping.unpriced),
        }
    result = {
        "costume": arguments.costume.name,
        "seconds_of_search_for_all_cloths": arguments.seconds,
        "load of the machine before": round(load, 2),
        "baseline_seconds": round(baseline, 3),
        "peak_memory_mb": round(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024.0, 1),
        "peak_memory_of_the_solver_mb": round(
            resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 1024.0, 1
        ),
        "wearers": wearers,
    }
    RESULT.write_text(json.dumps(result, indent=1) + "\n", encoding="utf-8")
    print(json.dumps(result, indent=1))


def _took(wall: float, cpu: float, baseline: float) -> dict[str, float]:
    seconds = time.perf_counter() - wall
    return {
        "seconds": round(seconds, 3),
        "processor_seconds": round(processor_seconds() - cpu, 3),
        "ratio_to_baseline": round(seconds / baseline, 2),
    }


if __name__ == "__main__":
    main()
