"""Every pair, sheer and ranking of a costume's colours, judged."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from layfigure.colour.cielab import lab_of_xyz
from layfigure.colour.colours import Colours, Pair, Ranking, Sheer
from layfigure.colour.colours_file import read_colours
from layfigure.colour.difference import ciede2000
from layfigure.colour.direction import Direction, direction
from layfigure.colour.light import LightName, xyz_of_reflectance
from layfigure.colour.measured import DRAWS, Measured, measure_samples
from layfigure.colour.photograph import Opened, open_photograph
from layfigure.colour.sheer import (
    PLAIN,
    SPREAD_LIGHT,
    coverage_on_two_grounds,
    over,
    stretched_coverage,
)
from layfigure.colour.table_file import TableColour, read_colour_table
from layfigure.colour.verdict import Limits, Verdict, judged, limits_for

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class UnderLight:
    """A pair in one light. how : spectra (both known), photograph (seen there), or guess (colour alone)."""

    light: LightName
    verdict: Verdict
    how: str


@dataclass(frozen=True, slots=True, kw_only=True)
class JudgedPair:
    """A pair. verdict : in daylight, None with a problem. together : both lie in one photograph, which it is.

    others : the other lights. breaks : lights in which a match is lost, or may be. way : to dye by.
    """

    first: str
    second: str
    limits: Limits | None = None
    verdict: Verdict | None = None
    together: str = ""
    others: tuple[UnderLight, ...] = ()
    breaks: tuple[UnderLight, ...] = ()
    way: Direction | None = None
    problem: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class JudgedSheer:
    """A sheer. coverage : share at rest and as worn, each with its spread (5 and 95 of 100)."""

    sheer: Sheer
    rest: tuple[float, float, float] = (0.0, 0.0, 0.0)
    worn: tuple[float, float, float] = (0.0, 0.0, 0.0)
    problem: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class JudgedRanking:
    """A ranking: best first; those that cannot be judged last."""

    ranking: Ranking
    pairs: tuple[JudgedPair, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class JudgedColours:
    """Everything. things : samples, and sheers as worn, by slug."""

    colours: Colours
    photographs: Mapping[str, Opened]
    things: Mapping[str, Measured]
    sheers: Mapping[str, JudgedSheer]
    pairs: tuple[JudgedPair, ...]
    rankings: tuple[JudgedRanking, ...]


def judge_folder(folder: Path) -> JudgedColours:
    """Read ``colours.toml`` of a costume's folder and judge it. Raises FileError for what is written wrong."""
    return judge(read_colours(folder), folder)


def judge(colours: Colours, folder: Path) -> JudgedColours:
    """Judge. A photograph or sample that cannot be used spoils only what hangs on it, and says why."""
    used = {photo.chart.of for photo in colours.photographs.values() if photo.chart is not None}
    charts: dict[str, dict[str, TableColour]] = {
        slug: read_colour_table(folder / chart.file, illuminant=chart.illuminant, where=chart.where)
        for slug, chart in colours.charts.items()
        if slug in used
    }
    opened = {slug: open_photograph(photo, folder, charts) for slug, photo in colours.photographs.items()}
    things = measure_samples(colours, opened, folder)
    sheers: dict[str, JudgedSheer] = {}
    for slug, sheer in colours.sheers.items():
        sheers[slug], things[slug] = _worn(sheer, things)
    rankings = []
    for ranking in colours.rankings:
        pairs = [
            judge_pair(
                Pair(first=cloth, second=ranking.target, dye=cloth if ranking.dye else ""),
                things,
                colours.lights,
            )
            for cloth in ranking.cloths
            if cloth != ranking.target
        ]
        pairs.sort(key=lambda pair: np.inf if pair.verdict is None else pair.verdict.difference)
        rankings.append(JudgedRanking(ranking=ranking, pairs=tuple(pairs)))
    return JudgedColours(
        colours=colours,
        photographs=opened,
        things=things,
        sheers=sheers,
        pairs=tuple(judge_pair(pair, things, colours.lights) for pair in colours.pairs),
        rankings=tuple(rankings),
    )


def judge_pair(pair: Pair, things: Mapping[str, Measured], lights: tuple[LightName, ...]) -> JudgedPair:
    """One pair, in daylight and in the other lights."""
    one, two = things[pair.first], things[pair.second]
    unknown = [thing for thing in (one, two) if thing.lab is None]
    if unknown:
        told = "; ".join(f"{thing.name}: {thing.problem}" for thing in unknown)
        return JudgedPair(first=pair.first, second=pair.second, problem=told)
    shared = _together(one, two, "daylight")
    if not shared and not (one.told and two.told):
        plain = " and ".join(thing.name for thing in (one, two) if not thing.told)
        return JudgedPair(
            first=pair.first,
            second=pair.second,
            problem=f"{plain}: no grey card is in the photograph, so it cannot be held against another one",
        )
    assert one.lab is not None
    assert two.lab is not None
    skin = one.skin or two.skin
    lightness = float(one.lab[0] if one.skin else two.lab[0])
    limits = limits_for(skin=skin, lightness=lightness)
    if shared:
        first, second = one.looks[shared], two.looks[shared]
        verdict = _verdict(first.lab, second.lab, first.cloud, second.cloud, limits)
    else:
        verdict = _verdict(one.lab, two.lab, one.under("daylight")[1], two.under("daylight")[1], limits)
    others = tuple(_under(light, one, two, limits) for light in lights if light != "daylight")
    breaks: tuple[UnderLight, ...] = ()
    if verdict.answer != "no match":
        breaks = tuple(item for item in others if _breaks(item, limits))
    way = None
    if pair.dye:
        cloth, target = (one, two) if pair.dye == pair.first else (two, one)
        assert cloth.lab is not None
        assert target.lab is not None
        assert cloth.best is not None
        assert target.best is not None
        way = direction(cloth.lab, target.lab, cloth.best, target.best)
    return JudgedPair(
        first=pair.first,
        second=pair.second,
        limits=limits,
        verdict=verdict,
        together=shared,
        others=others,
        breaks=breaks,
        way=way,
    )


