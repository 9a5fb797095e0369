"""A mesh cut until sheets can make it: seams drawn smooth, flat pieces brought to agree."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from layfigure.draft.shell.chart import CutMesh, FlatChart
from layfigure.draft.shell.chart_agreement import in_agreement, stretch_of
from layfigure.draft.shell.chart_fairing import faired, without_teeth
from layfigure.draft.shell.chart_seams import Chain, chain_bevels, chains_of
from layfigure.draft.shell.chart_truing import true_charts
from layfigure.draft.shell.flattening import STRETCH_MOST, STRETCH_P95, excess
from layfigure.draft.shell.greedy_cuts import cut_flat
from layfigure.geometry.mesh import TriangleMesh

Points = NDArray[np.float64]
Flags = NDArray[np.bool_]

FIRST_ROUND = 0.75
"""Share of the pieces allowed that the first round of cutting may use."""

FIRST_MARGIN, SECOND_MARGIN = 1.5, 1.3
"""Beyond the limits, what a chart laid alone may stretch: charts that settle together share it out."""

MENDING_ROUNDS = 5

MOST_PIECES = 80
"""More pieces than this nobody glues together."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CutShell:
    """A mesh cut and laid flat. chains : its seams. bevels : of the chains. p95, most : stretch, shares."""

    cut_mesh: CutMesh
    charts: Sequence[FlatChart]
    chains: Sequence[Chain]
    bevels: Points
    p95: float
    most: float

    @property
    def fits(self) -> bool:
        """Whether sheets can make it: stretch within the limits, no face turned over, no outline crossed."""
        lie = all(laid.clear and not laid.turned for laid in self.charts)
        return lie and excess(self.p95, self.most) <= 1.0


def cut_shell(mesh: TriangleMesh, *, most_pieces: int, held: Flags | None = None) -> CutShell:
    """Cut a mended mesh until it lies flat, and make its seams equal.

    Seams are drawn smooth after a first round of cutting; later ones mend what that stretched. held : (e,) of
    the mesh's edges, True where it is cut beforehand and stays so.
    """
    cut_mesh = CutMesh(mesh, held)
    cut_flat(cut_mesh, most_pieces=max(1, int(FIRST_ROUND * most_pieces)), margin=FIRST_MARGIN)
    _draw_smooth(cut_mesh, mesh)
    cut_flat(cut_mesh, most_pieces=most_pieces, margin=SECOND_MARGIN)
    _draw_smooth(cut_mesh, mesh)
    charts = cut_flat(cut_mesh, most_pieces=most_pieces, margin=SECOND_MARGIN)
    return _mended(_trued(cut_mesh, charts), most_pieces)


def _mended(shell: CutShell, most_pieces: int) -> CutShell:
    best = shell
    for _ in range(MENDING_ROUNDS):
        if shell.fits:
            break
        poor = [laid for laid in shell.charts if _fails(laid, shell)]
        good = [laid for laid in shell.charts if not _fails(laid, shell)]
        cut_mesh = shell.cut_mesh.copied()
        more = cut_flat(cut_mesh, most_pieces=most_pieces - len(good), margin=1.0, laid=poor)
        if (cut_mesh.cut == shell.cut_mesh.cut).all():
            break
        shell = _trued(cut_mesh, [*good, *more])
        best = min(best, shell, key=_worse)
    return best


def _worse(shell: CutShell) -> float:
    crossed = sum(bool(laid.turned) or not laid.clear for laid in shell.charts)
    return 100.0 * crossed + excess(shell.p95, shell.most)


def _fails(laid: FlatChart, shell: CutShell) -> bool:
    much = shell.p95 > STRETCH_P95 and laid.p95 > STRETCH_P95
    return much or laid.most > STRETCH_MOST or bool(laid.turned) or not laid.clear


def _draw_smooth(cut_mesh: CutMesh, mesh: TriangleMesh) -> None:
    without_teeth(cut_mesh)
    cut_mesh.mesh = TriangleMesh(faired(cut_mesh, chains_of(cut_mesh)), mesh.faces)


def _trued(cut_mesh: CutMesh, charts: Sequence[FlatChart]) -> CutShell:
    trued = true_charts(in_agreement(charts))
    chains = chains_of(cut_mesh)
    p95, most = stretch_of(trued)
    return CutShell(
        cut_mesh=cut_mesh,
        charts=trued,
        chains=chains,
        bevels=chain_bevels(cut_mesh, chains),
        p95=p95,
        most=most,
    )
