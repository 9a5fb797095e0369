"""What a pleated skirt must measure on one wearer: waist, hips, lengths down to a level hem."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from layfigure.body.form import Form
from layfigure.draft.hanging.fall import Fall, falls_from
from layfigure.draft.woven.seated_rise import NO_RISE, SeatedRise
from layfigure.errors import DraftError
from layfigure.geometry.polyline import length

Points = NDArray[np.float64]

TURNS = 384
"""Directions in which lengths are read."""
HARMONICS = 5
"""Waves round the body that a waist edge may follow; less would leave the hem off level, more would
wobble."""
LEAST_TAPER = 60.0
"""Pleats taper over this length at least [mm] (common practice, no source)."""
ABOVE_SEAT = 30.0
"""What takes in the waist behind who sits ends so high above the fullest seat [mm] (our judgement)."""
LEAST_LENGTH = 120.0
"""From waist to hem; shorter than this it is a peplum that pleats do not suit [mm]."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SkirtShape:
    """A skirt before it is cut.

    fall : how its cloth hangs. waist : finished length of the waist edge [mm]. hip : girth below the
    taper, pleats
    folded. taper : how far down from the waist pleats taper. hem_height : above the floor. down : (TURNS,)
    length from waist edge to hem at even turns from the front toward the wearer's left, smoothed.
    unlevel : most that smoothing leaves the hem off level. room : least girth to spare between waist and
    hem. plain_seat : it is sat upon, so that nothing should lie folded behind.
    """

    fall: Fall
    waist: float
    hip: float
    taper: float
    hem_height: float
    down: Points
    unlevel: float
    room: float
    plain_seat: bool = False

    def down_at(self, turns: Points) -> Points:
        """Length from waist edge to hem at turns, (m,) [mm]."""
        once = np.append(self.down, self.down[0])
        result: Points = np.interp(np.mod(turns, 1.0) * TURNS, np.arange(TURNS + 1), once)
        return result

    def round_at(self, first: float, last: float, distance: float) -> Points:
        """Length round the cloth from turn ``first``, cumulative at 200 even turns up to ``last``, (200,)
        [mm].
        """
        places = self.fall.at(np.linspace(first, last, 200), np.full(200, distance))
        steps = np.linalg.norm(np.diff(places, axis=0), axis=1)
        result: Points = np.concatenate([[0.0], np.cumsum(steps)])
        return result

    def rise(self, first: float, last: float, waist: float) -> Callable[[Points], Points]:
        """For one panel: distance along its finished waist edge to height above the end of the taper
        [mm].
        """
        along = self.round_at(first, last, 0.0)
        along *= waist / along[-1]
        turns = np.linspace(first, last, 200)
        flat = float(self.down.mean()) - self.taper
        return lambda s: self.down_at(np.interp(s, along, turns)) - flat


def skirt_shape(
    form: Form,
    line: Points,
    hem_height: float,
    *,
    waist_ease: float,
    hip_ease: float,
    stack: float,
    where: str,
    seated: SeatedRise = NO_RISE,
) -> SkirtShape:
    """Measures of a skirt that hangs from a closed line on the trunk, (m, 3) [mm].

    hem_height : above the floor. stack : thickness worn beneath. seated : what sitting takes from the front
    and adds behind; the hem is level when she sits. Raises DraftError for a hem above the waist or on the
    floor.
    """
    if hem_height > float(line[:, 2].min()) - LEAST_LENGTH:
        raise DraftError(
            f"the hem lies less than {LEAST_LENGTH:.0f} mm below the waist edge.",
            where=where,
            advice="Place the hem lower, or the waist edge higher.",
        )
    closed = line if np.allclose(line[0], line[-1]) else np.vstack([line, line[:1]])
    body, fall = falls_from(form, closed[:-1], (stack, stack + hip_ease / (2.0 * np.pi)))
    turns = np.arange(TURNS) / TURNS
    exact = fall.down_to(turns, np.full(TURNS, hem_height))
    # From the lap round to the seat; the sides hardly change.
    exact += 0.5 * (seated.seat - seated.lap) - 0.5 * (seated.seat + seated.lap) * np.cos(2.0 * np.pi * turns)
    waves = np.fft.rfft(exact)
    waves[HARMONICS + 1 :] = 0.0
    down: Points = np.fft.irfft(waves, TURNS)
    waist = length(closed) + 2.0 * np.pi * stack + waist_ease
    upto = fall.distance <= float(down.min())
    distance = fall.distance[upto]
    own = np.interp(distance, body.distance, body.girths())
    hip = float(fall.girths()[upto][-1])
    taper = _taper(distance, own + hip_ease * np.clip(distance / 100.0, 0.0, 1.0), waist, hip)
    plain_seat = form.posture == "seated" and hem_height < form.level_heights["crotch"]
    if plain_seat:
        above = float(closed[:, 2].min()) - form.level_heights["hip"] - ABOVE_SEAT
        taper = float(np.clip(taper, None, max(above, LEAST_TAPER)))
    garment = waist + (hip - waist) * np.clip(distance / taper, 0.0, 1.0)
    return SkirtShape(
        fall=fall,
        waist=waist,
        hip=hip,
        taper=taper,
        hem_height=hem_height,
        down=down,
        unlevel=float(np.abs(down - exact).max()),
        room=float((garment - own).min()),
        plain_seat=plain_seat,
    )


def _taper(distance: Points, wanted: Points, waist: float, hip: float) -> float:
    """How far down pleats may taper so that the skirt is nowhere narrower than wanted [mm]."""
    if hip <= waist:
        return LEAST_TAPER
    tight = (wanted - waist > 1.0) & (distance > 0.0)
    allowed = (hip - waist) * distance[tight] / (wanted - waist)[tight]
    longest = float(distance[-1]) - 20.0
    return float(np.clip(allowed.min(initial=longest), LEAST_TAPER, longest))
