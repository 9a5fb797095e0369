"""What a body's other measures probably are, given the ones that were taken.

Two open surveys stand behind it: soldiers (ANSUR II, many measures) and the general public (NHANES, five
measures). In logarithms both are close to normal, so a *population* is a mean and a covariance: the soldiers
as surveyed, and the public, whose stature, mass, waist, hip and upper-arm girth follow NHANES and whose other
measures follow the soldiers' given those five. A wearer may come from either: the answer is the mixture, each
population weighted by how well it explains the tapes taken. Measures no survey has are stated ratios of
others (``data/ratios.toml``). Left and right are the body's mean with a difference of known spread.

Only means and covariances are shipped. Columns and what was left out: ``data/survey_columns.toml``; fitted by
``tools/fit_prior.py``.
"""

from __future__ import annotations

import json
import tomllib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from types import MappingProxyType
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from layfigure.body.measures import all_stored_names, split_name

Vector = NDArray[np.float64]
Matrix = NDArray[np.float64]
Sex = Literal["woman", "man"]

TAPE_ERROR = 0.005
"""One standard deviation of a careful tape, as a share: about 5 mm on a chest. Common practice."""

UNLIKE_SIDES: Mapping[str, float] = MappingProxyType(
    {"girth": 0.008, "length": 0.006, "height": 0.004, "breadth": 0.008, "depth": 0.008, "mass": 0.0}
)
"""One standard deviation of a side from the mean of both, as a share: from memory, no survey of ours has
pairs."""

PUBLIC_WEIGHT = 0.8
"""How much likelier a wearer is one of the public than a soldier, before any tape is read: a judgement.
With one tape the choice shows (the public's girths spread half as wide again), with four it hardly does. From
stature alone, two spreads hold 93 to 96 % of the public and 98 % of soldiers; at 0.5 they would hold 89 to
92 % of the public and still 97 % of soldiers, who are chosen people, so the wider answer stands."""

PUBLIC_RESIDUAL = 1.05
"""The public varies more about what its common measures predict than soldiers do, by this factor on the
spread: a compromise, since a third survey asks for about 1.25 and the soldiers for 1."""

COMMON: tuple[str, ...] = ("stature", "body_mass", "waist_navel_girth", "hip_girth", "upper_arm_girth")
"""The measures the general survey has, in the order of its mean and covariance."""


@dataclass(frozen=True, slots=True)
class Guess:
    """A measure nobody took: its value and one standard deviation [mm, or kg for the mass]."""

    value: float
    spread: float


@dataclass(frozen=True, slots=True)
class Suspicion:
    """A tape that does not fit the others: by how many standard deviations, and to which side."""

    name: str
    deviations: float

    @property
    def words(self) -> str:
        """Which way it is out, without a size."""
        way = "large" if self.deviations > 0 else "small"
        return f"{self.name} looks too {way} beside the other measures; take it again."


@dataclass(frozen=True, slots=True, eq=False)
class Population:
    """Logarithms of every stored measure of one population.

    sex : whose. names : stored names. mean : (n,). covariance : (n, n). weight : before any tape.
    """

    sex: Sex
    names: tuple[str, ...]
    mean: Vector
    covariance: Matrix
    weight: float


def estimate(measures: Mapping[str, float], sex: Sex | None = None) -> dict[str, Guess]:
    """Every measure of the catalogue that was not taken, with its spread.

    measures : stored name to mm (kg for the mass). sex : whose survey to guess from, None for both.
    Raises MeasureError for a name the catalogue does not have. Plus or minus two spreads holds about 95 %
    of people, see ``benchmarks/results/prior.json``.
    """
    taken = _checked(measures)
    populations = populations_of(sex)
    weights, conditionals = _explained(populations, taken)
    missing = [name for name in populations[0].names if name not in taken]
    index = [populations[0].names.index(name) for name in missing]
    means = np.stack([mean[index] for mean, _ in conditionals])
    variances = np.stack([np.diag(covariance)[index] for _, covariance in conditionals])
    # Mean and variance of a logarithmic normal, then of the mixture: girths have a long upper tail.
    sizes = np.exp(means + 0.5 * variances)
    values = weights @ sizes
    spreads = np.sqrt(weights @ (sizes**2 * np.expm1(variances) + (sizes - values) ** 2))
    return {
        name: Guess(float(value), float(spread))
        for name, value, spread in zip(missing, values, spreads, strict=True)
    }


def tape_to_take_again(
    measures: Mapping[str, float], sex: Sex | None = None, *, threshold: float = 2.7
) -> list[Suspicion]:
    """Tapes that fit the others badly, worst first.

    Each is compared with what all others predict; a measure taken on both sides is named without its side.
    The worst is set aside before the next is judged, so that
    one slip does not cast doubt on the tapes beside it. The threshold is in standard deviations: at 2.7 one
    careful set of twelve tapes in twenty raises a doubt.
    """
    remaining = dict(_checked(measures))
    doubts: list[Suspicion] = []
    while len(remaining) > 2:
        population = _best(populations_of(sex), remaining)
        judged = _judged(population, remaining)
        worst = max(judged, key=lambda name: abs(judged[name]))
        if abs(judged[worst]) < threshold:
            break
        doubts.append(Suspicion(worst, judged[worst]))
        remaining = {name: tape for name, tape in remaining.items() if worst not in (name, _base(name))}
    return doubts


