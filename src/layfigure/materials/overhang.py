"""Bending stiffness from a strip pushed over the edge of a table until its end hangs 41.5° down.

The cantilever test of textile standards (ISO 9073-7): the bending length is half the overhang,
and flexural rigidity is G = m g c³ with c the bending length [m], m the mass per area [kg/m²].
"""

from __future__ import annotations

GRAVITY = 9.80665


def flexural_rigidity(overhang: float, areal_mass: float) -> float:
    """Flexural rigidity per width [µN·m] of a cloth that hangs 41.5° down at an overhang [mm].

    areal_mass : [g/m²]. Source: ISO 9073-7, G = m C³ 10^-3 in mN·cm with m in g/m² and C in cm, which takes
    10 for gravity (formula from memory); here gravity is as it is.
    """
    bending_length = overhang / 2000.0
    return areal_mass / 1000.0 * GRAVITY * bending_length**3 * 1e6
