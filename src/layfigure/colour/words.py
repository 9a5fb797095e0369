"""What is said of a costume's colours, in sentences: what needs the maker first."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from layfigure.colour.cielab import shown
from layfigure.colour.direction import DYE_CAUTIONS, dye_words
from layfigure.colour.judge import JudgedColours, JudgedPair, JudgedRanking
from layfigure.colour.light import LIGHTS
from layfigure.colour.measured import Measured
from layfigure.colour.photograph import Opened
from layfigure.colour.verdict import Limits
from layfigure.colour.worn_sheer import JudgedSheer
from layfigure.units import format_share

UNITS = (
    "A difference of 1 is about the least an eye finds between two cloths (CIEDE2000); sure to 1 means that "
    "19 of 20 such answers are no further off."
)
_ONE_PHOTOGRAPH = (
    "Where they may part: a photograph in one light cannot tell what dyes are in a colour. Look at such "
    "pairs under the hall's own lamps, or photograph them there too; parts that meet are safest in one fibre "
    "and one dye."
)
_HOW = {"photograph": "as photographed there", "spectra": "by their spectra"}
_SKIN_CAUTION = (
    "Skin paint: try it on the inner arm 24 to 48 hours before (from memory), and heed its maker's sheet."
)


@dataclass(frozen=True, slots=True)
class Swatch:
    """A colour to show: its name, ``#rrggbb`` or nothing, and a line about it."""

    name: str
    colour: str
    line: str


@dataclass(frozen=True, slots=True)
class ColourSection:
    """The colours of a costume as a part of a report.

    attention : what needs the maker. swatches : every sample and sheer. lines : verdicts, in order. cautions.
    sources : of the thresholds that were used.
    """

    attention: tuple[str, ...]
    swatches: tuple[Swatch, ...]
    lines: tuple[str, ...]
    cautions: tuple[str, ...]
    sources: tuple[str, ...]


def colour_section(judged: JudgedColours) -> ColourSection:
    """All that is said, for the command line, the report and the workroom alike."""
    things = judged.things
    attention = [line for photo in judged.photographs.values() for line in photograph_lines(photo)]
    lines = [sheer_line(sheer, things) for sheer in judged.sheers.values()]
    for pair in judged.pairs:
        told = pair_words(pair, things)
        lines.append(told)
        parted = any(item.how != "guess" for item in pair.breaks)
        if pair.verdict is None or pair.verdict.answer != "match" or parted:
            attention.append(told)
    for ranking in judged.rankings:
        lines += ranking_lines(ranking, things)
    every = (*judged.pairs, *(pair for ranking in judged.rankings for pair in ranking.pairs))
    if any(item.how == "guess" for pair in every for item in pair.breaks):
        lines.append(_ONE_PHOTOGRAPH)
    dyed = any(pair.way is not None and pair.way.words for pair in every)
    painted = any(sample.painted and sample.skin for sample in judged.colours.samples.values())
    return ColourSection(
        attention=tuple(dict.fromkeys(attention)),
        swatches=tuple(_swatch(thing) for thing in things.values()),
        lines=tuple(lines),
        cautions=(*(DYE_CAUTIONS if dyed else ()), *((_SKIN_CAUTION,) if painted else ())),
        sources=_sources(every),
    )


def photograph_lines(photo: Opened) -> list[str]:
    """What is wrong with a photograph, or worth knowing."""
    name = f"Photograph {photo.photograph.slug!r}"
    told = [f"{name} cannot be used: {_sentence(photo.fault)}"] if photo.fault else []
    return told + [f"{name}: {_sentence(remark)}" for remark in photo.remarks]


def pair_words(pair: JudgedPair, things: Mapping[str, Measured]) -> str:
    """The verdict on a pair, then other lights, then the dye."""
    names = f"{_upper(things[pair.first].name)} and {things[pair.second].name}"
    verdict = pair.verdict
    if verdict is None:
        return f"{names} cannot be judged: {_sentence(pair.problem)}"
    size = f"{verdict.difference:.1f} apart, sure to {verdict.sure_to:.1f}"
    if verdict.answer == "match":
        said = f"{names} match: {size}; {verdict.words}."
    elif verdict.answer == "no match":
        said = f"{names} do not match: {size}; {verdict.words}."
    else:
        said = (
            f"{names}: not sure whether they match. {size}: it may be as little as {verdict.low:.1f} or as "
            f"much as {verdict.high:.1f}. {_better(pair, things)}"
        )
    dye = dye_words(pair.way) if pair.way is not None else ""
    return " ".join(part for part in (said, _light_words(pair), dye) if part)


