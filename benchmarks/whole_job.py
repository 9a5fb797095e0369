"""How long the main job takes on the demonstration: stages in one process, and whole commands from cold.

Every time is also given as a ratio to one named baseline of the same run: importing numpy and scipy in a new
process, which no command can do without. Run: python -m benchmarks.whole_job [COSTUME]
"""

from __future__ import annotations

import json
import os
import platform
import resource
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from statistics import median
from typing import Any

from layfigure.pipeline.folder import open_costume
from layfigure.pipeline.make import make
from layfigure.pipeline.stages import neutral_body
from layfigure.pipeline.work import draft_all, plan
from layfigure.recompute.cache import Cache
from layfigure.recompute.graph import Graph

RESULT = Path(__file__).parent / "results" / "whole_job.json"
BASELINE = "import numpy, scipy.sparse.linalg, scipy.spatial, scipy.optimize"
REPEATS = 3


def timed(work: Callable[[], Any]) -> float:
    start = time.perf_counter()
    work()
    return time.perf_counter() - start


def process_seconds(arguments: list[str], cache: Path) -> float:
    environment = {**os.environ, "LAYFIGURE_CACHE": str(cache)}
    return timed(lambda: subprocess.run(arguments, env=environment, check=True, capture_output=True))


def commands(costume: Path, wearer: str) -> dict[str, float]:
    """Seconds of whole processes, the median of a few runs."""
    seconds: dict[str, float] = {}
    program = [sys.executable, "-m", "layfigure.cli.main"]
    place = [*program, "place", str(costume), "--wearer", wearer, "--json"]
    with tempfile.TemporaryDirectory() as folder:
        caches = [Path(folder) / f"cache{k}" for k in range(REPEATS)]
        seconds["baseline: import numpy and scipy"] = median(
            process_seconds([sys.executable, "-c", BASELINE], caches[0]) for _ in range(REPEATS)
        )
        seconds["layfigure --help"] = median(
            process_seconds([*program, "--help"], caches[0]) for _ in range(REPEATS)
        )
        seconds["layfigure place, cold cache"] = median(process_seconds(place, cache) for cache in caches)
        seconds["layfigure place, cached"] = median(process_seconds(place, caches[0]) for _ in range(REPEATS))
        out = str(Path(folder) / "out")
        whole = [*program, "make", str(costume), "--wearer", wearer, "--out", out]
        seconds["layfigure make, cold cache"] = process_seconds(whole, Path(folder) / "make")
        seconds["layfigure make, cached"] = process_seconds(whole, Path(folder) / "make")
    return seconds


def stages(costume: Path, wearer: str) -> dict[str, float]:
    """Seconds of stages in one warm process, one worker."""
    folder = open_costume(costume)
    person = folder.wearer(wearer)
    seconds: dict[str, float] = {}
    seconds["template body"] = timed(neutral_body)
    graph = Graph(Cache())
    work = plan(folder, person, graph)
    seconds["study"] = timed(work.study.value)
    seconds["fit, cold"] = timed(work.body.value)
    seconds["place"] = timed(work.placed.value)
    for slug, node in work.drafts.items():
        seconds[f"draft {slug}"] = timed(lambda node=node: _drafted(node))
    seconds["all drafts, first wearer"] = sum(value for name, value in seconds.items() if "draft" in name)
    name = next(name for name in ("waist_girth", "hip_girth", *person.measures) if name in person.measures)
    changed = replace(person, measures={**person.measures, name: person.measures[name] * 1.01})
    again = plan(folder, changed, graph)
    seconds["one changed measure: fit"] = timed(again.body.value)
    seconds["one changed measure: place"] = timed(again.placed.value)
    seconds["one changed measure: every piece"] = timed(lambda: draft_all(again))
    with tempfile.TemporaryDirectory() as out:
        seconds["writing every output"] = timed(lambda: make(work, Path(out) / "out"))
    return seconds


def _drafted(node: Any) -> None:
    try:
        node.value()
    except Exception as error:  # a refusal is a result too; the report lists it
        print(f"  refused: {error}")


def main() -> None:
    costume = Path(sys.argv[1]) if len(sys.argv) > 1 else Path("examples/brindle")
    wearer = next(iter(open_costume(costume).wearers))
    whole = commands(costume, wearer)
    baseline = whole["baseline: import numpy and scipy"]
    inside = stages(costume, wearer)
    result = {
        "costume": costume.name,
        "python": platform.python_version(),
        "peak_memory_of_one_command_mb": round(
            resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 1024.0, 1
        ),
        "seconds": {name: round(value, 4) for name, value in {**whole, **inside}.items()},
        "ratio_to_baseline": {
            name: round(value / baseline, 2) for name, value in {**whole, **inside}.items()
        },
    }
    RESULT.parent.mkdir(exist_ok=True)
    RESULT.write_text(json.dumps(result, indent=1) + "\n", encoding="utf-8")
    for name, value in {**whole, **inside}.items():
        print(f"{value:8.3f} s  {value / baseline:7.2f} x  {name}")


if __name__ == "__main__":
    main()
