"""How a stretched knit pushes back: a linear law between true strain of the cloth and its tension.

Only ratios matter for shape, so stiffness round the body is 1. Ranges are read off the uniaxial tests of
plain knitting ("stockinette") in Singal, Dimitriyev, Gonzalez, Quinn and Matsumoto, "Programming mechanics in
knitted materials, stitch by stitch" (2023), data under MIT licence. Between 5 and 15 % stretch its three
samples narrow by 0.1 to 0.6 of the stretch, and are 1.5 to 4 times stiffer along the wales than across. Those
are hand-yarn knits; elastane knits are nearer to 1 to 2 (common practice, no source), as the nominal law is.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Reals = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class MembraneLaw:
    """Plane stress with two axes.

    narrowing : share of a stretch lost across it (Poisson's ratio, geometric mean of both directions).
    along_stiffness : stiffness along the body over that round it.
    """

    narrowing: float
    along_stiffness: float

    def stiffness(self) -> Reals:
        """Symmetric matrix from (around, along, twice shear) strain to tension, (3, 3)."""
        root = np.sqrt(self.along_stiffness)
        around = 1.0 / (1.0 - self.narrowing**2)
        along = self.along_stiffness * around
        # The shear modulus of an orthotropic sheet by M. T. Huber's interpolation, exact when isotropic.
        shear = root / (2.0 * (1.0 + self.narrowing))
        both = self.narrowing * root * around
        return np.array([[around, both, 0.0], [both, along, 0.0], [0.0, 0.0, shear]])


NOMINAL = MembraneLaw(narrowing=0.35, along_stiffness=1.4)
RANGE = tuple(
    MembraneLaw(narrowing=narrowing, along_stiffness=ratio)
    for narrowing in (0.15, 0.5)
    for ratio in (0.8, 2.5)
)
"""Corners of what cloths differ by."""