def _better(pair: JudgedPair, things: Mapping[str, Measured]) -> str:
    if any(things[slug].looks for slug in (pair.first, pair.second)) and not pair.together:
        return (
            "Photograph both side by side, with a grey card or a chart between them, or lay them together "
            "and look."
        )
    return (
        "Lay them together in daylight and look; an instrument for colour, borrowed, tells it to half a unit."
    )


def _light_words(pair: JudgedPair) -> str:
    """Lights in which a match is lost, then those in which it may be."""
    said = [
        f"Under {LIGHTS[item.light].words} they part: {item.verdict.difference:.1f}, {_HOW[item.how]}; "
        f"{item.verdict.words}."
        for item in pair.breaks
        if item.how != "guess"
    ]
    guessed = [item for item in pair.breaks if item.how == "guess"]
    if guessed:
        worst = max(guessed, key=lambda item: item.verdict.middle)
        lamps = _listed(LIGHTS[item.light].words for item in guessed)
        where = "In other light" if len(guessed) == len(pair.others) > 1 else f"Under {lamps}"
        said.append(
            f"{where} they may part: by {worst.verdict.middle:.0f} as unlike dyes go, by "
            f"{worst.verdict.high:.0f} at worst."
        )
    return " ".join(said)


def sheer_line(sheer: JudgedSheer, things: Mapping[str, Measured]) -> str:
    """How much a sheer covers, at rest and worn."""
    name = f"{_upper(sheer.sheer.name)} over {things[sheer.sheer.over].name}"
    if sheer.problem:
        return f"{name} cannot be judged: {_sentence(sheer.problem)}"
    (rest, *_), (worn, low, high) = sheer.rest, sheer.worn
    spread = f" (between {format_share(low)} and {format_share(high)})" if high - low > 0.02 else ""
    seen = things[sheer.sheer.slug].sure_to
    at_rest, as_worn = format_share(rest), format_share(worn)
    return (
        f"{name}: it covers {at_rest} at rest and {as_worn} as worn{spread}; the rest is "
        f"what lies beneath. What the two look like together is sure to {seen:.1f}."
    )


def ranking_lines(ranking: JudgedRanking, things: Mapping[str, Measured]) -> list[str]:
    """Best cloth first, and whether the order can be trusted."""
    target = things[ranking.ranking.target].name
    lines = [f"Cloths for {target}, nearest first:"]
    told = [pair for pair in ranking.pairs if pair.verdict is not None]
    for place, pair in enumerate(told, start=1):
        verdict = pair.verdict
        assert verdict is not None
        line = (
            f"{place}. {things[pair.first].name}: {verdict.difference:.1f} apart, sure to "
            f"{verdict.sure_to:.1f}; {verdict.words}."
        )
        dye = dye_words(pair.way) if pair.way is not None else ""
        lines.append(" ".join(part for part in (line, _light_words(pair), dye) if part))
    lines += [f"Not judged: {_sentence(pair.problem)}" for pair in ranking.pairs if pair.verdict is None]
    if len(told) > 1:
        first, second = told[0].verdict, told[1].verdict
        assert first is not None
        assert second is not None
        if second.low < first.high:
            lines.append(
                "The first two lie too close for these photographs to order: lay both beside it and look."
            )
    return lines


def _swatch(thing: Measured) -> Swatch:
    if thing.lab is None:
        return Swatch(thing.name, "", f"not measured: {_sentence(thing.problem)}")
    line = (
        f"sure to {thing.sure_to:.1f}"
        if thing.told
        else "not to be trusted alone: no grey card is in its photograph"
    )
    return Swatch(thing.name, shown(thing.lab), "; ".join([line, *thing.remarks]))


def _sources(pairs: Iterable[JudgedPair]) -> tuple[str, ...]:
    limits: list[Limits] = [pair.limits for pair in pairs if pair.limits is not None]
    found = [
        f"{round(threshold.value, 2):g}: {threshold.source}"
        for each in limits
        for threshold in (each.seen, each.accepted)
    ]
    return tuple(dict.fromkeys(found))


def _listed(words: Iterable[str]) -> str:
    *most, last = words
    return f"{', '.join(most)} and {last}" if most else last


def _upper(text: str) -> str:
    return text[:1].upper() + text[1:]


def _sentence(text: str) -> str:
    return text if text.endswith((".", "?", "!")) else f"{text}."
