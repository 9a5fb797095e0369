"""All panels' outlines and flat places while they are being solved for together."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from layfigure.draft.flatten.elimination import KeptStiffness
from layfigure.draft.flatten.outline_quadrature import OutlineQuadrature
from layfigure.draft.flatten.settling import SettledPanels
from layfigure.draft.flatten.softness import SlowShapes

Complex = NDArray[np.complex128]
Reals = NDArray[np.float64]


SETTLINGS = 2
"""How often faces turn and inner vertices follow in each placing of the outlines. Where they follow but once,
outlines creep, and end three times as far from where they would rest in the same time.
"""


@dataclass(slots=True, eq=False)
class PanelProblem:
    """What is one panel's own.

    fairness : (h, h) of its headings. coarse : (h + s, waves) slow waves of its unknowns; shapes : of its
    outline; see ``softness``. kept, kept_increments : the outline's stiffness, and the outline it was worked
    out for.
    """

    fairness: Reals
    coarse: Reals
    shapes: SlowShapes
    kept: KeptStiffness | None = None
    kept_increments: Complex = field(default_factory=lambda: np.empty(0, dtype=np.complex128))


@dataclass(slots=True, eq=False)
class JointProblem:
    """Panels that are solved for together.

    unknowns : headings of all panels and speeds of all seams, as ``OutlineUnknowns`` has them; fairness :
    (s, s) of the speeds. condition_rows : (c, all headings) take the headings to sums that must be
    condition_totals, (c,). flat : (n,) all vertices. increments : (q,) the outlines', with the present
    unknowns. pull : on all vertices, (n,), of faces turned as best suits ``flat``.
    """

    panels: tuple[PanelProblem, ...]
    system: SettledPanels
    quadrature: OutlineQuadrature
    fairness: Reals
    condition_rows: Reals
    condition_totals: Reals
    unknowns: Reals
    flat: Complex
    increments: Complex = field(init=False)
    pull: Complex = field(init=False)

    def __post_init__(self) -> None:
        self.increments = self.quadrature.increments(self.unknowns)
        self.pull = self.system.pull(self.flat)

    @property
    def theta(self) -> Reals:
        """All headings."""
        return self.unknowns[: self.quadrature.unknowns.total]

    @property
    def gamma(self) -> Reals:
        """All speeds."""
        return self.unknowns[self.quadrature.unknowns.total :]

    def set_unknowns(self, unknowns: Reals) -> None:
        """Give the outlines their headings and speeds."""
        self.unknowns = unknowns
        self.increments = self.quadrature.increments(unknowns)

    def place(self) -> float:
        """Lay all panels into their present outlines; returns how far any outline moved [mm]."""
        outline, _ = self.quadrature.positions(self.increments)
        loop, parts = self.system.stiffness.loop, self.system.stiffness.mesh.parts
        before = self.flat[loop]
        for _ in range(SETTLINGS):
            self.flat = self.system.placed(outline, self.pull)
            self.pull = self.system.pull(self.flat)
        moved = outline - before
        return max(float(np.abs(moved[p.outline] - moved[p.outline].mean()).max()) for p in parts)
