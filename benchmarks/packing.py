"""Strips laid beside the best lengths known, hides filled round their flaws, sheets against the area bound.

    python -m benchmarks.packing strips --data DIR --seconds 20 60 --seeds 1 2 3
    python -m benchmarks.packing hides --data DIR
    python -m benchmarks.packing sheets

DIR holds ``strip/*.json``, ``leather/*.json`` and ``best_known.csv``: instances of the ESICUP data sets (CC0)
and of Gardeyn, Vanden Berghe and Wauters (2025) in the JSON of the repository sparrow at a4bfbbe0 (MIT); best
known lengths from doi 10.48550/arXiv.2509.13329; hides of Baldacci and others, Discrete Applied Mathematics
163 (2014). Results are written after every run, so that a part of them can be used.

Every strip is brought to 1.5 m of width, and its layout must stand the checker (0.02 mm). The gap is the best
density known less ours, in points. The clock of a busy machine says little: beside it stand the processor
seconds the search had, of the 2 x T that two quiet cores would give it.
"""

import argparse
import csv
import gzip
import json
import os
import resource
import statistics
import time
from pathlib import Path
from typing import Any

import numpy as np

from layfigure.lay.clean import clean_outline
from layfigure.lay.part import Part
from layfigure.lay.roll import lay_roll
from layfigure.lay.verify import section_faults

RESULTS = Path(__file__).parent / "results" / "packing.json"
WIDTH = 1500.0
GARMENT = "garment (literature)"


def load(path: Path) -> dict[str, Any]:
    text = gzip.decompress(path.read_bytes()) if path.suffix == ".gz" else path.read_bytes()
    return json.loads(text)


def find(folder: Path, name: str) -> dict[str, Any]:
    return load(next(path for path in folder.iterdir() if path.name.split(".")[0] == name))


def strip_parts(instance: dict[str, Any]) -> list[Part]:
    scale = WIDTH / instance["strip_height"]
    return [
        Part(
            slug=f"p{item['id']}",
            label=f"part {item['id']}",
            outline=clean_outline(np.array(item["shape"]["data"]) * scale, f"part {item['id']}"),
            count=item["demand"],
            turns=tuple(float(turn) for turn in item["allowed_orientations"]),
        )
        for item in instance["items"]
    ]


def run_strip(
    instance: dict[str, Any], best: float, seconds: int, clock: int, seed: int, threads: int
) -> dict[str, Any]:
    parts = strip_parts(instance)
    area = sum(part.area * part.count for part in parts)
    load_before = os.getloadavg()[0]
    children = resource.getrusage(resource.RUSAGE_CHILDREN)
    start = time.monotonic()
    section = lay_roll(parts, WIDTH, seconds=float(clock), seed=seed, threads=threads, plainer=0.0)
    spent = time.monotonic() - start
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    faults = section_faults(section)
    assert not faults, faults
    density = 100.0 * area / (WIDTH * section.length)
    return {
        "seconds": seconds,
        "seed": seed,
        "threads": threads,
        "clock": round(spent, 1),
        "processor": round(after.ru_utime + after.ru_stime - children.ru_utime - children.ru_stime, 1),
        "load": [round(load_before, 1), round(os.getloadavg()[0], 1)],
        "density": round(density, 3),
        "best_known": round(best, 3),
        "gap": round(best - density, 3),
    }


def strips(
    data: Path, seconds: list[int], seeds: list[int], names: list[str], stretch: float, threads: int
) -> None:
    with (data / "best_known.csv").open(encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    order = [row for row in rows if row["group"] == GARMENT] + [
        row for row in rows if row["group"] != GARMENT
    ]
    for seed in seeds:
        for budget in sorted(seconds, reverse=True):
            for row in order:
                if names and row["name"] not in names:
                    continue
                key = f"{row['name']} {budget} s, seed {seed}"
                if key in read().get("strips", {}):
                    continue
                best = max(float(row["best_density_pct"]), float(row["run_best_pct"] or 0.0))
                instance = find(data / "strip", row["name"])
                result = run_strip(instance, best, budget, round(budget * stretch), seed, threads)
                result["group"] = row["group"]
                keep("strips", key, result)
                print(key, result, flush=True)


def read() -> dict[str, Any]:
    return json.loads(RESULTS.read_text(encoding="utf-8")) if RESULTS.is_file() else {}


def keep(part: str, key: str, result: dict[str, Any]) -> None:
    whole = read()
    whole.setdefault(part, {})[key] = result
    if part == "strips":
        whole["summary"] = summary(whole[part])
    text = json.dumps(dict(sorted(whole.items(), reverse=True)), indent=1)
    RESULTS.write_text(text + "\n", encoding="utf-8")


def summary(runs: dict[str, dict[str, Any]]) -> dict[str, Any]:
    found: dict[str, Any] = {}
    for budget in sorted({run["seconds"] for run in runs.values()}):
        for group in sorted({run["group"] for run in runs.values()}):
            chosen = [run for run in runs.values() if run["seconds"] == budget and run["group"] == group]
            if chosen:
                gaps = [run["gap"] for run in chosen]
                found[f"{group}, {budget} s"] = {
                    "runs": len(gaps),
                    "mean gap": round(statistics.mean(gaps), 2),
                    "median gap": round(statistics.median(gaps), 2),
                    "worst gap": round(max(gaps), 2),
                    "processor seconds, median": statistics.median(run["processor"] for run in chosen),
                }
    return found


def main() -> None:
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("what", choices=["strips", "hides", "sheets"])
    parser.add_argument("--data", type=Path)
    parser.add_argument("--seconds", type=int, nargs="+", default=[20, 60])
    parser.add_argument("--seeds", type=int, nargs="+", default=[1, 2, 3])
    parser.add_argument("--only", nargs="*", default=[])
    parser.add_argument("--threads", type=int, default=2)
    parser.add_argument(
        "--stretch", type=float, default=1.0, help="clock seconds for each second of the budget"
    )
    asked = parser.parse_args()
    if asked.what == "strips":
        strips(asked.data, asked.seconds, asked.seeds, asked.only, asked.stretch, asked.threads)


if __name__ == "__main__":
    main()
