"""How far a woven garment can be trusted, and what would lift it."""

from __future__ import annotations

from collections.abc import Sequence

from layfigure.body.form import Form
from layfigure.body.measures import split_name
from layfigure.draft.registry import Check
from layfigure.draft.verdict import SURE_ENOUGH
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
    reasons_found = []
    for name in measures:
        if name in form.estimated:
            measure, side = split_name(name)
            on = f" on the {side}" if side in ("left", "right") else ""
            reasons_found.append(
                Reason(why=f"{measure.words}{on} is guessed", lifted_by=f"Measure {measure.place}{on}.")
            )
    if not cloth.tested:
        reasons_found.append(
            Reason(
                why=f"{cloth.name} is untested",
                lifted_by="Wash and press a hand-wide square, measure it again, then mark it tested.",
            )
        )
    if spread > SURE_ENOUGH:
        reasons_found.append(
            Reason(
                why=f"an edge is sure to {spread:.0f} mm only",
                lifted_by="Mark it in another picture, or place it in words.",
            )
        )
    return Verdict(level="scrap" if reasons_found else "good material", reasons=tuple(reasons_found))
