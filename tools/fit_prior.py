"""Fit the population prior on the open surveys and write src/layfigure/body/data/prior.json.

Usage: python tools/fit_prior.py SURVEYS_FOLDER

SURVEYS_FOLDER holds ansur2_male.csv.gz, ansur2_female.csv.gz, nhanes_bmx_2017_2020_male.csv.gz and
nhanes_bmx_2017_2020_female.csv.gz (public domain). Rows whose index, counted from 0, ends in 7, 8 or 9 are
left out of the shipped fit, so that anybody may test on them. Only means and covariances are written.
"""

from __future__ import annotations

import csv
import gzip
import json
import sys
import tomllib
from pathlib import Path
from typing import Any

import numpy as np

from layfigure.body.prior import COMMON

ROOT = Path(__file__).resolve().parents[1]
DATA = ROOT / "src/layfigure/body/data"
HIDDEN = {
    "bicepscircumferenceflexed": "upper_arm_girth_flexed",
    "forearmcircumferenceflexed": "forearm_girth_flexed",
}
FILE_SEX = {"female": "woman", "male": "man"}
Table = dict[str, np.ndarray]


def read_table(path: Path) -> Table:
    """Numeric columns of a survey file, (people,) each."""
    with gzip.open(path, "rt", newline="") as file:
        rows = list(csv.DictReader(file))
    table: Table = {}
    for column in rows[0]:
        try:
            table[column] = np.array([float(row[column]) for row in rows])
        except ValueError:
            continue
    return table


def soldiers(folder: Path, sex: str) -> Table:
    """Measures of one sex of ANSUR II [mm, kg] by measure name, with the two flexed girths beside them."""
    table = read_table(folder / f"ansur2_{sex}.csv.gz")
    used = tomllib.loads((DATA / "survey_columns.toml").read_text(encoding="utf-8"))["ansur"]["used"]
    people = {measure: table[column] for column, measure in used.items()}
    people["body_mass"] = people["body_mass"] / 10.0
    people["waist_height"] = (table["tenthribheight"] + table["iliocristaleheight"]) / 2.0
    rise = people["waist_height"] - people["waist_navel_height"]
    people["nape_to_waist"] = people["nape_to_waist_navel"] - rise
    people["crotch_length"] = people["crotch_length_navel"] + 2.0 * rise
    return people | {name: table[column] for column, name in HIDDEN.items()}


def public(folder: Path, sex: str) -> Table:
    """Measures of one sex of NHANES [mm, kg] by measure name."""
    table = read_table(folder / f"nhanes_bmx_2017_2020_{sex}.csv.gz")
    used = tomllib.loads((DATA / "survey_columns.toml").read_text(encoding="utf-8"))["nhanes"]["used"]
    return {m: table[column] * (1.0 if m == "body_mass" else 10.0) for column, m in used.items()}


def kept_for_fitting(count: int) -> np.ndarray:
    """True for the rows the shipped fit uses, (count,)."""
    return np.arange(count) % 10 < 7


def lower_triangle(people: np.ndarray) -> list[float]:
    """Lower triangle of the covariance of logarithms, row by row."""
    covariance = np.cov(people, rowvar=False)
    return [float(f"{value:.6e}") for value in covariance[np.tril_indices(len(covariance))]]


def fit(ansur: dict[str, Table], nhanes: dict[str, Table]) -> dict[str, Any]:
    """Means and covariances of logarithms, by sex."""
    names = list(ansur["woman"])
    fitted: dict[str, Any] = {"names": names, "soldiers": {}, "public": {}, "upper_arm": {}}
    for sex in ("woman", "man"):
        people = np.log(np.stack([ansur[sex][name] for name in names], axis=1))
        common = np.log(np.stack([nhanes[sex][name] for name in COMMON], axis=1))
        fitted["soldiers"][sex] = {
            "mean": [round(float(value), 7) for value in people.mean(axis=0)],
            "covariance": lower_triangle(people),
        }
        fitted["public"][sex] = {
            "mean": [round(float(value), 7) for value in common.mean(axis=0)],
            "covariance": lower_triangle(common),
        }
        fitted["upper_arm"][sex] = upper_arm_bridge(people, names, common)
    return fitted


def upper_arm_bridge(soldiers: np.ndarray, names: list[str], common: np.ndarray) -> dict[str, float]:
    """Ratio of the relaxed upper arm (public) to the flexed one (soldiers), and its spread.

    Both are regressed on stature, mass, waist and hip; the ratio is that of the two predictions at the
    soldiers' mean, the spread what the public's residual has beyond the soldiers'.
    """
    basis = [names.index(name) for name in COMMON[:4]]
    design = np.column_stack([np.ones(len(soldiers)), soldiers[:, basis]])
    flexed = soldiers[:, names.index("upper_arm_girth_flexed")]
    flexed_slopes = np.linalg.lstsq(design, flexed, rcond=None)[0]
    general = np.column_stack([np.ones(len(common)), common[:, :4]])
    slopes = np.linalg.lstsq(general, common[:, 4], rcond=None)[0]
    extra = (common[:, 4] - general @ slopes).var() - (flexed - design @ flexed_slopes).var()
    ratio = np.exp((design @ (slopes - flexed_slopes)).mean())
    return {"ratio": round(float(ratio), 5), "spread": round(float(np.sqrt(max(extra, 0.01**2))), 5)}


def main(folder: Path) -> None:
    """Fit and write."""
    ansur = {name: soldiers(folder, sex) for sex, name in FILE_SEX.items()}
    nhanes = {name: public(folder, sex) for sex, name in FILE_SEX.items()}
    for tables in (ansur, nhanes):
        for sex, table in tables.items():
            kept = kept_for_fitting(len(table["stature"]))
            tables[sex] = {name: values[kept] for name, values in table.items()}
    fitted = fit(ansur, nhanes)
    fitted["source"] = (
        "Means and covariances of natural logarithms of measures [mm, kg], no person's data. "
        "Soldiers: ANSUR II, 2012, US Army Natick (Gordon et al., NATICK/TR-15/007, 2014), public domain. "
        "Public: NHANES 2017 to March 2020, US Centers for Disease Control and Prevention, public domain. "
        "Fitted by tools/fit_prior.py on the rows whose index does not end in 7, 8 or 9."
    )
    text = json.dumps(fitted, separators=(",", ":"))
    (DATA / "prior.json").write_text(
        text.replace('"soldiers"', '\n"soldiers"').replace('"public"', '\n"public"') + "\n"
    )
    print(f"wrote {DATA / 'prior.json'}")


if __name__ == "__main__":
    main(Path(sys.argv[1]))
