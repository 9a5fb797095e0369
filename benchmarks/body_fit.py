"""Fit bodies to people of the 2012 Anthropometric Survey of US Army Personnel and say how well it went.

    python benchmarks/body_fit.py FOLDER --people 100 --output benchmarks/results/body_fit.json
    python benchmarks/body_fit.py FOLDER --people 100 --calibrate FILE

FOLDER holds ansur2_female.csv.gz and ansur2_male.csv.gz (public domain). ``--people`` is a number a sex drawn
with ``--seed``; 0 takes everybody. Times are processor time of one thread, so that other work on the machine
does not count. Calibration and scoring should use different seeds.
"""

from __future__ import annotations

import argparse
import csv
import gzip
import json
import time
import tomllib
from collections import Counter, defaultdict
from importlib.resources import files
from pathlib import Path

import numpy as np

from layfigure.body.arm_room import arm_depth
from layfigure.body.fit import TOLERANCE, FitResult, fit_form
from layfigure.body.fit_plausibility import surprise, surprising_measures
from layfigure.body.form import Form
from layfigure.body.measures import CATALOGUE, split_name
from layfigure.body.tape_measures import READERS
from layfigure.body.template import load_template
from layfigure.body.wearer import Survey
from layfigure.errors import LayfigureError

ALARM_SHARE = 0.05


