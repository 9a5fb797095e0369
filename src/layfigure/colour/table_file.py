"""Colours from an instrument: CIELAB or spectra, as CGATS text or as a plain table with commas."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from layfigure.colour.cielab import adapted, lab_of_xyz, xyz_of_lab
from layfigure.colour.light import White, on_waves, xyz_of_reflectance
from layfigure.errors import FileError, FileSyntaxError
from layfigure.files.toml import read_text_file

Array = NDArray[np.float64]

_LAB = (("lab_l", "l", "l*"), ("lab_a", "a", "a*"), ("lab_b", "b", "b*"))
_NAMES = ("sample_name", "sample_loc", "sample_id", "name", "patch")
_WAVE = re.compile(r"(?:spectral_?)?(?:nm|pct)?_?(\d{3}(?:\.\d+)?)(?:nm)?$")
_LEAST_WAVES = 16
_ADVICE = (
    "Give each patch a line under a heading: name,L,a,b or name,400,410,420 and on (reflectances, 0 to 1)."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class TableColour:
    """One line. lab : (3,) under D65. reflectance : (81,) where the file has spectra."""

    lab: Array
    reflectance: Array | None = None


def read_colour_table(path: Path, *, illuminant: White | None, where: str) -> dict[str, TableColour]:
    """Colours by name. illuminant : the white the CIELAB is for; spectra need none. where : who asks.

    CGATS: the keyword file of ISO 28178 (BEGIN_DATA_FORMAT, BEGIN_DATA). Raises FileError with the line.
    """
    text = read_text_file(path, what="the table of colours")
    head, rows = _cgats(text, path.name) if "BEGIN_DATA_FORMAT" in text else _commas(text, path.name)
    keys = [key.strip().strip('"').lower() for key in head]
    names = next((keys.index(name) for name in _NAMES if name in keys), None)
    lab = [next((keys.index(word) for word in words if word in keys), -1) for words in _LAB]
    found_waves = [(k, float(match[1])) for k, key in enumerate(keys) if (match := _WAVE.match(key))]
    spectral = len(found_waves) >= _LEAST_WAVES
    if names is None or (not spectral and min(lab) < 0):
        raise FileError(
            "the table has no names, or neither CIELAB nor spectra.", where=path.name, advice=_ADVICE
        )
    if not spectral and illuminant is None:
        raise FileError(
            "CIELAB values mean nothing without their light.",
            where=where,
            advice='Write illuminant = "D50" or "D65", as the instrument or the chart\'s sheet says.',
        )
    found: dict[str, TableColour] = {}
    for line, cells in rows:
        place = f"{path.name}, line {line}"
        if len(cells) != len(keys):
            raise FileError(f"{len(keys)} values are wanted and {len(cells)} are there.", where=place)
        name = cells[names].strip().strip('"')
        if name in found:
            raise FileError(f"patch {name!r} is there twice.", where=place, advice="Name each once.")
        if spectral:
            values = _numbers([cells[k] for k, _ in found_waves], place)
            found[name] = _from_spectrum(values, np.array([wave for _, wave in found_waves]), place)
        else:
            assert illuminant is not None
            found[name] = TableColour(
                lab=lab_as_in_daylight(_numbers([cells[k] for k in lab], place), illuminant, place)
            )
    if not found:
        raise FileError("the table has no colours.", where=path.name, advice=_ADVICE)
    return found


def read_spectrum(path: Path) -> Array:
    """(81,) one reflectance: two columns, wavelength [nm] and reflectance, with a heading. Raises
    FileError.
    """
    text = read_text_file(path, what="the spectrum")
    head, rows = _commas(text, path.name)
    if len(head) != 2:
        raise FileError(
            "a spectrum has two columns.", where=path.name, advice="Write: wavelength_nm,reflectance"
        )
    pairs = np.array([_numbers(cells[:2], f"{path.name}, line {line}") for line, cells in rows]).reshape(
        -1, 2
    )
    return _spectrum(pairs[:, 0], pairs[:, 1], path.name)


def lab_as_in_daylight(lab: Sequence[float] | Array, illuminant: White, where: str) -> Array:
    """(3,) CIELAB under D65 of CIELAB under another daylight. Raises FileError for what is no colour."""
    values = np.asarray(lab, dtype=np.float64)
    if not (0.0 <= values[0] <= 100.0 and np.abs(values[1:]).max() <= 128.0):
        raise FileError(
            "these are no CIELAB values of a surface.",
            where=where,
            advice="L* lies between 0 and 100, a* and b* between -128 and 128.",
        )
    if illuminant == "D65":
        return values
    return lab_of_xyz(adapted(xyz_of_lab(values, illuminant), illuminant))


def _from_spectrum(values: Array, waves: Array, where: str) -> TableColour:
    reflectance = _spectrum(waves, values, where)
    return TableColour(lab=lab_of_xyz(xyz_of_reflectance(reflectance, "D65")), reflectance=reflectance)


def _spectrum(waves: Array, values: Array, where: str) -> Array:
    order = np.argsort(waves)
    waves, values = waves[order], values[order]
    enough = len(waves) >= _LEAST_WAVES and waves[0] <= 420.0 and waves[-1] >= 680.0
    if not enough or len(np.unique(waves)) != len(waves):
        raise FileError(
            "a spectrum needs 16 or more different wavelengths, from 420 nm or less to 680 nm or more.",
            where=where,
        )
    if values.max() > 1.5:
        values = values / 100.0
    if values.min() < -0.02 or values.max() > 1.2:
        raise FileError(
            "these are no reflectances.", where=where, advice="Write shares from 0 to 1, or per cent."
        )
    return on_waves(waves, np.clip(values, 0.0, 1.0))


def _commas(text: str, name: str) -> tuple[list[str], list[tuple[int, list[str]]]]:
    lines = [
        (number, line)
        for number, line in enumerate(text.splitlines(), start=1)
        if line.strip() and not line.lstrip().startswith("#")
    ]
    if len(lines) < 2:
        raise FileError("the table is empty.", where=name, advice=_ADVICE)
    mark = next((mark for mark in (";", "\t", ",") if mark in lines[0][1]), ",")
    rows = [(number, [cell.strip() for cell in line.split(mark)]) for number, line in lines]
    return rows[0][1], rows[1:]


def _cgats(text: str, name: str) -> tuple[list[str], list[tuple[int, list[str]]]]:
    head: list[str] = []
    rows: list[tuple[int, list[str]]] = []
    part = ""
    for number, line in enumerate(text.splitlines(), start=1):
        word = line.strip()
        if word in ("BEGIN_DATA_FORMAT", "BEGIN_DATA"):
            part = word
        elif word in ("END_DATA_FORMAT", "END_DATA"):
            part = ""
        elif part == "BEGIN_DATA_FORMAT":
            head += word.split()
        elif part == "BEGIN_DATA" and word:
            rows.append((number, re.findall(r'"[^"]*"|\S+', word)))
    if not head or not rows:
        raise FileSyntaxError(
            "the CGATS file has no data.", where=name, advice="Save it again as CGATS text."
        )
    return head, rows


def _numbers(cells: Sequence[str], where: str) -> Array:
    try:
        values = np.array([float(cell) for cell in cells])
    except ValueError:
        bad = next((cell for cell in cells if not _is_number(cell)), "")
        raise FileError(f"{bad!r} is no number.", where=where, advice="Use a decimal point.") from None
    if not np.isfinite(values).all():
        raise FileError("a value is missing or endless.", where=where)
    return values


def _is_number(cell: str) -> bool:
    try:
        float(cell)
    except ValueError:
        return False
    return True


Tables = Mapping[str, Mapping[str, TableColour]]
