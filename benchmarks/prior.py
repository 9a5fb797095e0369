"""How well missing measures are guessed, on people the shipped prior has not seen.

Usage: python benchmarks/prior.py SURVEYS_FOLDER

Writes benchmarks/results/prior.json: for several sets of tapes, the share of people within plus or minus two
stated spreads on both surveys, the error beside a least-squares predictor made for exactly that set of tapes,
the false alarms of the tape advice, and (where bdims.csv.gz is there: Heinz et al., Journal of Statistics
Education 11(2), 2003) how far the ratios from memory are from a third survey of ordinary people.
"""

from __future__ import annotations

import csv
import gzip
import json
import sys
import time
from pathlib import Path
from typing import Any

import numpy as np

from layfigure.body.measures import CATALOGUE
from layfigure.body.prior import Sex, estimate, tape_to_take_again
from layfigure.body.wearer import refuse_contradictions
from layfigure.errors import MeasureContradiction

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "tools"))
from fit_prior import FILE_SEX, HIDDEN, Table, kept_for_fitting, public, soldiers

FIRST = ("stature", "bust_girth", "waist_navel_girth", "hip_girth")
TWELVE = (
    *FIRST,
    "neck_girth",
    "thigh_girth",
    "calf_girth",
    "ankle_girth",
    "wrist_girth",
    "crotch_height",
    "arm_length",
    "nape_to_waist_navel",
)
SOLDIER_TAPES: dict[str, tuple[str, ...]] = {
    "stature": ("stature",),
    "stature and mass": ("stature", "body_mass"),
    "first costume": FIRST,
    "twelve tapes": TWELVE,
}
PUBLIC_TAPES: dict[str, tuple[str, ...]] = {
    "stature": ("stature",),
    "stature and mass": ("stature", "body_mass"),
    "stature and waist": ("stature", "waist_navel_girth"),
    "stature and hip": ("stature", "hip_girth"),
    "stature, waist and hip": ("stature", "waist_navel_girth", "hip_girth"),
    "all but one": (),
}
THREE = {"stature, waist and hip": PUBLIC_TAPES["stature, waist and hip"]}


def stored(name: str) -> tuple[str, ...]:
    return CATALOGUE[name].sided()


def guesses(
    people: Table, tapes: tuple[str, ...], wanted: list[str], sex: Sex | None
) -> tuple[np.ndarray, np.ndarray]:
    """Values and spreads, (people, wanted) each."""
    values, spreads = [], []
    for row in range(len(people["stature"])):
        taken = {name: float(people[tape][row]) for tape in tapes for name in stored(tape)}
        guess = estimate(taken, sex)
        values.append([guess[stored(name)[0]].value for name in wanted])
        spreads.append([guess[stored(name)[0]].spread for name in wanted])
    return np.array(values), np.array(spreads)


def least_squares(train: Table, test: Table, tapes: tuple[str, ...], wanted: list[str]) -> np.ndarray:
    """The predictor fitted to these tapes and this survey alone: logarithms, ordinary least squares."""

    def design(people: Table) -> np.ndarray:
        return np.column_stack([np.ones(len(people["stature"])), *(np.log(people[tape]) for tape in tapes)])

    slopes = np.linalg.lstsq(design(train), np.log(np.stack([train[n] for n in wanted], 1)), rcond=None)[0]
    return np.exp(design(test) @ slopes)


def summary(
    truth: np.ndarray, values: np.ndarray, spreads: np.ndarray, best: np.ndarray, wanted: list[str]
) -> dict[str, Any]:
    inside = np.abs(truth - values) <= 2.0 * spreads
    error = np.sqrt(((truth - values) ** 2).mean(0))
    reference = np.sqrt(((truth - best) ** 2).mean(0))
    return {
        "people": len(truth),
        "within two spreads": round(float(inside.mean()), 4),
        "error against least squares, median ratio": round(float(np.median(error / reference)), 4),
        "error against least squares, worst ratio": round(float((error / reference).max()), 4),
        "measures": {
            name: {
                "within": round(float(inside[:, k].mean()), 4),
                "rms": round(float(error[k]), 2),
                "least squares rms": round(float(reference[k]), 2),
            }
            for k, name in enumerate(wanted)
        },
    }


def on_survey(tables: dict[str, Table], sets: dict[str, tuple[str, ...]], know_sex: bool) -> dict[str, Any]:
    results: dict[str, Any] = {}
    for title, tapes in sets.items():
        for sex, table in tables.items():
            kept = kept_for_fitting(len(table["stature"]))
            train = {name: values[kept] for name, values in table.items()}
            test = {name: values[~kept] for name, values in table.items()}
            names = [name for name in table if name in CATALOGUE]
            rounds = (
                [(tuple(n for n in names if n != left), [left]) for left in names]
                if not tapes
                else [(tapes, [name for name in names if name not in tapes])]
            )
            parts = []
            for round_tapes, wanted in rounds:
                known: Any = sex if know_sex else None
                values, spreads = guesses(test, round_tapes, wanted, known)
                truth = np.stack([test[name] for name in wanted], 1)
                parts.append(
                    (truth, values, spreads, least_squares(train, test, round_tapes, wanted), wanted)
                )
            joined = [np.concatenate([part[k] for part in parts], axis=1) for k in range(4)]
            results[f"{title}, {sex}"] = summary(*joined, [name for part in parts for name in part[4]])
    return results