def people(folder: Path, count: int, seed: int) -> list[tuple[Survey, dict[str, float]]]:
    """Sex and measures of the drawn people; a measure taken once stands for both sides."""
    text = files("layfigure.body").joinpath("data/survey_columns.toml").read_text(encoding="utf-8")
    columns = tomllib.loads(text)["ansur"]["used"]
    drawn: list[tuple[Survey, dict[str, float]]] = []
    said: tuple[tuple[str, Survey], ...] = (("female", "woman"), ("male", "man"))
    for sex, survey in said:
        with gzip.open(folder / f"ansur2_{sex}.csv.gz", "rt", encoding="utf-8") as stream:
            rows = list(csv.DictReader(stream))
        chosen = range(len(rows))
        if count:
            chosen = np.random.default_rng(seed).choice(len(rows), min(count, len(rows)), replace=False)
        drawn.extend(
            (
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
    return drawn


def steepest_wall(form: Form) -> float:
    """Largest change of the torso's mean radius over its height armpit to crotch; 1 is 45 degrees."""
    chart = form.charts["torso"]
    inside = chart.stations > 0.7
    radius = chart.girths[inside] / (2 * np.pi)
    return float(np.abs(np.diff(radius) / np.diff(chart.sections[inside, :, 2].mean(axis=1))).max())


def sharpest_bend(form: Form) -> float:
    """Largest curvature of the torso's mean radius along its height [1/m], between armpit and crotch."""
    chart = form.charts["torso"]
    inside = chart.stations > 0.7
    z = np.linspace(
        chart.sections[inside, :, 2].mean(axis=1)[-1], chart.sections[inside, :, 2].mean(axis=1)[0], 40
    )
    heights = chart.sections[inside, :, 2].mean(axis=1)
    radius = np.interp(z, heights[::-1], (chart.girths[inside] / (2 * np.pi))[::-1])
    step = z[1] - z[0]
    return float(1000.0 * np.abs(np.diff(radius, 2) / step**2).max())


def legs_cross(form: Form) -> int:
    """Vertices of one leg that stand on the other's side of the middle."""
    count = 0
    for side, sign in (("left", 1.0), ("right", -1.0)):
        for part in ("thigh", "shank"):
            faces = form.standing.faces[form.face_region == form.region_names.index(f"{part}_{side}")]
            low = form.standing.vertices[np.unique(faces)]
            low = low[low[:, 2] < form.level_heights["crotch"] - 30.0]
            count += int((low[:, 0] * sign < -0.5).sum())
    return count


def arms_inside(form: Form) -> float:
    """How far forearms and hands reach into trunk or thigh [mm]; 0 where they are clear."""
    return max(arm_depth(load_template(), form.standing.vertices), 0.0)


def summary(values: list[float]) -> dict[str, float]:
    found = np.array(values)
    return {
        "median": round(float(np.median(found)), 4),
        "p95": round(float(np.percentile(found, 95)), 4),
        "max": round(float(found.max()), 4),
    }


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawTextHelpFormatter)
    parser.add_argument("folder", type=Path)
    parser.add_argument("--people", type=int, default=100)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--output", type=Path)
    parser.add_argument("--calibrate", type=Path)
    arguments = parser.parse_args()
    drawn = people(arguments.folder, arguments.people, arguments.seed)
    fit_form(drawn[0][1], wearer="warm up")
    results: list[FitResult] = []
    cold: list[float] = []
    warm: list[float] = []
    warm_misses: list[float] = []
    failures: Counter[str] = Counter()
    for sex, measures in drawn:
        start = time.process_time()
        try:
            result = fit_form(measures, wearer="person", sex=sex)
        except (LayfigureError, ValueError, IndexError, FloatingPointError) as error:
            failures[type(error).__name__] += 1
            continue
        cold.append(time.process_time() - start)
        results.append(result)
        changed = measures | {"hip_girth": measures["hip_girth"] + 10.0}
        start = time.process_time()
        again = fit_form(changed, wearer="person", previous=result.state, sex=sex)
        warm.append(time.process_time() - start)
        warm_misses.append(max(abs(v) for v in again.residuals.values()))
    if arguments.calibrate:
        calibrate(results, arguments.calibrate, arguments)
    worst = [max(abs(v) for v in r.residuals.values()) for r in results]
    unmet: Counter[str] = Counter()
    misses: dict[str, list[float]] = defaultdict(list)
    for result in results:
        for name, miss in result.residuals.items():
            misses[split_name(name)[0].name].append(abs(miss))
            if abs(miss) > TOLERANCE:
                unmet[split_name(name)[0].name] += 1
    report = {
        "data": "ANSUR II, 2012 (public domain), 70 % of people",
        "people": len(drawn),
        "drawn": "all" if not arguments.people else f"{arguments.people} a sex, seed {arguments.seed}",
        "binding_measures": len(results[0].residuals),
        "guiding_measures": sorted(
            {split_name(n)[0].name for n in drawn[0][1] if n not in results[0].residuals}
        ),
        "failures": dict(failures),
        "residual_mm_all": summary([v for values in misses.values() for v in values]),
        "largest_residual_a_person_mm": summary(worst),
        "share_of_people_all_within_1_mm": round(float(np.mean(np.array(worst) <= TOLERANCE)), 4),
        "unmet_by_measure": dict(unmet.most_common()),
        "steepest_wall": summary([steepest_wall(r.form) for r in results]),
        "sharpest_bend_per_m": summary([sharpest_bend(r.form) for r in results]),
        "vertices_of_legs_across_the_middle": summary([float(legs_cross(r.form)) for r in results]),
        "arms_inside_trunk_mm": summary([arms_inside(r.form) for r in results]),
        "alarms": round(float(np.mean([bool(surprising_measures(r.scales)) for r in results])), 4),
        "cold_fit_s": summary(cold),
        "warm_fit_s": summary(warm),
        "largest_residual_after_a_change_mm": summary(warm_misses),
    }
    text = json.dumps(report, indent=2)
    print(text)
    if arguments.output:
        arguments.output.write_text(text + "\n", encoding="utf-8")


def calibrate(results: list[FitResult], path: Path, arguments: argparse.Namespace) -> None:
    """Write how far step C usually moves every measure, and the threshold that alarms on 5 % of people."""
    scales: dict[str, list[float]] = defaultdict(list)
    for result in results:
        for name, scale in result.scales.items():
            scales[split_name(name)[0].name].append(scale)
    usual = {name: (float(np.mean(s)), max(float(np.std(s)), 0.002)) for name, s in sorted(scales.items())}
    highest = [
        max(
            abs(s - usual[split_name(n)[0].name][0]) / usual[split_name(n)[0].name][1]
            for n, s in r.scales.items()
        )
        for r in results
    ]
    threshold = float(np.quantile(highest, 1.0 - ALARM_SHARE))
    lines = [
        "# How far step C of the fit usually still moves a measure: mean, standard deviation.",
        "# Written by benchmarks/body_fit.py --calibrate; means over people, nobody's measures.",
        f"# ANSUR II 2012 (public domain), {arguments.people} a sex, seed {arguments.seed}.",
        "# threshold: 5 % of these people have some measure further out than this many standard deviations.",
        f"threshold = {threshold:.2f}",
        "default_spread = 0.02",
        "",
        "[usual]",
        *(f"{name} = [{mean:.4f}, {spread:.4f}]" for name, (mean, spread) in usual.items()),
    ]
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")


__all__ = ["main", "surprise"]

if __name__ == "__main__":
    main()
