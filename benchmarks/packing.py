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
import shapely
from shapely import Polygon

from layfigure.lay.clean import clean_outline
from layfigure.lay.layout import Surface, Zone, polygon_area
from layfigure.lay.part import Part
from layfigure.lay.roll import lay_roll
from layfigure.lay.sheets import Board, lay_on_boards, sheets_bound
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


HIDE_SCALE = 0.25
"""A hide of the leather instances is about 9,000 long: a quarter makes it 2.2 m, as a hide is."""


def hide_surface(number: int, hide: dict[str, Any]) -> Surface:
    shape = hide["shape"]["data"]
    rings = [np.array(shape["outer"]), *(np.array(hole) for hole in shape.get("inner", []))]
    rings = [ring[:-1] * HIDE_SCALE for ring in rings]
    low = rings[0].min(axis=0)
    # An outline that touches itself is mended by the largest part of what it holds.
    area = shapely.make_valid(Polygon(rings[0] - low))
    largest = max(shapely.get_parts(area), key=lambda part: float(part.area))
    return Surface(
        name=f"hide {number + 1}",
        outline=shapely.get_coordinates(largest.exterior)[:-1],
        flaws=tuple(ring - low for ring in rings[1:]),
        zones=tuple(
            Zone(
                quality=10 - zone["quality"], outline=np.array(zone["shape"]["data"])[:-1] * HIDE_SCALE - low
            )
            for zone in hide["zones"]
        ),
    )


def hides(data: Path, seconds: float) -> None:
    """Every leather instance: all parts on as few hides as can be, none on a flaw or in a zone too poor."""
    for path in sorted((data / "leather").glob("*.json*")):
        instance = load(path)
        name = path.name.split(".")[0]
        surfaces = [hide_surface(number, hide) for number, hide in enumerate(instance["bins"])]
        parts = [
            Part(
                slug=f"p{item['id']}",
                label=f"part {item['id']}",
                outline=clean_outline(np.array(item["shape"]["data"]) * HIDE_SCALE, f"part {item['id']}"),
                count=item["demand"],
                turns=None,
                # Here a higher number is the better leather, and nothing said asks for the best (as the
                # data's own reader has it, from memory); ours counts the other way.
                quality=1 if item.get("min_quality") is None else 10 - item["min_quality"],
            )
            for item in instance["items"]
        ]
        boards = [
            Board(
                name=one.name,
                width=float(np.ptp(one.outline[:, 1])),
                length=float(np.ptp(one.outline[:, 0])),
                count=1,
                surface=one,
                at_home=False,
            )
            for one in surfaces
        ]
        # The largest hides first: fewer of them are cut into.
        boards.sort(key=lambda board: -board.area)
        start = time.process_time()
        sections, lost = lay_on_boards(parts, boards, seconds=seconds, seed=1, must_all=False)
        spent = time.process_time() - start
        faults = [fault for section in sections for fault in section_faults(section)]
        assert not faults, faults
        used = sum(section.used for section in sections)
        whole = [section.area for section in sections]
        result = {
            "parts": sum(part.count for part in parts),
            "laid": sum(len(section.laid) for section in sections),
            "no room": len(lost),
            "hides": len(sections),
            "hides by area alone": fewest_by_area(used, [surface_area(one) for one in surfaces]),
            "density": round(100.0 * used / sum(whole), 1),
            "density of the fullest": round(100.0 * max(section.density for section in sections), 1),
            "faults": len(faults),
            "processor": round(spent, 1),
        }
        keep("hides", name, result)
        print(name, result, flush=True)


def surface_area(surface: Surface) -> float:
    return polygon_area(surface.outline) - sum(polygon_area(flaw) for flaw in surface.flaws)


def fewest_by_area(area: float, hides: list[float]) -> int:
    """Hides that would do if leather could be melted: a bound that no layout can reach."""
    for number, total in enumerate(np.cumsum(sorted(hides, reverse=True)), 1):
        if total >= area:
            return number
    return len(hides)


def sheets(seconds: float) -> None:
    """Random plates, gores and rings on sheets of a metre by a metre, beside the bound by area."""
    random = np.random.default_rng(7)
    for name, count in (("30 parts", 30), ("60 parts", 60), ("120 parts", 120)):
        parts = [random_plate(random, number) for number in range(count)]
        board = Board(name="sheet", width=1000.0, length=1000.0)
        start = time.process_time()
        sections, _ = lay_on_boards(parts, [board], seconds=seconds, seed=1)
        spent = time.process_time() - start
        faults = [fault for section in sections for fault in section_faults(section)]
        assert not faults, faults
        result = {
            "parts": count,
            "sheets": len(sections),
            "sheets by area alone": sheets_bound(parts, board),
            "density": round(100.0 * sum(s.used for s in sections) / sum(s.area for s in sections), 1),
            "density of the fullest": round(100.0 * max(s.density for s in sections), 1),
            "faults": len(faults),
            "processor": round(spent, 1),
        }
        keep("sheets", name, result)
        print(name, result, flush=True)


def random_plate(random: np.random.Generator, number: int) -> Part:
    """A four- to seven-cornered plate, a gore or part of a ring, 8 to 45 cm long, as armour is made of."""
    kind = number % 3
    long = random.uniform(80.0, 450.0)
    if kind == 0:
        angles = np.sort(random.uniform(0.0, 2.0 * np.pi, int(random.integers(4, 8))))
        radius = 0.5 * long * random.uniform(0.7, 1.0, len(angles))
        outline = np.column_stack([radius * np.cos(angles), 0.7 * radius * np.sin(angles)])
        outline = np.asarray(shapely.MultiPoint(outline).convex_hull.exterior.coords)[:-1]
    elif kind == 1:
        along = np.linspace(0.0, 1.0, 15)
        half = 0.16 * long * np.sin(0.5 * np.pi * along)
        side = np.column_stack([long * (1.0 - along), half])
        outline = np.vstack([side, (side * [1.0, -1.0])[::-1][:-1]])
    else:
        sweep, inner = random.uniform(0.6, 1.8), random.uniform(0.5, 0.75)
        angles = np.linspace(0.0, sweep, 16)
        arc = 0.5 * long / np.sin(0.5 * sweep) * np.column_stack([np.cos(angles), np.sin(angles)])
        outline = np.vstack([arc, inner * arc[::-1]])
    name = f"plate {number}"
    return Part(slug=f"p{number}", label=name, outline=clean_outline(outline, name), turns=None)


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
    # Without a word, what needs no data from elsewhere.
    parser.add_argument("what", nargs="?", default="sheets", choices=["strips", "hides", "sheets"])
    parser.add_argument("--data", type=Path)
    parser.add_argument("--seconds", type=int, nargs="+", default=[20, 60])
    parser.add_argument("--seeds", type=int, nargs="+", default=[1, 2, 3])
    parser.add_argument("--only", nargs="*", default=[])
    parser.add_argument("--threads", type=int, default=2)
    parser.add_argument(
        "--stretch", type=float, default=1.0, help="clock seconds for each second of the budget"
    )
    asked = parser.parse_args()
    if asked.what == "hides":
        hides(asked.data, float(asked.seconds[0]))
    elif asked.what == "sheets":
        sheets(float(asked.seconds[0]))
    else:
        strips(asked.data, asked.seconds, asked.seeds, asked.only, asked.stretch, asked.threads)


if __name__ == "__main__":
    main()
