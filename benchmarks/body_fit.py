"""Fit bodies to people of the 2012 Anthropometric Survey of US Army Personnel and say how well it went.

    python benchmarks/body_fit.py FOLDER --people 0 --records FILE --output benchmarks/results/body_fit.json
    python benchmarks/body_fit.py FOLDER --people 0 --records FILE --calibrate TOML

FOLDER holds ansur2_female.csv.gz and ansur2_male.csv.gz (public domain). ``--people`` is a number a sex drawn
with ``--seed``; 0 takes everybody, in an order drawn with the seed. Every person is fitted with the sex said.
``--records`` keeps a line a person, without measures, so that a run which was broken off goes on where it
stopped; ``--minutes`` ends one early and reports on those done so far. Times are those of one processor,
so that other work on the machine counts little. Every tenth person is also fitted again from there with one
measure changed by 1 to 60 mm, and compared at every vertex with the fit from nothing; how far a body moves
for a tenth of a millimetre of that measure is read too. Every hundredth person is searched for faces that
pass through one another. ``--calibrate`` writes the alarm threshold from every second person, without the 60
people of tests/data; alarms are always counted on the others.
"""

from __future__ import annotations

import argparse
import csv
import gzip
import json
import time
import tomllib
from collections import Counter, defaultdict
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Any

import numpy as np
from scipy.spatial import cKDTree

from layfigure.body.fit import TOLERANCE, FitResult, fit_form, steepest_wall
from layfigure.body.fit_plausibility import surprising_measures
from layfigure.body.form import Form
from layfigure.body.measures import CATALOGUE, split_name
from layfigure.body.regions import region_faces
from layfigure.body.shape import form_of
from layfigure.body.tape_measures import READERS
from layfigure.body.template import load_template
from layfigure.body.wearer import Survey
from layfigure.errors import LayfigureError

ALARM_SHARE = 0.05
AGAIN_EVERY, SEARCH_EVERY = 10, 100
Person = tuple[str, Survey, dict[str, float]]


def people(folder: Path, count: int, seed: int) -> list[Person]:
    """Key, sex and measures of the drawn people; a measure taken once stands for both sides."""
    text = files("layfigure.body").joinpath("data/survey_columns.toml").read_text(encoding="utf-8")
    columns = tomllib.loads(text)["ansur"]["used"]
    drawn: list[Person] = []
    said: tuple[tuple[str, Survey], ...] = (("female", "woman"), ("male", "man"))
    for sex, survey in said:
        with gzip.open(folder / f"ansur2_{sex}.csv.gz", "rt", encoding="utf-8") as stream:
            rows = list(csv.DictReader(stream))
        size = min(count, len(rows)) if count else len(rows)
        chosen = np.random.default_rng(seed).choice(len(rows), size, replace=False)
        drawn.extend(
            (
                f"{sex} {k}",
                survey,
                {
                    stored: float(rows[int(k)][column])
                    for column, name in columns.items()
                    for stored in CATALOGUE[name].sided()
                    if stored in READERS
                },
            )
            for k in chosen
        )
    order = np.random.default_rng(seed).permutation(len(drawn))
    return [drawn[k] for k in order]


def torso_radius(form: Form) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Station, mean radius and height of the torso's sections from the armpit to the crotch."""
    chart = form.charts["torso"]
    inside = chart.stations > 0.7
    return (
        chart.stations[inside],
        chart.girths[inside] / (2 * np.pi),
        chart.sections[inside, :, 2].mean(axis=1),
    )


def added_by_correction(result: FitResult) -> tuple[float, float]:
    """What step B adds to the torso: largest slope, and largest curvature [1/m], of the radius it adds."""
    before = torso_radius(form_of(load_template(), result.state.shaped.coefficients))
    station, radius, height = torso_radius(result.form)
    added = radius - np.interp(station, before[0], before[1])
    even = np.linspace(height[-1], height[0], 40)
    smooth = np.interp(even, height[::-1], added[::-1])
    bend = 1000.0 * np.abs(np.diff(smooth, 2) / (even[1] - even[0]) ** 2).max()
    rise, down = np.diff(added), np.diff(height)
    # Where two levels lie on one height, as a seat may on the crotch's, a slope says nothing.
    apart = np.abs(down) > 1.0
    return float(np.abs(rise[apart] / down[apart]).max()), float(bend)