def next_tape(
    measures: Mapping[str, float], wanted: Iterable[str], sex: Sex | None = None
) -> list[tuple[str, float]]:
    """Which tape would help most, best first: (stored name, share of the wanted spread it takes away).

    wanted : stored names whose guesses matter. Only measures a tape or a wall can take are offered.
    """
    taken = _checked(measures)
    population = _best(populations_of(sex), taken)
    mean, covariance = _conditional(population, taken)
    positions = {name: i for i, name in enumerate(population.names)}
    goal = [positions[name] for name in wanted if name not in taken]
    offered = [
        name
        for name in population.names
        if name not in taken and split_name(name)[0].instrument in ("tape", "wall")
    ]
    if not goal:
        return []
    # In millimetres, not shares: an ankle's height may be half as large again and matter to no piece.
    size = np.exp(mean[goal])
    before = size * np.sqrt(covariance[goal, goal])
    gains: list[tuple[str, float]] = []
    for name in offered:
        c = positions[name]
        cross = covariance[goal, c]
        rest = covariance[goal, goal] - cross**2 / (covariance[c, c] + TAPE_ERROR**2)
        left = size * np.sqrt(np.maximum(rest, 0.0))
        gains.append((name, float(1.0 - left.sum() / before.sum())))
    return sorted(gains, key=lambda gain: -gain[1])


def populations_of(sex: Sex | None) -> tuple[Population, ...]:
    """The shipped populations: soldiers and the public, of one sex or of both."""
    return tuple(p for p in shipped_populations() if sex is None or p.sex == sex)


@cache
def shipped_populations() -> tuple[Population, ...]:
    """Populations built from the shipped means and covariances."""
    folder = files("layfigure.body").joinpath("data")
    fitted = json.loads(folder.joinpath("prior.json").read_text(encoding="utf-8"))
    ratios = tomllib.loads(folder.joinpath("ratios.toml").read_text(encoding="utf-8"))
    return build_populations(fitted, ratios)


def build_populations(fitted: Mapping[str, Any], ratios: Mapping[str, Any]) -> tuple[Population, ...]:
    """Soldiers and public of each sex from fitted surveys and stated ratios.

    fitted : as ``tools/fit_prior.py`` writes it. ratios : as ``data/ratios.toml``.
    """
    built: list[Population] = []
    sexes: tuple[Sex, ...] = ("woman", "man")
    for column, sex in enumerate(sexes):
        soldiers = _with_upper_arm(fitted, sex)
        public = _with_common(*soldiers, fitted["public"][sex])
        for share, (names, mean, covariance) in ((1.0 - PUBLIC_WEIGHT, soldiers), (PUBLIC_WEIGHT, public)):
            complete = _with_ratios(names, mean, covariance, ratios, column)
            built.append(_sided(sex, share, *complete))
    return tuple(built)


_Gaussian = tuple[tuple[str, ...], Vector, Matrix]


def _with_upper_arm(fitted: Mapping[str, Any], sex: str) -> _Gaussian:
    """The soldiers, with the relaxed upper arm as the flexed one times a ratio fitted to the public."""
    names = tuple(fitted["names"])
    survey = fitted["soldiers"][sex]
    bridge = fitted["upper_arm"][sex]
    covariance = _symmetric(survey["covariance"], len(names))
    row = np.zeros(len(names))
    row[names.index("upper_arm_girth_flexed")] = 1.0
    return _appended(
        names,
        np.array(survey["mean"]),
        covariance,
        "upper_arm_girth",
        row,
        float(np.log(bridge["ratio"])),
        bridge["spread"],
    )


def _with_common(
    names: tuple[str, ...], mean: Vector, covariance: Matrix, survey: Mapping[str, Any]
) -> _Gaussian:
    """The public: common measures as its own survey has them, the rest as the soldiers' given those."""
    common = [names.index(name) for name in COMMON]
    slopes = np.linalg.solve(covariance[np.ix_(common, common)], covariance[common]).T
    shift = np.array(survey["mean"]) - mean[common]
    explained = slopes @ covariance[np.ix_(common, common)] @ slopes.T
    residual = PUBLIC_RESIDUAL**2 * (covariance - explained)
    public = slopes @ _symmetric(survey["covariance"], len(COMMON)) @ slopes.T
    return names, mean + slopes @ shift, public + residual


