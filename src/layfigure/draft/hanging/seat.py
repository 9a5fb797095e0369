"""Cloth that hangs behind somebody who sits: sat upon, it pulls at the neck, and it reaches the wheels."""

from __future__ import annotations

from layfigure.body.form import Form
from layfigure.draft.registry import Check

ADVICE = (
    "Sitting, it is sat upon and pulls at its top: end it at the seat, or slit it behind and let it fall "
    "beside the seat. Keep it clear of wheels."
)


def sat_upon_check(form: Form, lowest_behind: float) -> Check | None:
    """How far cloth behind goes on below the seat of a wearer who sits; None for one who stands.

    lowest_behind : its lowest place behind, standing [mm]. The seat is taken to be where the trunk ends.
    """
    if form.posture != "seated" or "crotch" not in form.level_heights:
        return None
    below = max(0.0, form.level_heights["crotch"] - lowest_behind)
    return Check.at_most(
        what="how far it goes on below the seat of a wearer who sits",
        unit="mm",
        value=below,
        limit=0.0,
        advice=ADVICE,
    )
