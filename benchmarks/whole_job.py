"""How long the main job takes on the demonstration: stages in one process and two, and whole commands.

Every time is also given as a ratio to one named baseline of the same run: importing numpy and scipy in a new
process, which no command can do without. Beside seconds on the clock stand seconds of processor time, which a
busy machine disturbs less. Run: python -m benchmarks.whole_job [COSTUME]

"One changed measure" and "new wearer" are waited for in warm processes: loaded are the modules, the template,
the design's own meshes and what the pictures read as. Pieces are made as they are cut; close cloth is laid on
the standing wearer when outputs are written. Body, edges and pieces are made from nothing each time, the body
too. A fit that starts from an earlier one (the "warm" of ``body_fit``) ends within hundredths of a millimetre
of it, but not at the same bytes, and saves little: only the body on screen is sought that way.
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
from concurrent.futures import wait
from dataclasses import dataclass, replace
from pathlib import Path
from statistics import median
from typing import Any

from layfigure.body.wearer import Wearer
from layfigure.errors import DraftError
from layfigure.pipeline.folder import CostumeFolder, open_costume
from layfigure.pipeline.make import make
from layfigure.pipeline.stages import neutral_body
from layfigure.pipeline.work import Work, draft_all, drafting_pool, plan
from layfigure.recompute.cache import Cache
from layfigure.recompute.graph import Graph
from layfigure.recompute.pool import WorkerPool

RESULT = Path(__file__).parent / "results" / "whole_job.json"
BASELINE = "import numpy, scipy.sparse.linalg, scipy.spatial, scipy.optimize"
REPEATS = 3
CHANGES = (1.01, 1.02, 0.99, 1.03, 0.98, 1.015, 0.985, 1.025, 0.995)
"""Factors on one girth, each a body never seen before; medians are given."""


@dataclass(frozen=True, slots=True)
class Took:
    """Seconds on the clock, and of the processor in this process alone, not in a worker; None for whole
    commands.
    """

    wall: float
    cpu: float | None = None


def timed(work: Callable[[], Any]) -> Took:
    wall, cpu = time.perf_counter(), time.process_time()
    work()
    return Took(time.perf_counter() - wall, time.process_time() - cpu)


def middle(times: list[Took]) -> Took:
    return Took(median(t.wall for t in times), median(t.cpu for t in times if t.cpu is not None))


def process_seconds(arguments: list[str], cache: Path) -> Took:
    environment = {**os.environ, "LAYFIGURE_CACHE": str(cache)}
    start = time.perf_counter()
    subprocess.run(arguments, env=environment, check=False, capture_output=True)
    return Took(time.perf_counter() - start)


def commands(costume: Path, wearer: str) -> dict[str, Took]:
    """Whole processes, the median of a few runs."""
    took: dict[str, Took] = {}
    program = [sys.executable, "-m", "layfigure.cli.main"]
    place = [*program, "place", str(costume), "--wearer", wearer, "--json"]
    with tempfile.TemporaryDirectory() as folder:
        caches = [Path(folder) / f"cache{k}" for k in range(REPEATS)]

        def several(arguments: list[str], where: list[Path]) -> Took:
            return Took(median(process_seconds(arguments, cache).wall for cache in where))

        same = [caches[0]] * REPEATS
        took["baseline: import numpy and scipy"] = several([sys.executable, "-c", BASELINE], same)
        took["layfigure --help"] = several([*program, "--help"], same)
        took["layfigure place, cold cache"] = several(place, caches)
        took["layfigure place, cached"] = several(place, same)
        whole = [*program, "make", str(costume), "--wearer", wearer, "--out", str(Path(folder) / "out")]
        took["layfigure make, cold cache"] = process_seconds(whole, Path(folder) / "make")
        took["layfigure make, cached"] = process_seconds(whole, Path(folder) / "make")
    return took


def stages(costume: CostumeFolder, person: Wearer) -> dict[str, Took]:
    """Stages in one warm process, and then with one warm worker beside it."""
    took = {"template body": timed(neutral_body)}
    graph = Graph(Cache())
    work = plan(costume, person, graph)
    took["study"] = timed(work.study.value)
    took["first fit"] = timed(work.body.value)
    took["first place"] = timed(work.placed.value)
    for slug, node in work.drafts.items():
        took[f"first draft {slug}"] = timed(lambda node=node: _drafted(node))
    with tempfile.TemporaryDirectory() as out:
        took["writing every output"] = timed(lambda: make(work, Path(out) / "out"))
        took["writing every output, nothing changed"] = timed(lambda: make(work, Path(out) / "out"))
    took |= redrafts(costume, person, work)
    return took


def redrafts(costume: CostumeFolder, person: Wearer, first: Work) -> dict[str, Took]:
    """From one changed girth, and from another wearer, to every piece: with one process and with two."""
    others = [other for other in map(costume.wearer, costume.wearers) if other.name != person.name]
    bodies = _with_one_girth_changed(person)
    # Workers remember what they made, so that nobody may come twice.
    strangers = [body for other in others for body in (other, *_with_one_girth_changed(other))]
    pool = drafting_pool(first.graph, workers=1)
    assert pool is not None
    parts: dict[str, list[Took]] = {}
    with pool:
        # Warm as this process is: each has drafted one wearer's pieces.
        wait([pool.submit(node) for node in first.drafts.values()])
        for title, wearers in (("one changed measure", bodies), ("new wearer", strangers)):
            for wearer in wearers:
                for helper in (None, pool):
                    for what, took in _all_pieces(costume, wearer, first, helper).items():
                        parts.setdefault(f"{title}, {what}", []).append(took)
    return {what: middle(times) for what, times in parts.items()}


def _with_one_girth_changed(person: Wearer) -> list[Wearer]:
    name = next(name for name in ("waist_girth", "hip_girth", *person.measures) if name in person.measures)
    return [
        replace(person, measures={**person.measures, name: person.measures[name] * factor})
        for factor in CHANGES
    ]


def _all_pieces(
    costume: CostumeFolder, wearer: Wearer, first: Work, pool: WorkerPool | None
) -> dict[str, Took]:
    """One wearer's body, edges and pieces, nothing of hers remembered."""
    work = plan(costume, wearer, Graph(Cache()))
    work.study.learn(first.study.value())
    if pool is None:
        parts = {"fit": timed(work.body.value), "place": timed(work.placed.value)}
        for slug, node in work.drafts.items():
            parts[f"draft {slug}"] = timed(lambda node=node: _drafted(node))
        return {**parts, "one process: all": _sum(parts)}
    return {"two processes: all": timed(lambda: draft_all(work, pool=pool))}