def legs_cross(form: Form) -> int:
    """Vertices of one leg that stand on the other's side of the middle, in either pose."""
    return sum(
        int((surface[rows, 0] * sign < -0.1).sum())
        for sign, rows in zip((1.0, -1.0), _legs(), strict=True)
        for surface in (form.standing.vertices, form.drafting.vertices)
    )


@cache
def _legs() -> tuple[np.ndarray, np.ndarray]:
    """Vertices of the left and of the right leg."""
    faces = region_faces()

    def rows(side: str) -> np.ndarray:
        legs = [faces.names.index(f"{part}_{side}") for part in ("thigh", "shank", "foot")]
        return np.unique(load_template().faces[np.isin(faces.face_region, legs)])

    return rows("left"), rows("right")


def passing_faces(form: Form) -> dict[str, int]:
    """Pairs of faces that pass through one another and share no vertex, by the regions they are of."""
    corners = form.standing.vertices[form.standing.faces]
    middle = corners.mean(axis=1)
    reach = np.linalg.norm(corners - middle[:, None], axis=2).max(axis=1)
    near = cKDTree(middle).query_pairs(24.0, output_type="ndarray")
    large = np.flatnonzero(reach > 12.0)
    others = cKDTree(middle).query_ball_point(middle[large], 2.0 * reach.max())
    wide = [(a, b) for a, found in zip(large, others, strict=True) for b in found if a != b]
    pairs = np.unique(np.sort(np.concatenate([near, np.array(wide).reshape(-1, 2)]), axis=1), axis=0)
    first, second = corners[pairs[:, 0]], corners[pairs[:, 1]]
    apart = (first.min(axis=1) > second.max(axis=1)) | (second.min(axis=1) > first.max(axis=1))
    faces = form.standing.faces[pairs]
    joined = (faces[:, 0, :, None] == faces[:, 1, None, :]).any(axis=(1, 2))
    pairs = pairs[~apart.any(axis=1) & ~joined]
    first, second = corners[pairs[:, 0]], corners[pairs[:, 1]]
    through = _pierces(first, second) | _pierces(second, first)
    names = np.array(form.region_names)[form.face_region[pairs[through]]]
    return dict(Counter(" and ".join(sorted(pair)) for pair in names.tolist()))


def _pierces(edges_of: np.ndarray, faces: np.ndarray) -> np.ndarray:
    """Whether any side of the first triangles passes through the second ones, (n,); (n, 3, 3) each."""
    normal = np.cross(faces[:, 1] - faces[:, 0], faces[:, 2] - faces[:, 0])
    hit = np.zeros(len(faces), dtype=bool)
    for k in range(3):
        start, end = edges_of[:, k], edges_of[:, (k + 1) % 3]
        low = np.einsum("nd,nd->n", start - faces[:, 0], normal)
        high = np.einsum("nd,nd->n", end - faces[:, 0], normal)
        crossing = low * high < 0.0
        share = np.where(crossing, low / np.where(crossing, low - high, 1.0), 0.0)
        place = start + share[:, None] * (end - start)
        inside = crossing
        for c in range(3):
            side = np.cross(faces[:, (c + 1) % 3] - faces[:, c], place - faces[:, c])
            inside = inside & (np.einsum("nd,nd->n", side, normal) >= 0.0)
        hit |= inside
    return hit


def record_of(number: int, key: str, sex: Survey, measures: dict[str, float]) -> dict[str, Any]:
    """One person's fit in numbers, without measures."""
    start = time.process_time()
    try:
        result = fit_form(measures, wearer="person", sex=sex)
    except (LayfigureError, ValueError, IndexError, FloatingPointError) as error:
        return {"key": key, "failure": type(error).__name__}
    record: dict[str, Any] = {"key": key, "number": number, "cold": time.process_time() - start}
    record["residuals"] = {name: round(miss, 4) for name, miss in result.residuals.items()}
    record["guided"] = {
        name: round(result.form.measures[name] - size, 1)
        for name, size in measures.items()
        if name not in result.residuals
    }
    record["scales"] = {name: round(scale, 6) for name, scale in result.scales.items()}
    record["step"], record["bend"] = added_by_correction(result)
    record["wall"] = steepest_wall(result.form)
    record["legs"] = legs_cross(result.form)
    record["warnings"] = len(result.warnings)
    if number % AGAIN_EVERY == 0:
        record |= fitted_again(number, sex, measures, result)
    if number % SEARCH_EVERY == 0:
        record["passing"] = passing_faces(result.form)
    return record


