"""What is verified about a close garment after drafting, in words the maker uses."""

from __future__ import annotations

from collections.abc import Mapping

from layfigure.body.form import Form
from layfigure.draft.flatten.checks import check_flat_panels
from layfigure.draft.flatten.panel import Ease, FlatPanel
from layfigure.draft.knit.closure import Closure
from layfigure.draft.knit.garment import KnitGarment
from layfigure.draft.knit.openings import cut_round, opening_words, worn_round
from layfigure.draft.registry import Check
from layfigure.materials.cloth import Cloth
from layfigure.materials.movement import Movement, demands
from layfigure.materials.opening import check_opening
from layfigure.materials.pressure import worn_pressure
from layfigure.materials.stretch import Reduction

PRESSURE_LIMIT = 2.0
"""Above this a cloth belongs to medical wear (see ``materials.pressure``) [kPa]."""


EDGE_LIMIT = 0.06
"""A cuff or hem this much shorter or longer than asked is still within what elastic or the cloth takes up."""


def knit_checks(
    garment: KnitGarment,
    flats: Mapping[str, FlatPanel],
    ease: Ease,
    form: Form,
    cloth: Cloth,
    reduction: Reduction,
    closure: Closure | None,
) -> tuple[Check, ...]:
    """Every check of a garment: how panels meet, how tight it is where, whether it can be put on."""
    checks = list(check_flat_panels(flats, ease, stretch_limit=_spare_stretch(cloth, reduction)))
    checks += _tightness(garment, form, cloth, reduction)
    checks.append(_edges_round(garment, flats, reduction))
    checks += _bent(garment, cloth, reduction)
    checks += _openings(garment, flats, form, cloth, closure)
    return tuple(checks)


def _spare_stretch(cloth: Cloth, reduction: Reduction) -> float:
    """Stretch that may come on top of the ease at the most stretched places, before movement needs it."""
    round_used, _ = reduction.worn_stretch
    return max(0.05, 0.5 * cloth.stretch_across - round_used)


def _tightness(garment: KnitGarment, form: Form, cloth: Cloth, reduction: Reduction) -> list[Check]:
    checks = []
    worn, _ = reduction.worn_stretch
    for level in garment.levels:
        girth = float(form.drafting_charts[level.region].girth(level.station)[()])
        pressure = worn_pressure(cloth, worn, girth)
        place = _place(level.label, level.region)
        feel = pressure.feel if pressure.feel.startswith("will") else f"is {pressure.feel}"
        doubt = "" if cloth.tension is not None else " (cloth untested: a guess)"
        checks.append(
            Check(
                what=f"it {feel} at the {place}{doubt}",
                value=pressure.likely,
                limit=PRESSURE_LIMIT,
                unit="kPa",
                passed=pressure.likely <= PRESSURE_LIMIT,
                advice="Take less off round the body, or a softer cloth." if pressure.likely > 1.3 else "",
            )
        )
    return checks


_MOVEMENTS: tuple[tuple[Movement, str, str], ...] = (
    ("knee", "knee", "bent knees"),
    ("elbow", "elbow", "bent elbows"),
    ("seat", "hip", "sitting down"),
    ("back", "bust", "arms raised or crossed in front"),
)
"""Movement, label of the level that must be covered, and how the maker would say it."""


def _bent(garment: KnitGarment, cloth: Cloth, reduction: Reduction) -> list[Check]:
    """Where it will pull in poses other than standing, by skin strain."""
    covered = {level.label for level in garment.levels}
    checks = []
    for movement, label, words in _MOVEMENTS:
        if label not in covered:
            continue
        for demand in demands(movement, cloth, reduction.worn_stretch):
            asked = f"{demand.least:.0%} to {demand.greatest:.0%} of stretch {demand.direction}"
            told = f"{words} ask for {asked}, the cloth gives {demand.given:.0%}"
            where = "the back" if movement == "back" else f"the {movement}"
            checks.append(
                Check(
                    what=f"{told}: it will pull at {where}" if demand.pulls else told,
                    value=demand.least,
                    limit=demand.given,
                    passed=not demand.pulls,
                    advice="Take a cloth that stretches more that way, or try it bent in a toile first."
                    if demand.pulls
                    else "",
                )
            )
    return checks


def _edges_round(garment: KnitGarment, flats: Mapping[str, FlatPanel], reduction: Reduction) -> Check:
    """Truing gives and takes a little everywhere; an edge round the body must not pay much of it."""
    worst = 0.0
    for opening in garment.openings:
        if opening.kind not in ("waist", "ankle", "wrist"):
            continue
        wanted = worn_round(garment, opening) * (1.0 - reduction.around)
        worst = max(worst, abs(cut_round(garment, flats, opening) / wanted - 1.0))
    passed = worst <= EDGE_LIMIT
    return Check(
        what="edges round the body are as long as the tape less the reduction"
        if passed
        else f"an edge round the body is {worst:.0%} off the tape less the reduction",
        value=worst,
        limit=EDGE_LIMIT,
        passed=passed,
        advice="" if passed else "Check that edge on a toile.",
    )


def _openings(
    garment: KnitGarment,
    flats: Mapping[str, FlatPanel],
    form: Form,
    cloth: Cloth,
    closure: Closure | None,
) -> list[Check]:
    checks = []
    for opening in garment.openings:
        # A zip opens the trunk; it is of no help to a hand or a heel.
        zipped = closure is not None and opening.slug == closure.opening.slug
        cut = cut_round(garment, flats, opening)
        if closure is not None and zipped:
            # The zip itself does not stretch.
            cut += closure.extra / (1.0 + cloth.stretch_across)
        widest = form.measures.get(opening.measure)
        if widest is None:
            continue
        result = check_opening(cut, cloth.stretch_across, widest)
        checks.append(
            Check(
                what=f"{opening.passes} {'can' if result.passes else 'cannot'} pass through the "
                f"{opening_words(opening.slug)} when it is stretched{' and unzipped' if zipped else ''}",
                value=result.share,
                limit=1.0,
                passed=result.passes,
                advice=""
                if result.passes
                else "Add a zip or snaps there, or take a cloth with more stretch.",
            )
        )
    return checks


def _place(label: str, region: str) -> str:
    side = region.rpartition("_")[2]
    return f"{side} {label}" if side in ("left", "right") else label
