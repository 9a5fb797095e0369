"""Derive src/layfigure/colour/data/observer.csv and lights.csv.

Usage: python tools/build_colour_tables.py

The numbers are the International Commission on Illumination's (CIE 015:2018, Colorimetry, 4th edition: the
1931 observer of 2 degrees, illuminants A, D50, D65, FL2, FL11 and the typical LED light B3), read from the
tables that colour-science 0.4.7 carries (BSD-3-Clause), every 5 nm from 380 to 780 nm.
"""

from __future__ import annotations

import warnings
from pathlib import Path

import numpy as np

with warnings.catch_warnings():
    warnings.simplefilter("ignore")
    import colour

DATA = Path(__file__).resolve().parent.parent / "src/layfigure/colour/data"
LIGHTS = ("D65", "D50", "A", "FL2", "FL11", "LED-B3")
SHAPE = colour.SpectralShape(380, 780, 5)


def write(name: str, head: list[str], columns: np.ndarray) -> None:
    """One table, a row a wavelength."""
    waves = SHAPE.range()
    rows = [",".join(["wavelength_nm", *head])]
    rows += [
        ",".join([f"{wave:g}", *(f"{value:.10g}" for value in row)])
        for wave, row in zip(waves, columns, strict=True)
    ]
    (DATA / name).write_text("\n".join(rows) + "\n", encoding="utf-8")


def main() -> None:
    """Both tables."""
    observer = colour.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"].copy().align(SHAPE)
    write("observer.csv", ["x", "y", "z"], observer.values)
    powers = [colour.SDS_ILLUMINANTS[name].copy().align(SHAPE).values for name in LIGHTS]
    write("lights.csv", list(LIGHTS), np.column_stack(powers))


if __name__ == "__main__":
    main()