def _sum(parts: dict[str, Took]) -> Took:
    return Took(sum(t.wall for t in parts.values()), sum(t.cpu or 0.0 for t in parts.values()))


def _drafted(node: Any) -> None:
    try:
        node.value()
    except DraftError as error:  # a refusal is a result too; the report lists it
        print(f"  refused: {error}")


def main() -> None:
    costume = Path(sys.argv[1]) if len(sys.argv) > 1 else Path("examples/brindle")
    folder = open_costume(costume)
    wearer = next(iter(folder.wearers))
    took = commands(costume, wearer)
    baseline = took["baseline: import numpy and scipy"].wall
    peak = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 1024.0
    load = os.getloadavg()[0]
    took |= stages(folder, folder.wearer(wearer))
    result = {
        "costume": costume.name,
        "python": platform.python_version(),
        "load of the machine before": round(load, 2),
        "peak_memory_of_one_command_mb": round(peak, 1),
        "seconds": {name: round(t.wall, 4) for name, t in took.items()},
        "processor_seconds": {name: round(t.cpu, 4) for name, t in took.items() if t.cpu is not None},
        "ratio_to_baseline": {name: round(t.wall / baseline, 2) for name, t in took.items()},
    }
    RESULT.parent.mkdir(exist_ok=True)
    RESULT.write_text(json.dumps(result, indent=1) + "\n", encoding="utf-8")
    for name, t in took.items():
        cpu = "        " if t.cpu is None else f"{t.cpu:8.3f}"
        print(f"{t.wall:8.3f} s {cpu} cpu {t.wall / baseline:7.2f} x  {name}")


if __name__ == "__main__":
    main()