def fitted_again(number: int, sex: Survey, measures: dict[str, float], first: FitResult) -> dict[str, Any]:
    """One measure changed, from the first fit and from nothing: times, misses, and how far bodies differ."""
    random = np.random.default_rng(number)
    name = str(random.choice(sorted(measures)))
    change = float(np.exp(random.uniform(0.0, np.log(60.0))) * random.choice((-1.0, 1.0)))
    changed = measures | {name: measures[name] + change}
    found: dict[str, Any] = {}
    start = time.process_time()
    again = fit_form(changed, wearer="person", previous=first.state, sex=sex)
    found["warm"] = time.process_time() - start
    start = time.process_time()
    fit_form(changed, wearer="person", previous=first.state, sex=sex, bare=True)
    found["bare"] = time.process_time() - start
    found["warm_miss"] = max(abs(miss) for miss in again.residuals.values())
    found["warm_beside_cold"] = apart(again, fit_form(changed, wearer="person", sex=sex))
    nudged = measures | {name: measures[name] + 0.1}
    found["moved_a_mm"] = apart(fit_form(nudged, wearer="person", sex=sex), first) / 0.1
    return found


def apart(one: FitResult, other: FitResult) -> float:
    """How far apart two Forms are at the vertex where they differ most, standing or drafting [mm]."""
    return max(
        float(np.linalg.norm(a.vertices - b.vertices, axis=1).max())
        for a, b in (
            (one.form.standing, other.form.standing),
            (one.form.drafting, other.form.drafting),
        )
    )


def summary(values: list[float]) -> dict[str, float]:
    found = np.array(values)
    return {
        "median": round(float(np.median(found)), 4),
        "p95": round(float(np.percentile(found, 95)), 4),
        "max": round(float(found.max()), 4),
    }


def report_on(records: list[dict[str, Any]], drawn: int) -> dict[str, Any]:
    """The records in one table."""
    fitted = [r for r in records if "failure" not in r]
    worst = [max(abs(miss) for miss in r["residuals"].values()) for r in fitted]
    unmet: Counter[str] = Counter()
    guided: dict[str, list[float]] = defaultdict(list)
    for record in fitted:
        unmet.update({split_name(n)[0].name for n, v in record["residuals"].items() if abs(v) > TOLERANCE})
        for name, miss in record["guided"].items():
            guided[split_name(name)[0].name].append(miss)
    again = [r for r in fitted if "warm" in r]
    scored = [r for r in fitted if not r["number"] % 2]
    searched = [r["passing"] for r in fitted if "passing" in r]
    return {
        "data": "ANSUR II, 2012 (public domain)",
        "people": len(records),
        "drawn": f"{len(records)} of {drawn}, in random order",
        "sex": "said to every fit",
        "failures": dict(Counter(r["failure"] for r in records if "failure" in r)),
        "binding_measures": len(fitted[0]["residuals"]),
        "residual_mm_all": summary([abs(v) for r in fitted for v in r["residuals"].values()]),
        "largest_residual_a_person_mm": summary(worst),
        "share_of_people_all_within_1_mm": round(float(np.mean(np.array(worst) <= TOLERANCE)), 5),
        "people_unmet_by_measure": dict(unmet.most_common()),
        "guiding_measures_mean_and_deviation_mm": {
            name: [round(float(np.mean(v)), 1), round(float(np.std(v)), 1)]
            for name, v in sorted(guided.items())
        },
        "slope_added_by_step_B": summary([r["step"] for r in fitted]),
        "curvature_added_by_step_B_per_m": summary([r["bend"] for r in fitted]),
        "steepest_wall_under_bust_to_hip": summary([r["wall"] for r in fitted]),
        "people_whose_legs_cross": sum(r["legs"] > 0 for r in fitted),
        "searched_for_passing_faces": len(searched),
        "people_with_passing_faces_by_regions": dict(
            Counter(pair.replace("_left", "").replace("_right", "") for one in searched for pair in one)
        ),
        "alarms": round(float(np.mean([bool(surprising_measures(r["scales"])) for r in scored])), 4),
        "alarms_counted_on": len(scored),
        "cold_fit_s": summary([r["cold"] for r in fitted]),
        "people_fitted_again": len(again),
        "warm_fit_s": summary([r["warm"] for r in again]),
        "warm_fit_without_warnings_s": summary([r["bare"] for r in again]),
        "largest_residual_after_a_change_mm": summary([r["warm_miss"] for r in again]),
        "warm_beside_cold_mm": summary([r["warm_beside_cold"] for r in again]),
        "moved_a_mm_of_a_changed_measure_mm": summary([r["moved_a_mm"] for r in again]),
    }


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawTextHelpFormatter)
    parser.add_argument("folder", type=Path)
    parser.add_argument("--people", type=int, default=100)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--records", type=Path)
    parser.add_argument("--minutes", type=float, default=float("inf"))
    parser.add_argument("--output", type=Path)
    parser.add_argument("--calibrate", type=Path)
    arguments = parser.parse_args()
    end = time.monotonic() + 60.0 * arguments.minutes
    drawn = people(arguments.folder, arguments.people, arguments.seed)
    fit_form(drawn[0][2], wearer="warm up", sex=drawn[0][1])
    kept = (
        arguments.records.read_text().splitlines() if arguments.records and arguments.records.exists() else []
    )
    records = [json.loads(line) for line in kept]
    done = {record["key"] for record in records}
    for number, (key, sex, measures) in enumerate(drawn):
        if key in done:
            continue
        if time.monotonic() > end:
            break
        records.append(record_of(number, key, sex, measures))
        if arguments.records:
            with arguments.records.open("a", encoding="utf-8") as stream:
                stream.write(json.dumps(records[-1]) + "\n")
    if arguments.calibrate:
        tested = people_of_tests()
        strangers = {key for key, _, measures in drawn if _print_of(measures) not in tested}
        fits = [r["scales"] for r in records if r["key"] in strangers and r.get("number", 0) % 2]
        calibrate(fits, arguments.calibrate)
    text = json.dumps(report_on(records, len(drawn)), indent=2)
    print(text)
    if arguments.output:
        arguments.output.write_text(text + "\n", encoding="utf-8")