def alarms(tables: dict[str, Table]) -> dict[str, Any]:
    """How often the advice doubts careful tapes, and finds a slip written for both sides."""
    rng = np.random.default_rng(7)
    careful: list[bool] = []
    found: dict[int, list[bool]] = {50: [], 100: []}
    first: dict[int, list[bool]] = {50: [], 100: []}
    for sex, table in tables.items():
        known: Any = sex
        for row in np.flatnonzero(~kept_for_fitting(len(table["stature"])))[:300]:
            taken = {name: float(table[tape][row]) for tape in TWELVE for name in stored(tape)}
            careful.append(bool(tape_to_take_again(taken, known)))
            slip = str(rng.choice(["thigh_girth", "calf_girth", "arm_length", "crotch_height"]))
            way = rng.choice([-1.0, 1.0])
            for size in found:
                wrong = {name: taken[name] + way * size for name in stored(slip)}
                suspects = [s.name.removesuffix("_left") for s in tape_to_take_again(taken | wrong, known)]
                found[size].append(slip in suspects)
                first[size].append(suspects[:1] == [slip])
    return {
        "sets of twelve careful tapes": len(careful),
        "doubted": round(float(np.mean(careful)), 4),
        **{f"slips of {size} mm found": round(float(np.mean(hits)), 4) for size, hits in found.items()},
        **{f"slips of {size} mm named first": round(float(np.mean(hits)), 4) for size, hits in first.items()},
    }


def contradictions(tables: dict[str, Table]) -> int:
    """People of the survey whom the contradiction check would refuse: none should be."""
    refused = 0
    for table in tables.values():
        for row in range(len(table["stature"])):
            try:
                refuse_contradictions(
                    {s: float(v[row]) for n, v in table.items() if n in CATALOGUE for s in stored(n)}
                )
            except MeasureContradiction as error:
                refused += 1
                print("refused:", error.what)
    return refused


def third_survey(path: Path) -> dict[str, Any]:
    """Bias and coverage on bdims, given stature, mass, navel girth and hip, for what it measures our way."""
    columns = {
        "che_gi": "bust_girth",
        "wai_gi": "waist_narrowest_girth",
        "thi_gi": "thigh_girth",
        "kne_gi": "knee_girth",
        "cal_gi": "calf_girth",
        "ank_gi": "ankle_girth",
        "for_gi": "forearm_girth",
        "wri_gi": "wrist_girth",
        "sho_gi": "shoulder_girth",
    }
    with gzip.open(path, "rt") as file:
        rows = list(csv.DictReader(file))
    results: dict[str, Any] = {}
    for code, sex in (("1", "man"), ("0", "woman")):
        people = [row for row in rows if row["sex"] == code]
        logs = {name: [] for name in columns.values()}
        inside = dict.fromkeys(columns.values(), 0)
        for row in people:
            taken = {
                "stature": 10 * float(row["hgt"]),
                "body_mass": float(row["wgt"]),
                "waist_navel_girth": 10 * float(row["nav_gi"]),
                "hip_girth": 10 * float(row["hip_gi"]),
            }
            guess = estimate(taken, sex)  # type: ignore[arg-type]
            for column, name in columns.items():
                g = guess[stored(name)[0]]
                logs[name].append(np.log(10 * float(row[column]) / g.value))
                inside[name] += abs(10 * float(row[column]) - g.value) <= 2 * g.spread
        results[sex] = {
            name: {
                "bias": round(float(np.mean(v)), 4),
                "sd": round(float(np.std(v)), 4),
                "within two spreads": round(inside[name] / len(people), 4),
            }
            for name, v in logs.items()
        }
    return results


def main(folder: Path) -> None:
    started = time.perf_counter()
    ansur = {name: soldiers(folder, sex) for sex, name in FILE_SEX.items()}
    for table in ansur.values():
        for hidden in HIDDEN.values():
            table.pop(hidden)
    nhanes = {name: public(folder, sex) for sex, name in FILE_SEX.items()}
    results: dict[str, Any] = {
        "what": "people the shipped prior has not seen (row index ends in 7, 8, 9)",
        "soldiers, sex stated": on_survey(ansur, SOLDIER_TAPES, know_sex=True),
        "public, sex stated": on_survey(nhanes, PUBLIC_TAPES, know_sex=True),
        "soldiers, sex not stated": on_survey(ansur, {"first costume": FIRST}, know_sex=False),
        "public, sex not stated": on_survey(
            nhanes, {"stature, waist and hip": PUBLIC_TAPES["stature, waist and hip"]}, know_sex=False
        ),
        "tape advice": alarms(ansur),
        "people refused as contradictory": contradictions(ansur),
    }
    if (folder / "bdims.csv.gz").exists():
        results["third survey, given stature, mass, navel and hip girth"] = third_survey(
            folder / "bdims.csv.gz"
        )
    started = time.perf_counter() - started
    for title, part in results.items():
        if isinstance(part, dict):
            for key, value in part.items():
                short = (
                    {k: v for k, v in value.items() if k != "measures"} if isinstance(value, dict) else value
                )
                print(title, "|", key, "|", short)
    print(f"{started:.0f} s; contradictions {results['people refused as contradictory']}")
    target = Path(__file__).parent / "results/prior.json"
    target.write_text(json.dumps(results, indent=1) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main(Path(sys.argv[1]))
