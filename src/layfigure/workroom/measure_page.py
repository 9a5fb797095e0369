"""What the page of one wearer shows: every measure as taken or guessed, and which to take next."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from layfigure.body.measures import CATALOGUE, Measure
from layfigure.body.prior import Guess
from layfigure.body.wearer import LengthUnit, Wearer
from layfigure.errors import LayfigureError
from layfigure.pipeline.needed_measures import NeededMeasures, needed_measures
from layfigure.pipeline.stages import what_placing_reads
from layfigure.recompute.graph import Keyed
from layfigure.units import format_length, format_mass
from layfigure.workroom.bodies import guesses
from layfigure.workroom.edits.wearer import MASS_UNITS, Hand, typed_readings
from layfigure.workroom.next_tapes import EVERYDAY, next_tapes
from layfigure.workroom.room import Room

INCH = 25.4


def needed_by_pieces(room: Room) -> NeededMeasures | None:
    """What the costume's pieces ask for; None where it has none, or its files cannot be used yet."""
    try:
        costume = room.costume()
        if not costume.costume.pieces:
            return None
        from layfigure.pipeline.stages import run_study

        reads = (what_placing_reads(costume.costume), costume.costume.pieces)
        study = room.graph.node(run_study, costume.marks)
        return room.graph.node(needed_measures, Keyed(costume.costume, by=reads), study).value()
    except LayfigureError:
        return None


def page_data(wearer: Wearer, text: str, needed: NeededMeasures | None) -> dict[str, Any]:
    """Every measure of the catalogue that this wearer can be asked for, and which come next.

    text : of her file, for what was typed. needed : None to ask for the everyday measures.
    """
    typed, guessed = typed_readings(text), guesses(wearer)
    asked = tuple(stored for name in EVERYDAY for stored in CATALOGUE[name].sided())
    order = next_tapes(wearer, asked if needed is None else needed.names)
    shown = [
        _measure(measure, wearer, typed.get(measure.name, {}), guessed, needed)
        for measure in CATALOGUE.values()
        if measure.standing or wearer.posture == "seated"
    ]
    return {"measures": shown, "next": list(order), "measured": bool(wearer.measures)}


def _measure(
    measure: Measure,
    wearer: Wearer,
    typed: Mapping[Hand, list[str]],
    guessed: Mapping[str, Guess],
    needed: NeededMeasures | None,
) -> dict[str, Any]:
    sides: dict[str, dict[str, Any]] = {}
    for stored in measure.sided():
        hand = "both" if not measure.paired else stored.rpartition("_")[2]
        guess = None if stored in wearer.measures else guessed.get(stored)
        sides[hand] = {
            "stored": stored,
            "taken": stored in wearer.measures,
            "guess": None if guess is None else guess_words(measure, guess, wearer.unit),
        }
    return {
        "name": measure.name,
        "words": measure.words,
        "place": measure.place,
        "with": measure.instrument,
        "kind": measure.kind,
        "paired": measure.paired,
        "unit": MASS_UNITS[wearer.unit] if measure.kind == "mass" else wearer.unit,
        "readings": dict(typed),
        "sides": sides,
        "pieces": [] if needed is None else list(needed.pieces_for(measure.sided())),
    }


def guess_words(measure: Measure, guess: Guess, unit: LengthUnit) -> dict[str, str]:
    """A guess as a maker reads it: ``about`` what, ``sure`` to what (two spreads: 95 of 100 people)."""
    if measure.kind == "mass":
        word = MASS_UNITS[unit]
        assert word in ("kg", "lb")
        return {
            "about": format_mass(round(guess.value), "kg")
            if word == "kg"
            else format_mass(guess.value, "lb"),
            "sure": format_mass(round(2 * guess.spread), "kg")
            if word == "kg"
            else format_mass(2 * guess.spread, "lb"),
        }
    # A guess in tenths of a millimetre would claim what it cannot keep.
    step = 0.25 * INCH if unit == "in" else 5.0
    return {
        "about": format_length(step * round(guess.value / step), unit, denominator=4),
        "sure": format_length(max(step, step * round(2 * guess.spread / step)), unit, denominator=4),
    }
