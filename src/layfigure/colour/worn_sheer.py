"""A sheer over what lies beneath, as it is worn: its coverage, and what the two look like together."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from layfigure.colour.cielab import lab_of_xyz
from layfigure.colour.colours import Sheer
from layfigure.colour.difference import ciede2000
from layfigure.colour.light import xyz_of_reflectance
from layfigure.colour.measured import DRAWS, Measured
from layfigure.colour.sheer import (
    PLAIN,
    SPREAD_LIGHT,
    coverage_on_two_grounds,
    over,
    stretched_coverage,
)

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class JudgedSheer:
    """A sheer. coverage : share at rest and as worn, each with its spread (5 and 95 of 100)."""

    sheer: Sheer
    rest: tuple[float, float, float] = (0.0, 0.0, 0.0)
    worn: tuple[float, float, float] = (0.0, 0.0, 0.0)
    problem: str = ""


def worn_sheer(sheer: Sheer, things: Mapping[str, Measured]) -> tuple[JudgedSheer, Measured]:
    """The sheer stretched as worn over what lies beneath it, and what the two look like as one thing."""
    problem = _problem(sheer, things)
    if problem:
        return JudgedSheer(sheer=sheer, problem=problem), Measured(
            slug=sheer.slug, name=sheer.name, problem=problem
        )
    best_beneath, beneath = things[sheer.over].spectra()
    grounds = sheer.grounds
    if grounds is None:
        assert sheer.coverage is not None
        best_rest, rest = np.array(sheer.coverage), np.full(DRAWS, sheer.coverage)
    else:
        four = [
            things[name].spectra()
            for name in (grounds.over_light, grounds.light, grounds.over_dark, grounds.dark)
        ]
        best_rest, best_threads = coverage_on_two_grounds(*(best for best, _ in four))
        rest, threads = coverage_on_two_grounds(*(draws for _, draws in four))
    if sheer.threads:
        best_threads, threads = things[sheer.threads].spectra()
    worn = stretched_coverage(rest, *sheer.stretch)
    # How far light runs inside the threads is not known: every draw has its own.
    n = np.linspace(PLAIN, SPREAD_LIGHT, DRAWS)
    np.random.default_rng(90).shuffle(n)
    mixed = over(threads, beneath, worn[:, None], n[:, None])
    best_worn = stretched_coverage(best_rest, *sheer.stretch)
    middle = over(best_threads, best_beneath, best_worn, 0.5 * (PLAIN + SPREAD_LIGHT))
    lab = lab_of_xyz(xyz_of_reflectance(middle, "D65"))
    cloud = lab_of_xyz(xyz_of_reflectance(mixed, "D65"))
    thing = Measured(
        slug=sheer.slug,
        name=sheer.name,
        lab=lab,
        best=middle,
        reflectances=mixed,
        sure_to=float(np.quantile(ciede2000(cloud, lab), 0.95)),
        exact=all(things[name].exact for name in _parts(sheer)),
        skin=things[sheer.over].skin,
    )
    return JudgedSheer(sheer=sheer, rest=_range(rest, best_rest), worn=_range(worn, best_worn)), thing


def _parts(sheer: Sheer) -> list[str]:
    """Slugs of every sample that the answer hangs on."""
    names = [sheer.over, *([sheer.threads] if sheer.threads else [])]
    if sheer.grounds is not None:
        names += [sheer.grounds.over_light, sheer.grounds.light, sheer.grounds.over_dark, sheer.grounds.dark]
    return names


def _problem(sheer: Sheer, things: Mapping[str, Measured]) -> str:
    parts = [things[name] for name in dict.fromkeys(_parts(sheer))]
    told: dict[str, list[str]] = {}
    for thing in parts:
        if thing.lab is None or not thing.told:
            told.setdefault(thing.problem or "no grey card is in the photograph", []).append(thing.name)
    return "; ".join(f"{', '.join(names)}: {problem}" for problem, names in told.items())


def _range(values: Array, best: Array) -> tuple[float, float, float]:
    low, high = (float(value) for value in np.quantile(values, [0.05, 0.95]))
    return float(best), low, high
