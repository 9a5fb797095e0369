"""How flat pieces are joined and edged, by material: defaults a maker may change."""

from __future__ import annotations

from dataclasses import dataclass

from layfigure.materials.cloth import Cloth, MaterialKind


@dataclass(frozen=True, slots=True, kw_only=True)
class SewnPractice:
    """Allowances for one kind of material [mm].

    seam : where two pieces join. hem : a straight hem. curved_hem : one that must be eased or faced, so
    narrower. edge : an edge that is turned in or faced. raw : the material may be left as cut.
    """

    seam: float
    hem: float
    curved_hem: float
    edge: float
    raw: bool


_SEWN: dict[MaterialKind, SewnPractice] = {
    "woven": SewnPractice(seam=15.0, hem=40.0, curved_hem=12.0, edge=15.0, raw=False),
    "knit": SewnPractice(seam=7.0, hem=20.0, curved_hem=12.0, edge=10.0, raw=True),
    "mesh": SewnPractice(seam=7.0, hem=15.0, curved_hem=10.0, edge=10.0, raw=True),
    "leather": SewnPractice(seam=8.0, hem=0.0, curved_hem=0.0, edge=0.0, raw=True),
    "foam": SewnPractice(seam=0.0, hem=0.0, curved_hem=0.0, edge=0.0, raw=True),
    "thermoplastic": SewnPractice(seam=8.0, hem=0.0, curved_hem=0.0, edge=0.0, raw=True),
    "paper": SewnPractice(seam=10.0, hem=0.0, curved_hem=0.0, edge=0.0, raw=True),
}


def sewn_practice(cloth: Cloth) -> SewnPractice:
    """Practice for a material.

    Woven seams 15 mm, hems 30 to 50 straight and about 12 on a circle; knits 7 (the width of an overlocked
    seam, published in a sewing textbook) with hems of 20 or left raw; leather lapped 8 to 12; foam butted:
    common practice, no source.
    """
    return _SEWN[cloth.kind]
