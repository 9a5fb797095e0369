"""How far a close garment can be trusted, and what would lift it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from layfigure.body.form import Form
from layfigure.draft.registry import Check
from layfigure.draft.verdict import guessed_tapes
from layfigure.materials.cloth import Cloth
from layfigure.piece.piece import Reason, Verdict, VerdictLevel

SEVERAL = 3
"""Guessed measures from this number on make a toile in cheap knit pointless before the tape has spoken."""


def knit_verdict(
    checks: Iterable[Check], *, form: Form, cloth: Cloth, measures: Sequence[str], where: str
) -> Verdict:
    """Good material only when every governing measure was taken, the cloth was tested and all checks passed.

    measures : stored names that decide the garment's size. where : the statement's slug.
    """
    reasons = guessed_tapes(measures, form)
    guessed = len(reasons)
    if not cloth.tested:
        reasons.append(
            Reason(
                why=f"the stretch of cloth {cloth.slug} is not tested",
                lifted_by="Fold 10 cm, stretch it until it resists, write down both directions.",
            )
        )
    failed = [check for check in checks if not check.passed]
    reasons += [
        Reason(
            why=f"{where}: {check.what}",
            lifted_by=check.advice or "Move the edge or the seam nearest to it.",
        )
        for check in failed
    ]
    level: VerdictLevel = "good material"
    if reasons:
        level = "paper" if guessed >= SEVERAL or failed else "scrap"
    return Verdict(level=level, reasons=tuple(reasons))
