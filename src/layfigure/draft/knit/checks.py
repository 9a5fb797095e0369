"""What is verified about a close garment after drafting, in words the maker uses."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from layfigure.body.form import Form
from layfigure.draft.flatten.checks import check_flat_panels
from layfigure.draft.flatten.panel import FlatPanel, Panel
from layfigure.draft.flatten.worn_stretch import greatest_stretch_p95
from layfigure.draft.knit.closure import Closure
from layfigure.draft.knit.garment import KnitGarment, Level
from layfigure.draft.knit.lines import level_field
from layfigure.draft.knit.openings import cut_lengths, cut_round, opening_words, stretch_round, worn_lengths
from layfigure.draft.knit.panel_cloths import PanelCloth, own_kinds
from layfigure.draft.knit.stretch_advice import spare_stretch, stretch_advice
from layfigure.draft.registry import Check
from layfigure.materials.cloth import Cloth
from layfigure.materials.movement import SOURCE, Movement, demands
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
    form: Form,
    cloths: Mapping[str, PanelCloth],
    closure: Closure | None,
    *,
    own: Cloth,
) -> tuple[Check, ...]:
    """Every check of a garment: how panels meet, how tight it is where, whether it can be put on.

    cloths : of every panel, by slug. own : the garment's, whose reduction its options say.
    """

    def advice(slug: str) -> str:
        cloth = cloths[slug]
        asked = max(greatest_stretch_p95(flat) for name, flat in flats.items() if cloths[name] == cloth)
        return stretch_advice(cloth, asked, whole_garment=cloth.cloth.slug == own.slug)

    eases = {slug: own.ease for slug, own in cloths.items()}
    spare = {slug: spare_stretch(own.cloth, own.reduction) for slug, own in cloths.items()}
    checks = list(check_flat_panels(flats, eases, stretch_limit=spare, stretch_advice=advice))
    kinds = own_kinds(cloths.values())
    for kind in kinds:
        # With one cloth all levels are its own; else those that a panel of it runs over.
        levels = garment.levels
        if len(kinds) > 1:
            panels = [p for p in garment.panels if cloths[p.slug].cloth.slug == kind.cloth.slug]
            levels = tuple(level for level in levels if any(_runs_over(p, form, level) for p in panels))
        told = f", in {kind.cloth.name}" if len(kinds) > 1 else ""
        checks += _tightness(levels, form, kind.cloth, kind.reduction, told)
        checks += _bent(levels, kind.cloth, kind.reduction, told)
    checks.append(_edges_round(garment, flats, cloths))
    checks += _openings(garment, flats, form, cloths, closure)
    return tuple(checks)


def _runs_over(panel: Panel, form: Form, level: Level) -> bool:
    """Whether a panel lies on both sides of a level of the body."""
    field = level_field(form, level, panel.vertices)
    near = field[~np.isnan(field)]
    return bool(near.size and near.min() < 0.0 < near.max())


def _tightness(
    levels: Sequence[Level], form: Form, cloth: Cloth, reduction: Reduction, told: str
) -> list[Check]:
    checks = []
    worn, _ = reduction.worn_stretch
    for level in levels:
        girth = float(form.drafting_charts[level.region].girth(level.station)[()])
        pressure = worn_pressure(cloth, worn, girth)
        place = _place(level.label, level.region)
        feel = pressure.feel if pressure.feel.startswith("will") else f"is {pressure.feel}"
        doubt = "" if cloth.tension is not None else " (cloth untested: a guess)"
        checks.append(
            Check(
                what=f"it {feel} at the {place}{told}{doubt}",
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


def _bent(levels: Sequence[Level], cloth: Cloth, reduction: Reduction, named: str) -> list[Check]:
    """Where it will pull in poses other than standing, by skin strain. named : the cloth, of several."""
    covered = {level.label for level in levels}
    checks = []
    for movement, label, words in _MOVEMENTS:
        if label not in covered:
            continue
        for demand in demands(movement, cloth, reduction.worn_stretch):
            asked = f"{demand.least:.0%} to {demand.greatest:.0%} of stretch {demand.direction}"
            told = f"{words}{named} ask for {asked}, the cloth gives {demand.given:.0%} ({SOURCE})"
            where = "the back" if movement == "back" else f"the {movement}"
            checks.append(
                Check(
                    what=f"{told}: it will pull at {where}" if demand.pulls else told,
                    value=demand.least,
                    limit=demand.given,
                    passed=not demand.pulls,
                    advice="Take a cloth that stretches more that way, or try it bent in a toile first: the "
                    "figures are of other people's skin, and cloth slides, which helps."
                    if demand.pulls
                    else "",
                )
            )
    return checks


def _edges_round(
    garment: KnitGarment, flats: Mapping[str, FlatPanel], cloths: Mapping[str, PanelCloth]
) -> Check:
    """Truing gives and takes a little everywhere; an edge round the body must not pay much of it."""
    worst = 0.0
    for opening in garment.openings:
        if opening.kind not in ("waist", "ankle", "wrist"):
            continue
        wanted = sum(
            worn * (1.0 - cloths[slug].reduction.around)
            for slug, worn in worn_lengths(garment, opening).items()
        )
        cut = sum(cut_lengths(garment, flats, opening).values())
        worst = max(worst, abs(cut / wanted - 1.0))
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
    cloths: Mapping[str, PanelCloth],
    closure: Closure | None,
) -> list[Check]:
    checks = []
    for opening in garment.openings:
        # A zip opens the trunk; it is of no help to a hand or a heel.
        zipped = closure is not None and opening.slug == closure.opening.slug
        cut = cut_round(garment, flats, opening)
        stretch = stretch_round(garment, flats, opening, cloths)
        if closure is not None and zipped:
            # The zip itself does not stretch.
            cut += closure.extra / (1.0 + stretch)
        widest = form.measures.get(opening.measure)
        if widest is None:
            continue
        result = check_opening(cut, stretch, widest)
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


def stretch_check(cloth: Cloth, inset: Cloth) -> Check:
    """A set-in cloth gives at least as much as the cloth around it, both ways (common practice)."""
    short = max(cloth.stretch_across - inset.stretch_across, cloth.stretch_along - inset.stretch_along)
    passed = short <= 0.0
    return Check(
        what="what is set in stretches as far as the cloth around it"
        if passed
        else "what is set in stretches less than the cloth around it, and will hold the window in",
        value=max(short, 0.0),
        limit=0.0,
        passed=passed,
        advice="" if passed else "Take a mesh that stretches more, both ways, or make the window smaller.",
    )
