"""How far a stiff piece can be trusted, and what would lift it."""

from __future__ import annotations

from collections.abc import Iterable

from layfigure.body.form import Form
from layfigure.body.levels import split_region
from layfigure.body.measures import CATALOGUE, split_name
from layfigure.draft.registry import Check
from layfigure.materials.cloth import Cloth
from layfigure.piece.piece import Reason, Verdict

# Where along each region a measure is taken, in stations; None for lengths, which govern the whole of it.
GOVERNING: dict[str, tuple[tuple[str, float | None], ...]] = {
    "forearm": (
        ("elbow_girth", 0.0),
        ("forearm_girth", 0.25),
        ("wrist_girth", 1.0),
        ("forearm_length", None),
    ),
    "upper_arm": (("upper_arm_girth", 0.5), ("elbow_girth", 1.0), ("upper_arm_length", None)),
    "hand": (("wrist_girth", 0.0), ("hand_girth", 1.0), ("hand_length", None)),
    "thigh": (
        ("thigh_girth", 0.05),
        ("mid_thigh_girth", 0.5),
        ("lower_thigh_girth", 0.85),
        ("knee_girth", 1.0),
        ("crotch_height", None),
        ("knee_height", None),
    ),
    "shank": (
        ("knee_girth", 0.0),
        ("calf_girth", 0.3),
        ("ankle_girth", 0.9),
        ("knee_height", None),
        ("ankle_height", None),
    ),
    "foot": (("foot_girth", 2.0), ("foot_length", None)),
    "neck": (("neck_girth", 0.5), ("neck_base_girth", 1.0)),
    "head": (("head_girth", 1.0), ("head_length", None), ("head_breadth", None)),
    "torso": (
        ("bust_girth", 1.0),
        ("under_bust_girth", 2.0),
        ("waist_girth", 3.0),
        ("top_hip_girth", 3.5),
        ("hip_girth", 4.0),
        ("waist_height", None),
        ("hip_height", None),
    ),
}

SURE_ENOUGH = 10.0
"""An edge less sure than this, one standard deviation, is not cut in good material [mm]."""


def governing_measures(region: str, first: float, last: float) -> tuple[str, ...]:
    """Stored names of the measures that decide a piece between two stations of a region.

    A girth counts when it is taken within the piece or up to a quarter of a level outside it.
    """
    definition, side = split_region(region)
    suffix = "" if side == "middle" else f"_{side}"
    return tuple(
        f"{stem}{suffix}" if _paired(stem) else stem
        for stem, station in GOVERNING[definition.name]
        if station is None or first - 0.25 <= station <= last + 0.25
    )


def _paired(stem: str) -> bool:
    return stem not in CATALOGUE or CATALOGUE[stem].paired


def wrap_verdict(
    checks: Iterable[Check],
    *,
    form: Form,
    cloth: Cloth,
    measures: Iterable[str],
    spread: float,
    assumed: Iterable[str] = (),
    trial: str = "Bend and join a hand-wide trial strip of it, measure its thickness,",
) -> Verdict:
    """Paper when a check fails; scrap while something is guessed or untried; else good material.

    spread : largest standard deviation of the edges [mm]. assumed : what was assumed beyond measures.
    trial : what to try an untested cloth by, a clause that ends with a comma.
    """
    failed = [check for check in checks if not check.passed]
    if failed:
        return Verdict(
            level="paper",
            reasons=tuple(Reason(why=check.what, lifted_by=check.advice) for check in failed),
        )
    reasons = guessed_tapes(dict.fromkeys(measures), form)
    if not cloth.tested:
        reasons.append(
            Reason(
                why=f"{cloth.name} is untested",
                lifted_by=f"{trial} and mark it tested in materials.toml.",
            )
        )
    reasons += unsure_edges(spread)
    reasons.extend(
        Reason(why=what, lifted_by="Try it on in paper, and adjust the tapes.") for what in assumed
    )
    return Verdict(level="scrap" if reasons else "good material", reasons=tuple(reasons))


def guessed_tapes(measures: Iterable[str], form: Form) -> list[Reason]:
    """A reason for every measure that decides a garment's size and was guessed, in order.

    measures : stored names.
    """
    reasons = []
    for name in measures:
        if name in form.estimated:
            measure, side = split_name(name)
            on = f" on the {side}" if side in ("left", "right") else ""
            reasons.append(
                Reason(why=f"{measure.words}{on} is guessed", lifted_by=f"Measure {measure.place}{on}.")
            )
    return reasons


def unsure_edges(spread: float) -> list[Reason]:
    """A reason where an edge is not sure enough. spread : one standard deviation [mm]."""
    if spread <= SURE_ENOUGH:
        return []
    return [
        Reason(
            why=f"an edge is sure to {spread:.0f} mm only",
            lifted_by="Mark it in another picture, or place it in words.",
        )
    ]
