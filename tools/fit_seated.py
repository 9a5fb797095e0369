"""Fit how seated measures tell standing heights and write src/layfigure/body/data/seated.json.

Usage: python tools/fit_seated.py SURVEYS_FOLDER

ANSUR II (public domain) measured every soldier standing and seated. Rows whose index, counted from 0, ends in
7, 8 or 9 are left out, so that anybody may test on them. Only means and covariances are written.
"""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import Any

import numpy as np

from fit_prior import DATA, FILE_SEX, kept_for_fitting, read_table

STANDING = {
    "stature": "stature",
    "nape_height": "cervicaleheight",
    "front_neck_height": "suprasternaleheight",
    "shoulder_height": "acromialheight",
    "armpit_height": "axillaheight",
    "bust_height": "chestheight",
    "waist_navel_height": "waistheightomphalion",
    "hip_bone_height": "iliocristaleheight",
    "hip_height": "buttockheight",
    "crotch_height": "crotchheight",
    "knee_height": "kneeheightmidpatella",
    "ankle_height": "lateralmalleolusheight",
}
SEATED = {
    "sitting_height": "sittingheight",
    "buttock_knee_length": "buttockkneelength",
    "knee_height_sitting": "kneeheightsitting",
    "popliteal_height": "poplitealheight",
}


def people(folder: Path, sex: str) -> dict[str, np.ndarray]:
    """Measures of one sex [mm] by name; lengths from the seat follow from two heights and one length."""
    table = read_table(folder / f"ansur2_{sex}.csv.gz")
    found = {name: table[column] for name, column in {**STANDING, **SEATED}.items()}
    found["waist_height"] = 0.5 * (table["tenthribheight"] + table["iliocristaleheight"])
    below_crown = found["stature"] - found["sitting_height"]
    found["seat_to_nape"] = found["nape_height"] - below_crown
    found["seat_to_shoulder"] = found["shoulder_height"] - below_crown
    found["seat_to_waist"] = found["waist_height"] - below_crown
    return found


def fitted(rows: np.ndarray) -> dict[str, Any]:
    """Means and the lower triangle of the covariance, row by row."""
    covariance = np.cov(rows, rowvar=False)
    return {
        "mean": [round(float(value), 3) for value in rows.mean(axis=0)],
        "covariance": [round(float(value), 3) for value in covariance[np.tril_indices(len(covariance))]],
    }


def main(folder: Path) -> None:
    """Fit and write."""
    tables = {name: people(folder, sex) for sex, name in FILE_SEX.items()}
    names = sorted(tables["woman"])
    rows = {}
    for sex, table in tables.items():
        stacked = np.stack([table[name] for name in names], axis=1)
        rows[sex] = stacked[kept_for_fitting(len(stacked))]
    rows["both"] = np.concatenate([rows["woman"], rows["man"]])
    result = {
        "source": "Means [mm] and covariances [mm²], no person's data. ANSUR II, 2012, US Army Natick "
        "(Gordon et al., NATICK/TR-15/007, 2014), public domain. Fitted by tools/fit_seated.py on the rows "
        "whose index does not end in 7, 8 or 9.",
        "names": names,
        **{sex: fitted(values) for sex, values in rows.items()},
    }
    (DATA / "seated.json").write_text(json.dumps(result, indent=0) + "\n", encoding="utf-8")
    print(f"wrote {DATA / 'seated.json'}")


if __name__ == "__main__":
    main(Path(sys.argv[1]))
