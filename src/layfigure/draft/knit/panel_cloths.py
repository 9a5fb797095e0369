"""Which cloth each panel of a close garment is cut from, and how much smaller than the body it is for that.

A costume names panels as the report does: ``back``, ``sleeve_left``, ``front_above_hip_yoke``; or only what
they share: ``sleeve``, ``above_hip_yoke``. What says more about a panel comes before what says less.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from itertools import combinations
from typing import get_args

from pydantic import BaseModel

from layfigure.design.design import PieceStatement
from layfigure.draft.flatten.panel import Ease
from layfigure.draft.knit.options import KnitOptions
from layfigure.draft.panels.leggings import leggings_pattern
from layfigure.draft.panels.seam_line import SeamSide
from layfigure.draft.panels.top import SIDES, TopCut, top_pattern
from layfigure.draft.panels.topology import GarmentPlan, PanelPlan
from layfigure.draft.registry import DraftRequest
from layfigure.errors import DraftError
from layfigure.files.nearest import did_you_mean
from layfigure.materials.cloth import Cloth
from layfigure.materials.stretch import Reduction, choose_reduction
from layfigure.units import parse_share


@dataclass(frozen=True, slots=True, kw_only=True)
class PanelCloth:
    """What a panel is cut from, and how much is taken off the body's size for that cloth."""

    cloth: Cloth
    reduction: Reduction

    @property
    def ease(self) -> Ease:
        """What is added to the body's size."""
        return Ease(around=-self.reduction.around, along=-self.reduction.along)


def cloth_named(request: DraftRequest, slug: str) -> Cloth:
    """A cloth of the costume. Raises DraftError where it has none of that name."""
    if slug not in request.cloths:
        raise DraftError(
            f"there is no cloth {slug!r}.",
            where=f"piece {request.statement.slug}",
            advice=f"Known: {', '.join(sorted(request.cloths)) or 'none'}.",
        )
    return request.cloths[slug]


def own_cloth(request: DraftRequest, options: KnitOptions) -> PanelCloth:
    """The garment's own cloth, and how much is taken off for it: as asked, else as the cloth bears.

    Raises DraftError for a cloth that is not there or does not stretch enough.
    """
    cloth = cloth_named(request, request.statement.cloth)
    around, along = (
        None if text is None else parse_share(text)
        for text in (options.reduction_round, options.reduction_along)
    )
    where = f"piece {request.statement.slug}"
    return PanelCloth(cloth=cloth, reduction=choose_reduction(cloth, around=around, along=along, where=where))


def panel_cloths(request: DraftRequest, plan: GarmentPlan, own: PanelCloth) -> Mapping[str, PanelCloth]:
    """The cloth of every panel by slug. own : the garment's, for all that the costume says nothing of.

    Raises DraftError for a name that no panel has, two names that say as much of one panel, and a cloth that
    does not stretch enough.
    """
    where = f"piece {request.statement.slug}"
    other = {}
    for slug in dict.fromkeys(request.statement.cloths.values()):
        cloth = cloth_named(request, slug)
        other[slug] = PanelCloth(cloth=cloth, reduction=choose_reduction(cloth, where=where))
    names = {panel.slug: panel_names(panel) for panel in plan.panels}
    for name in request.statement.cloths:
        if not any(name in own_names for own_names in names.values()):
            known = [name for own_names in names.values() for name in own_names]
            raise DraftError(
                f"it has no panel {name!r} to cut from another cloth.",
                where=where,
                advice=did_you_mean(name, known) or f"Its panels: {', '.join(names)}.",
            )
    found = {}
    for panel in plan.panels:
        said = {
            name: names[panel.slug][name] for name in request.statement.cloths if name in names[panel.slug]
        }
        most = max(said.values(), default=0)
        best = [name for name, rank in said.items() if rank == most]
        cloths = {request.statement.cloths[name] for name in best}
        if len(cloths) > 1:
            raise DraftError(
                f"two cloths are named for its {panel_words(panel)}: {' and '.join(sorted(best))}.",
                where=where,
                advice=f"Name the panel itself as well: {panel.slug}.",
            )
        found[panel.slug] = other[cloths.pop()] if cloths else own
    return found


def panel_names(panel: PanelPlan) -> Mapping[str, int]:
    """Every name a costume may call a panel by, and how much each says of it."""
    family, _, side = panel.of.rpartition("_")
    wholes = {"": 0, panel.of: 2}
    if side in ("left", "right"):
        wholes[family] = 1
    names = {panel.slug: 100}
    for count in range(len(panel.beside) + 1):
        for chosen in combinations(panel.beside, count):
            sides = [f"{word}_{seam}" for word, seam in chosen]
            for whole, rank in wholes.items():
                name = "_".join(filter(None, (whole, *sides)))
                if name:
                    names.setdefault(name, 3 * count + rank)
    return names


def panel_words(panel: PanelPlan) -> str:
    """A panel as a maker would call it: front, above hip yoke."""
    sides = [f"{word} {seam}" for word, seam in panel.beside]
    return ", ".join([panel.of, *sides]).replace("_", " ")


def own_kinds(cloths: Iterable[PanelCloth]) -> tuple[PanelCloth, ...]:
    """Every different cloth once, in order."""
    return tuple({each.cloth.slug: each for each in cloths}.values())


def possible_panels(statement: PieceStatement, options: BaseModel) -> tuple[str, ...]:
    """Names of panels that a statement may give another cloth, before anything is drafted."""
    assert isinstance(options, KnitOptions)
    if options.garment == "hood":
        return ()
    if options.garment in ("leggings", "shorts"):
        plans = [leggings_pattern(SIDES, panels_a_leg=options.panels_a_leg).plan]
    else:
        sleeves = SIDES if options.has_sleeves else ()
        legs = options.garment == "bodysuit"
        fronts = {"plain": (False,), "princess": (True,), "auto": (False, True)}[options.seams]
        cuts = [TopCut(legs=legs, sleeves=sleeves, princess=princess) for princess in fronts]
        plans = [top_pattern(cut).plan for cut in cuts]
    names = [name for plan in plans for panel in plan.panels for name in panel_names(panel)]
    sides = [f"{side}_{seam}" for seam in statement.seams for side in get_args(SeamSide)]
    return tuple(dict.fromkeys([*names, *sides]))