def _with_ratios(
    names: tuple[str, ...], mean: Vector, covariance: Matrix, ratios: Mapping[str, Any], column: int
) -> _Gaussian:
    """Every measure no survey has, as a product of powers of those before it."""
    for measure, rule in ratios.items():
        row = np.zeros(len(names))
        for source, power in rule["from"].items():
            row[names.index(source)] = power
        names, mean, covariance = _appended(
            names, mean, covariance, measure, row, float(np.log(rule["ratio"][column])), rule["spread"]
        )
    return names, mean, covariance


def _appended(
    names: tuple[str, ...],
    mean: Vector,
    covariance: Matrix,
    name: str,
    row: Vector,
    constant: float,
    spread: float,
) -> _Gaussian:
    """One more variable, ``row @ x + constant`` with independent noise of the given spread."""
    cross = covariance @ row
    grown = np.block([[covariance, cross[:, None]], [cross[None, :], np.array([[row @ cross + spread**2]])]])
    return (*names, name), np.append(mean, row @ mean + constant), grown


def _sided(sex: Sex, weight: float, names: tuple[str, ...], mean: Vector, covariance: Matrix) -> Population:
    """Stored names: a paired measure becomes left and right about their mean."""
    stored = all_stored_names()
    base = [names.index(split_name(name)[0].name) for name in stored]
    sides = np.zeros((len(stored), len(stored)))
    for i, name in enumerate(stored):
        measure, side = split_name(name)
        if measure.paired:
            variance = UNLIKE_SIDES[measure.kind] ** 2
            sides[i, i] = variance
            sides[i, i + (1 if side == "left" else -1)] = -variance
    return Population(sex, stored, mean[base], covariance[np.ix_(base, base)] + sides, weight)


def _symmetric(lower: Sequence[float], size: int) -> Matrix:
    """A full symmetric matrix from its lower triangle, row by row."""
    full = np.zeros((size, size))
    full[np.tril_indices(size)] = lower
    whole: Matrix = full + np.tril(full, -1).T
    return whole


def _checked(measures: Mapping[str, float]) -> dict[str, float]:
    for name in measures:
        split_name(name)
    return {name: float(value) for name, value in measures.items()}


def _observed(population: Population, taken: Mapping[str, float]) -> tuple[list[int], Vector, Matrix]:
    """Positions, deviations from the mean and covariance of the tapes taken, with their own error."""
    positions = {name: i for i, name in enumerate(population.names)}
    seen = [positions[name] for name in taken]
    deviations = np.log(np.array(list(taken.values()))) - population.mean[seen]
    block = population.covariance[np.ix_(seen, seen)] + TAPE_ERROR**2 * np.eye(len(seen))
    return seen, deviations, block


def _conditional(population: Population, taken: Mapping[str, float]) -> tuple[Vector, Matrix]:
    """Mean and covariance of all measures given the tapes taken."""
    if not taken:
        return population.mean, population.covariance
    seen, deviations, block = _observed(population, taken)
    gain = np.linalg.solve(block, population.covariance[seen]).T
    return population.mean + gain @ deviations, population.covariance - gain @ population.covariance[seen]


def _log_evidence(population: Population, taken: Mapping[str, float]) -> float:
    """Logarithm of weight times likelihood of the tapes taken, up to a constant."""
    prior = float(np.log(population.weight))
    if not taken:
        return prior
    _, deviations, block = _observed(population, taken)
    _, determinant = np.linalg.slogdet(block)
    return prior - 0.5 * float(determinant + deviations @ np.linalg.solve(block, deviations))


def _explained(
    populations: Sequence[Population], taken: Mapping[str, float]
) -> tuple[Vector, list[tuple[Vector, Matrix]]]:
    """Weight of every population after the tapes taken, and its measures given them."""
    evidence = np.array([_log_evidence(population, taken) for population in populations])
    weights = np.exp(evidence - evidence.max())
    weights /= weights.sum()
    return weights, [_conditional(population, taken) for population in populations]


def _best(populations: Sequence[Population], taken: Mapping[str, float]) -> Population:
    return max(populations, key=lambda population: _log_evidence(population, taken))


def _judged(population: Population, taken: Mapping[str, float]) -> dict[str, float]:
    """Every tape against what the others predict, in standard deviations.

    The two sides of a measure are judged as their mean, under the measure's own name: they mostly come from
    one reading and agree in its slip, and a body whose sides truly differ has made no mistake.
    """
    _, deviations, block = _observed(population, taken)
    names = list(taken)
    paired = {
        _base(name) for name in names if f"{_base(name)}_left" in taken and f"{_base(name)}_right" in taken
    }
    labels = [_base(name) if _base(name) in paired else name for name in names]
    judged = list(dict.fromkeys(labels))
    mean = np.array([[float(label == one) for label in labels] for one in judged])
    mean /= mean.sum(axis=1, keepdims=True)
    precision = np.linalg.inv(mean @ block @ mean.T)
    scores = (precision @ (mean @ deviations)) / np.sqrt(np.diag(precision))
    return {label: float(score) for label, score in zip(judged, scores, strict=True)}


def _base(name: str) -> str:
    """The measure without its side."""
    return split_name(name)[0].name
