"""The bands of a wrap drawn flat: their lines, how each side is finished, and the seams they share."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from layfigure.draft.wrap.outline import FlatLine
from layfigure.draft.wrap.piece import BandOutline, EdgeUse, outline_edges
from layfigure.draft.wrap.plan import WrapPlan
from layfigure.errors import DraftError
from layfigure.piece.piece import EdgeRole, PieceEdge


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class DrawnBand:
    """A band laid flat. number : of how many, 1 at the bottom. edges : counter-clockwise from the bottom."""

    number: int
    of: int
    outline: BandOutline
    bottom: FlatLine
    top: FlatLine
    edges: tuple[PieceEdge, ...]

    @property
    def end(self) -> float:
        """Height of the end that closes [mm]."""
        return next(edge.length for edge in self.edges if edge.slug == "right")


def drawn_bands(
    plan: WrapPlan, outlines: Sequence[BandOutline], *, overlap: float, seam_lap: float, apart: bool
) -> list[DrawnBand]:
    """Bands with their edges, from the bottom.

    overlap : of the closure, seam_lap : of one band over the next [mm]. apart : bands are not joined to each
    other. Raises DraftError for an edge too short for its band.
    """
    drawn = []
    for number, outline in enumerate(outlines, start=1):
        try:
            bottom, top = outline.lines()
        except ValueError as error:
            raise DraftError(
                f"an edge of {plan.slug} {error}.", advice="Draw it right round, or cover a smaller share."
            ) from error
        uses = _uses(plan, number, len(outlines), overlap=overlap, seam_lap=seam_lap, apart=apart)
        drawn.append(
            DrawnBand(
                number=number,
                of=len(outlines),
                outline=outline,
                bottom=bottom,
                top=top,
                edges=outline_edges(bottom, top, uses=uses),
            )
        )
    return drawn


def _uses(
    plan: WrapPlan, number: int, of: int, *, overlap: float, seam_lap: float, apart: bool
) -> dict[str, EdgeUse]:
    """Finish of bottom, right, top and left of one band; bands of a lattice cut apart share no seam."""
    finished = EdgeUse(role="opening")
    between: EdgeRole = "seam" if seam_lap > 0.0 else "butt"
    closing = f"{plan.slug}:closure_{number}"
    ends = {
        "overlap": (
            EdgeUse(role="closure", allowance=overlap, seam=closing),
            EdgeUse(role="closure", seam=closing),
        ),
        "butt": (EdgeUse(role="butt", seam=closing), EdgeUse(role="butt", seam=closing)),
        "lacing": (EdgeUse(role="closure"), EdgeUse(role="closure")),
        "open": (finished, finished),
    }[plan.join]
    return {
        "bottom": finished
        if number == 1 or apart
        else EdgeUse(role=between, seam=f"{plan.slug}:band_{number - 1}_{number}"),
        "top": finished
        if number == of or apart
        else EdgeUse(role=between, allowance=seam_lap, seam=f"{plan.slug}:band_{number}_{number + 1}"),
        "right": ends[0],
        "left": ends[1],
    }
