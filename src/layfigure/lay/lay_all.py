"""Every cloth of a costume laid: one layout a cloth, time shared out by what there is to win."""

from __future__ import annotations

import time
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace

from layfigure.errors import LayError
from layfigure.lay.cloth_plan import ClothPlan, first_layout, laid_cloth, plan_cloth, searched_boards
from layfigure.lay.laid import AllLaid, Alternative, ClothLaid
from layfigure.lay.layout import Layout, Surface
from layfigure.lay.roll import lay_roll
from layfigure.lay.settings import LaySettings
from layfigure.lay.share_time import share_time
from layfigure.lay.verify import faults_of
from layfigure.materials.stock import Stock
from layfigure.piece.piece import Piece
from layfigure.recompute.job import Job, QuietJob


def lay_all(
    pieces: Mapping[str, Sequence[Piece]],
    stock: Stock,
    settings: LaySettings | None = None,
    job: Job | None = None,
    *,
    before: Mapping[str, Layout] | None = None,
    hides: Mapping[str, Sequence[Surface]] | None = None,
    only: Sequence[str] = (),
) -> AllLaid:
    """Lay every cloth.

    pieces : of every statement. before : stored layouts by cloth; one of the same parts is used as it is, or
    searched on from where ``settings.again`` says so. hides : outlines of leather by cloth. only : these
    cloths.
    A cloth that cannot be laid is refused with a reason; the others stand. A cancelled job gives the best so
    far.
    """
    settings, job = settings or LaySettings(), job or QuietJob()
    plans, refused = _plans(pieces, stock, settings, hides or {}, only)
    done: dict[str, ClothLaid] = {}
    open_: dict[str, tuple[ClothPlan, Layout, tuple[Alternative, ...]]] = {}
    for number, (slug, plan) in enumerate(plans.items()):
        job.progress(0.1 * number / len(plans), f"laying {plan.cloth.name}")
        stored = _stored(plan, (before or {}).get(slug))
        try:
            if stored is not None and not settings.again:
                done[slug] = laid_cloth(plan, stored, (), reused=True)
                continue
            first, alternatives = first_layout(plan, job)
        except LayError as error:
            refused[slug] = LayError(error.what, where=error.where or slug, advice=error.advice)
            continue
        if stored is not None and _better(stored, first):
            first = replace(stored, seconds=stored.seconds)
        open_[slug] = (plan, first, alternatives)
    for slug, layout in _search(open_, settings, job).items():
        plan, _, alternatives = open_[slug]
        # Leather of which no hide is at hand is estimated, not laid.
        faults = faults_of(layout, plan.wanted) if layout.sections else []
        if faults:
            # No layout that does not stand the check leaves here: better none than one that spoils cloth.
            refused[slug] = LayError(
                f"the layout failed its check: {faults[0]}.", where=slug, advice="Lay it again."
            )
            continue
        done[slug] = laid_cloth(plan, layout, alternatives)
    return AllLaid(cloths={slug: done[slug] for slug in plans if slug in done}, refused=refused)


def _plans(
    pieces: Mapping[str, Sequence[Piece]],
    stock: Stock,
    settings: LaySettings,
    hides: Mapping[str, Sequence[Surface]],
    only: Sequence[str],
) -> tuple[dict[str, ClothPlan], dict[str, LayError]]:
    by_cloth: dict[str, list[tuple[str, Piece]]] = {}
    for statement, own in pieces.items():
        for piece in own:
            by_cloth.setdefault(piece.cloth, []).append((statement, piece))
    plans: dict[str, ClothPlan] = {}
    refused: dict[str, LayError] = {}
    for slug, used in by_cloth.items():
        if (only and slug not in only) or slug not in stock.cloths:
            continue
        try:
            plans[slug] = plan_cloth(
                stock.cloths[slug],
                stock.supply(slug),
                [piece for _, piece in used],
                [statement for statement, _ in used],
                settings,
                hides.get(slug, ()),
            )
        except LayError as error:
            refused[slug] = error
    return plans, refused


def _stored(plan: ClothPlan, layout: Layout | None) -> Layout | None:
    """A stored layout of the same parts on the same cloth that stands the check again."""
    if layout is None or layout.fingerprint != plan.key:
        return None
    if layout.sections and faults_of(layout, plan.wanted):
        return None
    return layout


def _better(stored: Layout, found: Layout) -> bool:
    return (len(stored.sections), stored.area) <= (len(found.sections), found.area)


def _search(
    open_: Mapping[str, tuple[ClothPlan, Layout, tuple[Alternative, ...]]], settings: LaySettings, job: Job
) -> dict[str, Layout]:
    """The layouts after the search: strips by the solver, sheets and hides by other orders."""
    strips = [
        (slug, index)
        for slug, (plan, layout, _) in open_.items()
        if plan.on_roll
        for index, section in enumerate(layout.sections)
        if section.kind in ("single", "fold")
    ]
    boards = [slug for slug, (plan, layout, _) in open_.items() if not plan.on_roll and layout.count > 1]
    # Boards are searched by us alone, and seldom gain much after the first seconds.
    each = min(5.0, settings.seconds / max(1, len(boards) + len(strips)))
    sections = [open_[slug][1].sections[index] for slug, index in strips]
    shares = share_time(sections, max(0.0, settings.seconds - each * len(boards)))
    result = {slug: layout for slug, (_, layout, _) in open_.items()}
    told = _Told(job, sum(shares) + each * len(boards))
    for (slug, index), section, seconds in zip(strips, sections, shares, strict=True):
        if seconds > 0.0 and not job.cancelled():
            plan, layout = open_[slug][0], result[slug]
            told.what = plan.cloth.name
            started = time.monotonic()
            found = lay_roll(
                section.parts,
                section.width,
                kind=section.kind,
                name=section.name,
                repeat=section.repeat,
                seconds=seconds,
                seed=settings.seed + 1 + round(layout.seconds),
                threads=settings.threads,
                rounds=settings.rounds,
                before=section,
                job=job,
                said=told.of(seconds),
            )
            spent = layout.seconds + time.monotonic() - started
            changed = [*layout.sections[:index], found, *layout.sections[index + 1 :]]
            result[slug] = replace(layout, sections=tuple(changed), seconds=spent)
            told.before += seconds
    for slug in boards:
        if each >= 1.0 and not job.cancelled():
            plan, layout, _ = open_[slug]
            told.what = plan.cloth.name
            searched = replace(searched_boards(plan, each, job), seconds=layout.seconds + each)
            result[slug] = (
                searched if not _better(layout, searched) else replace(layout, seconds=searched.seconds)
            )
            told.before += each
    return result


class _Told:
    """Progress of one search among several, in the words of the maker."""

    def __init__(self, job: Job, seconds: float) -> None:
        self.job, self.seconds = job, max(seconds, 1e-9)
        self.before, self.what = 0.0, ""

    def of(self, own: float) -> Callable[[float, float], None]:
        """What a search of so many seconds calls."""

        def said(share: float, length: float) -> None:
            found = f": {length / 1000.0:.2f} m" if length < 1e6 else ""
            self.job.progress(
                0.1 + 0.9 * min(1.0, (self.before + share * own) / self.seconds),
                f"laying {self.what}{found}",
            )

        return said
