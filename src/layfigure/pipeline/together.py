"""Pieces held against each other on the wearer: what collides, and what pictures show of them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from layfigure.body.form import Form
from layfigure.draft.registry import DraftResult
from layfigure.draft.told import result_told
from layfigure.pipeline.collisions import collision_checks, with_checks
from layfigure.pipeline.layers import covered_by
from layfigure.pipeline.shown import shown_surfaces
from layfigure.pipeline.work import Work, draft_all, keyed_drafts
from layfigure.recompute.graph import Keyed, Node
from layfigure.recompute.job import Job
from layfigure.recompute.pool import WorkerPool


def draft_together(
    work: Work, job: Job | None = None, pool: WorkerPool | None = None
) -> dict[str, DraftResult]:
    """Every piece as ``draft_all`` gives it, with a check each of how it lies over and beside the others.

    Lengths in its sentences are in the wearer's unit.
    """
    held = held_together(work, draft_all(work, job, pool))
    unit, names = work.wearer.unit, [cloth.name for cloth in work.folder.cloths.values()]
    return {piece.slug: result_told(held[piece.slug], unit, piece.options, names) for piece in work.chosen}


def held_together(work: Work, drafts: Mapping[str, DraftResult]) -> dict[str, DraftResult]:
    """The drafts with those checks."""
    placement = work.placed.value()
    covered = {piece.slug: covered_by(piece, placement) for piece in work.chosen}
    checks = work.graph.node(collision_checks, work.chosen, _worn(work, drafts), _form(work), covered)
    return with_checks(dict(drafts), checks.value())


def as_shown(work: Work, drafts: Mapping[str, DraftResult]) -> dict[str, DraftResult]:
    """The drafts as pictures show them: what lies above drawn over what lies beneath."""
    surfaces = work.graph.node(shown_surfaces, work.chosen, _worn(work, drafts), _form(work)).value()
    return {slug: replace(result, worn=surfaces[slug], wearing=None) for slug, result in drafts.items()}


def as_worn(drafts: Mapping[str, DraftResult], form: Form) -> dict[str, DraftResult]:
    """The drafts with what they left to be laid on the standing wearer."""
    return {slug: replace(result, worn=result.worn_on(form), wearing=None) for slug, result in drafts.items()}


def _worn(work: Work, drafts: Mapping[str, DraftResult]) -> Node[dict[str, DraftResult]]:
    return work.graph.node(as_worn, keyed_drafts(work, drafts), _form(work), stored=False)


def _form(work: Work) -> Keyed[Form]:
    return Keyed(work.body.value().form, by=work.body.key)
