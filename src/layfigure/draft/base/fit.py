"""Which size of an owned pattern to cut for one wearer and one cloth, and what to alter at which line.

A pattern's own ease is kept: a size drawn for a 960 mm bust that measures 860 mm sewn takes a tenth off, and
takes a tenth off any other bust, unless the cloth at hand stretches less than the pattern asks for.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from layfigure.body.measures import CATALOGUE
from layfigure.draft.base.pattern import PASSES, BasePattern
from layfigure.draft.registry import Check
from layfigure.materials.cloth import Cloth
from layfigure.materials.stretch import MOST_ROUND, USABLE_SHARE, whole_stretch_reduction

ALTERS = 10.0
"""A girth that is off by less is left alone [mm]: home tapes differ by as much (common practice)."""
ALTERS_LENGTH = 5.0
SPREADS = 60.0
"""A girth changed by more wants another size, not another seam line [mm] (common practice, no source)."""
TOO_SMALL = 1.5
"""What is too small counts for more: cloth can be taken in, and not let out (common practice, no source)."""
LENGTH_WEIGHT = 0.3
"""A length counts for less in the choice of a size: it is altered at its own line."""

LINES: Mapping[str, str] = {
    "nape_to_waist": "across the bodice between bust and waist",
    "nape_to_waist_navel": "across the bodice between bust and waist",
    "front_waist_length": "across the front between bust and waist",
    "trunk_loop": "across the body, half above and half below the waist",
    "crotch_length": "across the seat, halfway between waist and crotch",
    "crotch_height": "across the leg, halfway between crotch and knee",
    "knee_height": "across the leg, halfway between knee and ankle",
    "waist_height": "across the leg, half above and half below the knee",
    "arm_length": "across the sleeve, half above and half below the elbow",
    "upper_arm_length": "across the sleeve above the elbow",
    "forearm_length": "across the sleeve below the elbow",
    "shoulder_length": "at the shoulder seam, from the armhole inward",
    "hip_height": "across the skirt or leg, halfway between hip and hem",
}
"""Where a length is changed, so that curves above and below stay as drawn (common practice, no source)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """What one measure of a pattern must grow by, less than 0 to take in [mm], of what it is [mm]."""

    measure: str
    by: float
    of: float

    @property
    def girth(self) -> bool:
        """Whether it is changed along seams, not at a line across."""
        return CATALOGUE[self.measure].kind in ("girth", "breadth", "depth")

    @property
    def needed(self) -> bool:
        """Whether it is worth a pencil."""
        return abs(self.by) > (ALTERS if self.girth else ALTERS_LENGTH)


@dataclass(frozen=True, slots=True, kw_only=True)
class SizeFit:
    """One size of one pattern on one wearer. misfit : root mean square of its changes, as a share."""

    pattern: BasePattern
    size: str
    changes: tuple[Change, ...]
    misfit: float


def size_fits(pattern: BasePattern, wearer: Mapping[str, float], cloth: Cloth) -> list[SizeFit]:
    """Every size of a pattern, best first.

    wearer : measures by bare name [mm]. Measures the wearer lacks are passed over.
    """
    fits = []
    for size, body in pattern.body.items():
        sewn = pattern.finished.get(size, {})
        changes = tuple(
            _change(name, drawn_for, sewn.get(name), wearer[name], pattern, cloth)
            for name, drawn_for in body.items()
            if name in wearer
        )
        terms = [
            (1.0 if change.girth else LENGTH_WEIGHT)
            * (TOO_SMALL if change.by > 0.0 else 1.0)
            * (change.by / change.of) ** 2
            for change in changes
        ]
        misfit = math.sqrt(sum(terms) / len(terms)) if terms else math.inf
        fits.append(SizeFit(pattern=pattern, size=size, changes=changes, misfit=misfit))
    return sorted(fits, key=lambda fit: fit.misfit)


def _change(
    name: str, drawn_for: float, sewn: float | None, worn_by: float, pattern: BasePattern, cloth: Cloth
) -> Change:
    """How much the sewn measure must grow so that this wearer has the ease the pattern meant."""
    close = pattern.design_stretch > 0.0 and CATALOGUE[name].kind == "girth"
    if sewn is None:
        sewn = drawn_for * (1.0 - usual_reduction(pattern.design_stretch)) if close else drawn_for
    if not close or sewn >= drawn_for:
        return Change(measure=name, by=worn_by - drawn_for, of=sewn)
    reduction = 1.0 - sewn / drawn_for
    if cloth.stretch_across < pattern.design_stretch:
        reduction = min(reduction, usual_reduction(cloth.stretch_across))
    return Change(measure=name, by=worn_by * (1.0 - reduction) - sewn, of=sewn)


def usual_reduction(stretch: float) -> float:
    """What a close garment of that stretch takes off round the body at rest, as a share."""
    return min(MOST_ROUND, whole_stretch_reduction(1.0 + USABLE_SHARE * stretch))


def blend(fits: Sequence[SizeFit]) -> dict[str, str]:
    """The best size for each girth by itself, by measure, where it is not that of the whole."""
    chosen = fits[0]
    best: dict[str, str] = {}
    for change in chosen.changes:
        if not change.girth:
            continue
        sizes = {
            fit.size: abs(next(c.by for c in fit.changes if c.measure == change.measure)) for fit in fits
            if any(c.measure == change.measure for c in fit.changes)
        }  # fmt: skip
        nearest = min(sizes, key=lambda size: sizes[size])
        if nearest != chosen.size and sizes[chosen.size] - sizes[nearest] > ALTERS:
            best[change.measure] = nearest
    return best


def alteration(change: Change, seams: int) -> str:
    """One change as an instruction."""
    words = change.measure.replace("_", " ")
    by = f"{abs(change.by):.0f} mm"
    if change.girth:
        each = f"{abs(change.by) / seams:.0f} mm at each of its {seams} seam edges"
        return f"{'Spread' if change.by > 0.0 else 'Take in'} the {words} by {by}: {each}."
    line = LINES.get(change.measure, "at its lengthen or shorten line")
    return f"{'Lengthen' if change.by > 0.0 else 'Shorten'} by {by} {line} ({words})."


def base_checks(fit: SizeFit, wearer: Mapping[str, float], cloth: Cloth) -> tuple[Check, ...]:
    """Stretch, openings, and changes too large for an alteration."""
    pattern = fit.pattern
    enough = cloth.stretch_across >= pattern.design_stretch
    checks = [
        Check(
            what=f"{pattern.name}: how far the cloth stretches, beside what the pattern asks for",
            value=cloth.stretch_across,
            limit=pattern.design_stretch,
            passed=enough,
            advice=""
            if enough
            else "Take a stretchier knit, or cut it larger as told below and try it on in scrap.",
        )
    ]
    for opening, girth in pattern.openings.items():
        for name in PASSES[opening]:
            if name not in wearer:
                continue
            share = wearer[name] / (girth * (1.0 + cloth.stretch_across))
            checks.append(
                Check.at_most(
                    what=f"{pattern.name}: {name.replace('_', ' ')} over its stretched {opening} opening",
                    value=share,
                    limit=1.0,
                    advice=f"Let the {opening} open: a zip, a slit or snaps.",
                )
            )
    checks.extend(
        Check(
            what=f"{pattern.name}, size {fit.size}: how far off the {change.measure.replace('_', ' ')} is",
            unit="mm",
            value=abs(change.by),
            limit=SPREADS,
            passed=False,
            advice="No seam bears that much: grade between sizes, or draft it new.",
        )
        for change in fit.changes
        if change.girth and abs(change.by) > SPREADS
    )
    return tuple(checks)