def _together(one: Measured, two: Measured, light: LightName) -> str:
    """A photograph in that light that shows both: with a grey before without."""
    shared = [slug for slug, look in one.looks.items() if slug in two.looks and look.light == light]
    return min(shared, key=lambda slug: not one.looks[slug].grey, default="")


def _under(light: LightName, one: Measured, two: Measured, limits: Limits) -> UnderLight:
    shared = _together(one, two, light)
    if shared:
        first, second = one.looks[shared], two.looks[shared]
        verdict = _verdict(first.lab, second.lab, first.cloud, second.cloud, limits)
        return UnderLight(light=light, verdict=verdict, how="photograph")
    (lab_one, draws_one), (lab_two, draws_two) = one.under(light), two.under(light)
    verdict = _verdict(lab_one, lab_two, draws_one, draws_two, limits)
    return UnderLight(light=light, verdict=verdict, how="spectra" if one.exact and two.exact else "guess")


def _verdict(one: Array, two: Array, draws_one: Array, draws_two: Array, limits: Limits) -> Verdict:
    return judged(float(ciede2000(one, two)), ciede2000(draws_one, draws_two), limits)


def _breaks(item: UnderLight, limits: Limits) -> bool:
    """Known to break: where it was seen or follows from spectra. May break: by a guess, when half of what the
    colours may be does.
    """
    if item.how == "guess":
        return item.verdict.high > 2.0 * limits.accepted.value
    return item.verdict.difference > limits.accepted.value


def _worn(sheer: Sheer, things: Mapping[str, Measured]) -> tuple[JudgedSheer, Measured]:
    """The sheer over what lies beneath, stretched as worn, and its coverage."""
    grounds = sheer.grounds
    names = [sheer.over, *([sheer.threads] if sheer.threads else [])]
    if grounds is not None:
        names += [grounds.over_light, grounds.light, grounds.over_dark, grounds.dark]
    lost = [things[name] for name in names if things[name].reflectances is None]
    untold = [
        things[name] for name in names if things[name].reflectances is not None and not things[name].told
    ]
    if lost or untold:
        problem = "; ".join(
            [f"{thing.name}: {thing.problem}" for thing in lost]
            + [f"{thing.name}: no grey card is in its photograph" for thing in untold]
        )
        return JudgedSheer(sheer=sheer, problem=problem), Measured(
            slug=sheer.slug, name=sheer.name, problem=problem
        )
    drawn = {name: things[name].reflectances for name in names}
    best = {name: things[name].best for name in names}
    beneath, best_beneath = drawn[sheer.over], best[sheer.over]
    assert beneath is not None
    assert best_beneath is not None
    if grounds is not None:
        at_rest, threads = coverage_on_two_grounds(
            *(drawn[name] for name in (grounds.over_light, grounds.light, grounds.over_dark, grounds.dark))
        )
        best_rest, best_threads = coverage_on_two_grounds(
            *(best[name] for name in (grounds.over_light, grounds.light, grounds.over_dark, grounds.dark))
        )
        if sheer.threads:
            threads, best_threads = drawn[sheer.threads], best[sheer.threads]
    else:
        assert sheer.coverage is not None
        at_rest, best_rest = np.full(DRAWS, sheer.coverage), np.array(sheer.coverage)
        threads, best_threads = drawn[sheer.threads], best[sheer.threads]
    assert threads is not None
    assert best_threads is not None
    worn = stretched_coverage(at_rest, *sheer.stretch)
    # How far light runs inside the threads is not known: every draw has its own.
    n = np.linspace(PLAIN, SPREAD_LIGHT, DRAWS)
    np.random.default_rng(90).shuffle(n)
    mixed = over(threads, beneath, worn[:, None], n[:, None])
    middle = over(
        best_threads,
        best_beneath,
        stretched_coverage(best_rest, *sheer.stretch),
        0.5 * (PLAIN + SPREAD_LIGHT),
    )
    lab = lab_of_xyz(xyz_of_reflectance(middle, "D65"))
    cloud = lab_of_xyz(xyz_of_reflectance(mixed, "D65"))
    thing = Measured(
        slug=sheer.slug,
        name=sheer.name,
        lab=lab,
        best=middle,
        reflectances=mixed,
        sure_to=float(np.quantile(ciede2000(cloud, lab), 0.95)),
        exact=all(things[name].exact for name in names),
        skin=things[sheer.over].skin,
    )
    return JudgedSheer(sheer=sheer, rest=_range(at_rest, best_rest), worn=_range(worn, None)), thing


def _range(values: Array, best: Array | None) -> tuple[float, float, float]:
    low, middle, high = (float(value) for value in np.quantile(values, [0.05, 0.5, 0.95]))
    return (float(best) if best is not None else middle), low, high
