"""Papers a pattern is printed on."""

from __future__ import annotations

from dataclasses import dataclass, replace

from layfigure.errors import LayfigureError


class PaperError(LayfigureError):
    """A paper we do not know."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Paper:
    """A sheet of paper or a projected page.

    width, height : [mm]; 0 for a page that grows with the pattern. margin : left free on all sides, as
    printers must. overlap : of neighbouring sheets when joined. dark : light lines on a dark ground.
    """

    name: str
    width: float
    height: float
    margin: float = 10.0
    overlap: float = 10.0
    dark: bool = False

    @property
    def grows(self) -> bool:
        """True for one page as large as the pattern."""
        return self.width <= 0.0

    @property
    def printable(self) -> tuple[float, float]:
        """Width and height inside the margins [mm]."""
        return self.width - 2.0 * self.margin, self.height - 2.0 * self.margin

    @property
    def small(self) -> bool:
        """True for a sheet of an office printer."""
        return 0.0 < min(self.width, self.height) <= 220.0

    @property
    def lying(self) -> bool:
        """True for landscape: wider than high."""
        return self.width > self.height

    @property
    def turned(self) -> Paper:
        """The same sheet on its other side: landscape for portrait."""
        return replace(self, width=self.height, height=self.width)


# A4 and A0: ISO 216. Letter: ANSI/ASME Y14.1 size A, 8.5 by 11 inches.
PAPERS: dict[str, Paper] = {
    paper.name: paper
    for paper in (
        Paper(name="a4", width=210.0, height=297.0),
        Paper(name="letter", width=215.9, height=279.4),
        Paper(name="a0", width=841.0, height=1189.0),
        Paper(name="projector", width=0.0, height=0.0, margin=0.0, overlap=0.0, dark=True),
    )
}


def find_paper(name: str) -> Paper:
    """The paper of that name. Raises PaperError listing the known ones."""
    try:
        return PAPERS[name.lower()]
    except KeyError:
        raise PaperError(
            f"there is no paper {name!r}.", advice=f"Known papers: {', '.join(sorted(PAPERS))}."
        ) from None
