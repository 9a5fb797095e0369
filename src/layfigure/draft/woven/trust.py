"""How far a woven garment can be trusted, and what would lift it."""

from __future__ import annotations

from collections.abc import Sequence

from layfigure.body.form import Form
from layfigure.draft.registry import Check
from layfigure.draft.verdict import guessed_tapes, unsure_edges
from layfigure.materials.cloth import Cloth
from layfigure.piece.piece import Reason, Verdict


def woven_verdict(
    checks: Sequence[Check], *, form: Form, cloth: Cloth, measures: Sequence[str], spread: float
) -> Verdict:
    """Paper when a check fails; scrap, which is a toile, while something is guessed or untried.

    measures : stored names that decide the garment's size. spread : of its edges, one standard deviation
    [mm].
    """
    failed = [check for check in checks if not check.passed]
    if failed:
        reasons = tuple(
            Reason(why=check.what, lifted_by=check.advice or "Draft it again.") for check in failed
        )
        return Verdict(level="paper", reasons=reasons)
    reasons_found = guessed_tapes(measures, form)
    if not cloth.tested:
        reasons_found.append(
            Reason(
                why=f"{cloth.name} is untested",
                lifted_by="Wash and press a hand-wide square, measure it again, then mark it tested.",
            )
        )
    reasons_found += unsure_edges(spread)
    return Verdict(level="scrap" if reasons_found else "good material", reasons=tuple(reasons_found))
