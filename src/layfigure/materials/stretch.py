"""How much of a cloth's stretch a close garment may use at rest, and what that does to the cloth."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from layfigure.errors import DraftError
from layfigure.materials.cloth import Cloth

StretchClass = Literal["stable", "moderate", "stretchy", "very stretchy"]

USABLE_SHARE = 0.35
"""Of the measured stretch, what may be used standing still; the rest is for movement. Common practice:
30 to 40 %, no source."""

USUAL_ROUND, MOST_ROUND = 0.10, 0.15
"""Usual and greatest reduction round the body. Common practice for close suits of 50 % cloth: 8 to 15 %;
custom pressure garments start at 10 % (AUTEX Res. J., doi 10.2478/aut-2020-0048)."""

USUAL_ALONG, MOST_ALONG, ALONG_NEEDS = 0.02, 0.05, 0.40
"""Usual and greatest reduction along the body, and the stretch along that allows any. Common practice;
bending changes lengths and not girths, so lengths stay nearly whole."""

LEAST_STRETCH = 0.25
"""Below this a cloth is no knit for a skin-tight garment: a stable knit wants a woven's shape."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Reduction:
    """What is taken off the body's size, as shares of it: 0.1 makes 900 mm into 810 mm."""

    around: float
    along: float

    @property
    def worn_stretch(self) -> tuple[float, float]:
        """Stretch of the cloth as worn, round and along, as shares of its rest length."""
        return 1.0 / (1.0 - self.around) - 1.0, 1.0 / (1.0 - self.along) - 1.0


def stretch_class(stretch: float) -> StretchClass:
    """Name of a stretch across, as knits are sorted: stable to 25 %, moderate to 30, stretchy to 50."""
    if stretch < 0.25:
        return "stable"
    if stretch < 0.30:
        return "moderate"
    return "stretchy" if stretch < 0.50 else "very stretchy"


def whole_stretch_reduction(ratio: float) -> float:
    """Reduction that uses the whole stretch: 1 - 1/ratio, ratio = stretched over rest; never exceed it."""
    return 1.0 - 1.0 / ratio


def reduction_limits(cloth: Cloth) -> Reduction:
    """Greatest reductions a cloth allows at rest."""
    around = whole_stretch_reduction(1.0 + USABLE_SHARE * cloth.stretch_across)
    along = whole_stretch_reduction(1.0 + USABLE_SHARE * cloth.stretch_along)
    return Reduction(
        around=min(MOST_ROUND, around),
        along=min(MOST_ALONG, along) if cloth.stretch_along >= ALONG_NEEDS else 0.0,
    )


def choose_reduction(
    cloth: Cloth, *, around: float | None = None, along: float | None = None, where: str = ""
) -> Reduction:
    """Reductions for a close garment: the asked ones checked, the usual ones where none is asked.

    Raises DraftError for a cloth that stretches too little and for more than the cloth bears.
    """
    if cloth.stretch_across < LEAST_STRETCH:
        raise DraftError(
            f"cloth {cloth.slug!r} stretches {cloth.stretch_across:.0%} across; a skin-tight garment needs "
            f"{LEAST_STRETCH:.0%} or more.",
            where=where,
            advice="Measure its stretch by the hand test, or choose a knit that stretches.",
        )
    limit = reduction_limits(cloth)
    chosen = Reduction(
        around=min(USUAL_ROUND, limit.around) if around is None else around,
        along=min(USUAL_ALONG, limit.along) if along is None else along,
    )
    for word, asked, most in (
        ("round", chosen.around, limit.around),
        ("along", chosen.along, limit.along),
    ):
        if asked > most + 1e-9:
            raise DraftError(
                f"{asked:.1%} {word} the body is more than cloth {cloth.slug!r} bears standing still "
                f"({most:.1%}).",
                where=where,
                advice="Ask for less, or take a cloth with more stretch.",
            )
    return chosen


def worn_mass(cloth: Cloth, worn: tuple[float, float]) -> float:
    """Areal mass of the cloth as worn [g/m²]: it thins as it stretches, and shows more through."""
    return cloth.areal_mass / ((1.0 + worn[0]) * (1.0 + worn[1]))
