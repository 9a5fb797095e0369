"""Every pair, sheer and ranking of a costume's colours, judged."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from layfigure.colour.colours import Colours, Pair, Photograph, Ranking
from layfigure.colour.colours_file import read_colours
from layfigure.colour.direction import Direction, direction
from layfigure.colour.light import LightName
from layfigure.colour.measured import Measured, measure_samples
from layfigure.colour.photograph import Opened, open_photograph
from layfigure.colour.table_file import TableColour, read_colour_table
from layfigure.colour.verdict import Limits, Verdict, judged, limits_for
from layfigure.colour.worn_sheer import JudgedSheer, worn_sheer
from layfigure.errors import FileError

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
    """Read ``colours.toml`` of a costume's folder and judge it. Raises FileError for what is wrong in it."""
    return judge(read_colours(folder), folder)


def judge(colours: Colours, folder: Path) -> JudgedColours:
    """Judge. A photograph, chart or sample that cannot be used spoils only what hangs on it, and says why."""
    used = {photo.chart.of for photo in colours.photographs.values() if photo.chart is not None}
    charts: dict[str, dict[str, TableColour]] = {}
    broken: dict[str, str] = {}
    for slug in sorted(used):
        chart = colours.charts[slug]
        try:
            charts[slug] = read_colour_table(
                folder / chart.file, illuminant=chart.illuminant, where=chart.where
            )
        except FileError as error:
            broken[slug] = str(error)
    opened = {slug: _opened(photo, folder, charts, broken) for slug, photo in colours.photographs.items()}
    things = measure_samples(colours, opened, folder)
    sheers: dict[str, JudgedSheer] = {}
    for slug, sheer in colours.sheers.items():
        sheers[slug], things[slug] = worn_sheer(sheer, things)
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


def _opened(
    photo: Photograph,
    folder: Path,
    charts: Mapping[str, Mapping[str, TableColour]],
    broken: Mapping[str, str],
) -> Opened:
    """The photograph; one whose chart's file cannot be used is left to its greys."""
    if photo.chart is None or photo.chart.of not in broken:
        return open_photograph(photo, folder, charts)
    opened = open_photograph(replace(photo, chart=None), folder, charts)
    told = f"its chart is left out: {broken[photo.chart.of]}"
    return replace(opened, remarks=(told, *opened.remarks))


def judge_pair(pair: Pair, things: Mapping[str, Measured], lights: tuple[LightName, ...]) -> JudgedPair:
    """One pair, in daylight and in the other lights."""
    one, two = things[pair.first], things[pair.second]
    unknown = [thing for thing in (one, two) if thing.lab is None]
    if unknown:
        problems = dict.fromkeys(thing.problem for thing in unknown)
        # A sheer's problem is often that of what lies beneath it.
        told = [one for one in problems if not any(one != other and one in other for other in problems)]
        return JudgedPair(first=pair.first, second=pair.second, problem="; ".join(told))
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
        verdict = judged(first.lab, second.lab, first.cloud, second.cloud, limits, unlike=_unlike(one, two))
    else:
        verdict = judged(
            one.lab,
            two.lab,
            one.under("daylight")[1],
            two.under("daylight")[1],
            limits,
            unlike=_unlike(one, two),
        )
    others = tuple(_under(light, one, two, limits) for light in lights if light != "daylight")
    breaks: tuple[UnderLight, ...] = ()
    if verdict.answer != "no match":
        breaks = tuple(item for item in others if _breaks(item, verdict, limits))
    way = None
    if pair.dye:
        cloth, target = (one, two) if pair.dye == pair.first else (two, one)
        assert cloth.lab is not None
        assert target.lab is not None
        way = direction(cloth.lab, target.lab, cloth.spectra()[0], target.spectra()[0])
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


def _unlike(one: Measured, two: Measured) -> bool:
    """A camera saw one of them, and they are not known to be of one material."""
    return bool(one.looks or two.looks) and (not one.material or one.material != two.material)


def _under(light: LightName, one: Measured, two: Measured, limits: Limits) -> UnderLight:
    shared = _together(one, two, light)
    if shared:
        first, second = one.looks[shared], two.looks[shared]
        verdict = judged(first.lab, second.lab, first.cloud, second.cloud, limits, unlike=_unlike(one, two))
        return UnderLight(light=light, verdict=verdict, how="photograph")
    (lab_one, draws_one), (lab_two, draws_two) = one.under(light), two.under(light)
    verdict = judged(lab_one, lab_two, draws_one, draws_two, limits)
    return UnderLight(light=light, verdict=verdict, how="spectra" if one.exact and two.exact else "guess")


def _breaks(item: UnderLight, daylight: Verdict, limits: Limits) -> bool:
    """Whether a match is lost in a light: by what was seen or measured, or by half of what they may be.

    A guess is only worth a word where daylight promises a match.
    """
    accepted = limits.accepted.value
    if item.how == "guess":
        return daylight.difference <= accepted < item.verdict.middle
    return item.verdict.difference > accepted
