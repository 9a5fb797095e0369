"""A wearer who is measured sitting: what her heights would be standing.

Fractions keep their standing definition on every body, so a seated wearer needs standing heights too. They
are guessed, with their spread, from lengths taken on the seat: trunk, thigh, lower leg. Soldiers were
measured both ways (ANSUR II); bodies that differ from theirs, by a curved spine say, are why each guess
carries a spread and why the toile decides.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from layfigure.body.measures import CATALOGUE
from layfigure.body.prior import Guess

Points = NDArray[np.float64]
Sex = Literal["woman", "man"]

TAPE = 5.0
"""One standard deviation of a length taken on the seat by a helper [mm] (common practice, no source)."""


@dataclass(frozen=True, slots=True, eq=False)
class _Model:
    names: tuple[str, ...]
    mean: Points
    covariance: Points


def standing_heights(
    seated: Mapping[str, float], sex: Sex | None = None, *, known: Mapping[str, float] | None = None
) -> dict[str, Guess]:
    """Standing heights by stored name, from lengths taken on the seat by stored name [mm].

    known : standing heights that were taken all the same. Nothing without a seated measure. Paired heights
    follow the lengths of their own side.
    """
    if not seated:
        return {}
    model = _model(sex or "both")
    known = known or {}
    found: dict[str, Guess] = {}
    for side in ("left", "right"):
        given = _of_side({**seated, **known}, side, model.names)
        values, spreads = _conditional(model, given)
        for name, value, spread in zip(model.names, values, spreads, strict=True):
            measure = CATALOGUE[name]
            if not measure.standing or name in given:
                continue
            stored = f"{name}_{side}" if measure.paired else name
            if stored in known:
                continue
            if stored in found:  # an unpaired height, guessed from either side
                value, spread = 0.5 * (found[stored].value + value), max(found[stored].spread, spread)
            found[stored] = Guess(float(value), float(spread))
    return found


def _of_side(measures: Mapping[str, float], side: str, names: tuple[str, ...]) -> dict[str, float]:
    """Measures of one side, and the unpaired ones, by bare name; the other side's where this has none."""
    other = "right" if side == "left" else "left"
    given = {}
    for name in names:
        for stored in (name, f"{name}_{side}", f"{name}_{other}"):
            if stored in measures:
                given[name] = measures[stored]
                break
    return given


def _conditional(model: _Model, given: Mapping[str, float]) -> tuple[Points, Points]:
    """Means and standard deviations of every measure of the model, given some (a normal distribution)."""
    at = [model.names.index(name) for name in given]
    wanted = np.array(list(given.values()))
    seen = model.covariance[np.ix_(at, at)] + TAPE**2 * np.eye(len(at))
    gain = np.linalg.solve(seen, model.covariance[at]).T
    mean = model.mean + gain @ (wanted - model.mean[at])
    left = np.diag(model.covariance) - np.einsum("ij,ji->i", gain, model.covariance[at])
    return mean, np.sqrt(np.maximum(left, 1.0))


@cache
def _model(sex: str) -> _Model:
    text = files("layfigure.body").joinpath("data/seated.json").read_text(encoding="utf-8")
    data = json.loads(text)
    names = tuple(data["names"])
    covariance = np.zeros((len(names), len(names)))
    covariance[np.tril_indices(len(names))] = data[sex]["covariance"]
    covariance = covariance + np.tril(covariance, -1).T
    return _Model(names, np.array(data[sex]["mean"]), covariance)
