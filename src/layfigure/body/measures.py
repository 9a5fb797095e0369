"""The catalogue of measures: what each is called, where the tape runs, and which sizes are unusual.

Names are written out in the words of the trade. A paired measure is always stored by side, as
``wrist_girth_left``; the bare name ``wrist_girth`` in a maker's file means both sides. There are three
waists and each has its own name: ``waist_girth`` (ISO 8559-1), ``waist_navel_girth`` and
``waist_narrowest_girth``.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from importlib.resources import files
from types import MappingProxyType
from typing import Literal, get_args

from layfigure.body.levels import Side
from layfigure.errors import MeasureError
from layfigure.files.nearest import did_you_mean

MeasureKind = Literal["height", "girth", "length", "breadth", "depth", "mass"]
Instrument = Literal["tape", "wall", "calipers", "scale"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Measure:
    """One measure of the catalogue.

    name : without a side. kind : what sort of length it is; ``mass`` is in kg, all others in mm.
    place : where the tape runs, in one plain clause. instrument : what it is taken with.
    region, level : the region without a side and its named level, empty where it lies between levels.
    iso : clause of ISO 8559-1:2017, empty where none is known to us. paired : read left and right.
    low, high : a size outside is unusual: take it again. standing : taken standing, and read so on the Form.
    """

    name: str
    kind: MeasureKind
    place: str
    instrument: Instrument
    low: float
    high: float
    region: str = ""
    level: str = ""
    iso: str = ""
    paired: bool = False
    standing: bool = True

    @property
    def words(self) -> str:
        """The name as spoken: ``waist girth``."""
        return self.name.replace("_", " ")

    @property
    def absurd_below(self) -> float:
        """No wearer has less: the unit or a digit is wrong. 0.55 of ``low`` reaches a small child."""
        return 0.55 * self.low

    @property
    def absurd_above(self) -> float:
        """No wearer has more: the unit or a digit is wrong. Girths vary far more than bones do."""
        return (1.7 if self.kind in ("girth", "mass", "depth") else 1.4) * self.high

    def sided(self) -> tuple[str, ...]:
        """The names it is stored under: one, or left and right."""
        return (f"{self.name}_left", f"{self.name}_right") if self.paired else (self.name,)


ALIASES: Mapping[str, str] = MappingProxyType(
    {
        "height": "stature",
        "weight": "body_mass",
        "mass": "body_mass",
        "chest_girth": "bust_girth",
        "chest": "bust_girth",
        "bust": "bust_girth",
        "waist": "waist_girth",
        "hip": "hip_girth",
        "seat_girth": "hip_girth",
        "inside_leg": "crotch_height",
        "biceps_girth": "upper_arm_girth",
    }
)
"""Everyday names a maker may write, and the measure each means."""


def _load() -> Mapping[str, Measure]:
    text = files("layfigure.body").joinpath("data/measures.toml").read_text(encoding="utf-8")
    catalogue: dict[str, Measure] = {}
    for name, row in tomllib.loads(text).items():
        assert row["kind"] in get_args(MeasureKind), name
        assert row["with"] in get_args(Instrument), name
        low, high = row["limits"]
        catalogue[name] = Measure(
            name=name,
            kind=row["kind"],
            place=row["place"],
            instrument=row["with"],
            low=float(low),
            high=float(high),
            region=row.get("region", ""),
            level=row.get("level", ""),
            iso=row.get("iso", ""),
            paired=row.get("paired", False),
            standing=row.get("standing", True),
        )
    return MappingProxyType(catalogue)


CATALOGUE: Mapping[str, Measure] = _load()
"""Every measure by name, heights first, then girths, lengths, breadths and mass."""


def split_name(name: str) -> tuple[Measure, Side]:
    """Measure and side of a stored name: ``wrist_girth_left`` gives wrist girth and ``left``.

    A paired measure must carry its side and any other must not. Raises MeasureError for anything else,
    with the nearest known name.
    """
    if name in CATALOGUE and not CATALOGUE[name].paired:
        return CATALOGUE[name], "middle"
    stem, _, side = name.rpartition("_")
    if stem in CATALOGUE and CATALOGUE[stem].paired:
        if side == "left":
            return CATALOGUE[stem], "left"
        if side == "right":
            return CATALOGUE[stem], "right"
    raise unknown_measure(name)


def spoken_name(name: str) -> str:
    """A stored name as spoken: ``left wrist girth``. Raises MeasureError for an unknown one."""
    measure, side = split_name(name)
    return measure.words if side == "middle" else f"{side} {measure.words}"


def stored_names(name: str) -> tuple[str, ...]:
    """Stored names that a name in a maker's file stands for.

    ``wrist_girth`` gives both sides, ``wrist_girth_left`` one, ``inside_leg`` its measure ``crotch_height``.
    Raises MeasureError for an unknown name, with the nearest known one.
    """
    bare = ALIASES.get(name, name)
    if bare in CATALOGUE:
        return CATALOGUE[bare].sided()
    stem, _, side = name.rpartition("_")
    stem = ALIASES.get(stem, stem)
    if side in ("left", "right") and stem in CATALOGUE and CATALOGUE[stem].paired:
        return (f"{stem}_{side}",)
    raise unknown_measure(name)


def all_stored_names() -> tuple[str, ...]:
    """Every stored name of a standing body, in the order of the catalogue, left before right."""
    return tuple(stored for measure in CATALOGUE.values() if measure.standing for stored in measure.sided())


def unknown_measure(name: str) -> MeasureError:
    """The error for a name the catalogue lacks, with the nearest known names."""
    stem, _, side = name.rpartition("_")
    if side in ("left", "right") and ALIASES.get(stem, stem) in CATALOGUE:
        return MeasureError(f"{stem} has no left and right.", advice=f"Write {stem} once.")
    if name in CATALOGUE:
        return MeasureError(f"{name} is read on two sides.", advice=f"Write {name}_left or {name}_right.")
    advice = did_you_mean(name, (*CATALOGUE, *ALIASES, *all_stored_names()))
    return MeasureError(
        f"there is no measure {name!r}.", advice=advice or "See 'layfigure schema wearer' for the list."
    )