def people_of_tests() -> set[tuple[float, ...]]:
    """The people of tests/data, so that no alarm is tuned on them."""
    path = Path(__file__).resolve().parents[1] / "tests" / "data" / "ansur_60.csv"
    lines = [line for line in path.read_text(encoding="utf-8").splitlines() if not line.startswith("#")]
    rows = list(csv.DictReader(lines))
    return {
        _print_of({s: float(row[n]) for n in row if n != "sex" for s in CATALOGUE[n].sided()}) for row in rows
    }


def _print_of(measures: dict[str, float]) -> tuple[float, ...]:
    return tuple(
        measures[name] for name in ("stature", "bust_girth", "hip_girth", "nape_height", "neck_girth")
    )


def calibrate(fits: list[dict[str, float]], path: Path) -> None:
    """Write how far step B usually moves every measure, and the threshold that alarms on 5 % of people."""
    scales: dict[str, list[float]] = defaultdict(list)
    for fit in fits:
        for name, scale in fit.items():
            scales[split_name(name)[0].name].append(scale)
    usual = {name: (float(np.mean(s)), max(float(np.std(s)), 0.002)) for name, s in sorted(scales.items())}
    highest = [
        max(
            abs(s - usual[split_name(n)[0].name][0]) / usual[split_name(n)[0].name][1] for n, s in fit.items()
        )
        for fit in fits
    ]
    threshold = float(np.quantile(highest, 1.0 - ALARM_SHARE))
    lines = [
        "# How far step B of the fit usually still moves a measure: mean, standard deviation.",
        "# Written by benchmarks/body_fit.py --calibrate; means over people, nobody's measures.",
        f"# ANSUR II 2012 (public domain), {len(fits)} people, none of them in tests/data; sex said.",
        "# threshold: 5 % of these people have some measure further out than this many standard deviations.",
        f"threshold = {threshold:.2f}",
        "default_spread = 0.02",
        "",
        "[usual]",
        *(f"{name} = [{mean:.4f}, {spread:.4f}]" for name, (mean, spread) in usual.items()),
    ]
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
