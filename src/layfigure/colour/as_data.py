"""A costume's colours as plain data, for programs."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from layfigure.colour.judge import JudgedColours, JudgedPair
from layfigure.colour.measured import Measured
from layfigure.colour.verdict import Verdict
from layfigure.colour.words import colour_section


def colours_as_data(judged: JudgedColours) -> dict[str, Any]:
    """Tables, lists, texts and numbers alone. Colours are CIELAB under D65, differences CIEDE2000."""
    section = colour_section(judged)
    return {
        "unit": "CIEDE2000",
        "photographs": {
            slug: {
                "light": photo.photograph.light,
                "grey": photo.grey,
                "fault": photo.fault,
                "remarks": list(photo.remarks),
            }
            for slug, photo in judged.photographs.items()
        },
        "colours": {slug: _thing(thing) for slug, thing in judged.things.items()},
        "sheers": {
            slug: {
                "over": sheer.sheer.over,
                "coverage_at_rest": sheer.rest[0] or None,
                "coverage_worn": sheer.worn[0] or None,
                "coverage_worn_between": list(sheer.worn[1:]) if sheer.worn[0] else None,
                "problem": sheer.problem,
            }
            for slug, sheer in judged.sheers.items()
        },
        "pairs": [_pair(pair) for pair in judged.pairs],
        "rankings": {
            ranking.ranking.slug: {
                "target": ranking.ranking.target,
                "cloths": [_pair(pair) for pair in ranking.pairs],
            }
            for ranking in judged.rankings
        },
        "attention": list(section.attention),
        "lines": list(section.lines),
        "cautions": list(section.cautions),
        "sources": list(section.sources),
    }


def _thing(thing: Measured) -> dict[str, Any]:
    return {
        "name": thing.name,
        "lab": None if thing.lab is None else [float(value) for value in thing.lab],
        "sure_to": None if thing.lab is None else thing.sure_to,
        "alone": thing.told,
        "from": "spectrum" if thing.exact else "photograph" if thing.looks else "colour",
        "problem": thing.problem,
        "remarks": list(thing.remarks),
    }


def _pair(pair: JudgedPair) -> dict[str, Any]:
    breaks = {item.light for item in pair.breaks}
    return {
        "first": pair.first,
        "second": pair.second,
        "daylight": _verdict(pair.verdict),
        "photograph": pair.together,
        "seen_from": pair.limits.seen.value if pair.limits else None,
        "accepted_to": pair.limits.accepted.value if pair.limits else None,
        "other_lights": {
            item.light: {**(_verdict(item.verdict) or {}), "how": item.how, "breaks": item.light in breaks}
            for item in pair.others
        },
        "dye": _way(pair),
        "problem": pair.problem,
    }


def _verdict(verdict: Verdict | None) -> dict[str, Any] | None:
    if verdict is None:
        return None
    return {
        "difference": verdict.difference,
        "sure_to": verdict.sure_to,
        "between": [verdict.low, verdict.high],
        "middle": verdict.middle,
        "answer": verdict.answer,
        "words": verdict.words,
    }


def _way(pair: JudgedPair) -> Mapping[str, Any] | None:
    if pair.way is None:
        return None
    return {
        "steps": list(pair.way.steps),
        "words": list(pair.way.words),
        "cannot_add": list(pair.way.out_of_reach),
    }
