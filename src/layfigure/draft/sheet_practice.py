"""How stiff sheets are joined, bent and handled: defaults a maker may change."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from layfigure.materials.cloth import Cloth, MaterialKind


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetPractice:
    """Trade practice for one kind of sheet.

    neutral_share : K, where the sheet keeps its length, as a share of thickness from the inside.
    band_lap : overlap where two bands join [mm], 0 for a butt join. least_radius : tightest easy bend [mm].
    closure : overlap where the piece closes on itself [mm].
    """

    neutral_share: float
    band_lap: float
    least_radius: float
    closure: float


_FOAM = SheetPractice(neutral_share=0.5, band_lap=0.0, least_radius=15.0, closure=50.0)
_LEATHER = SheetPractice(neutral_share=0.4, band_lap=12.0, least_radius=10.0, closure=40.0)
_THERMOPLASTIC = SheetPractice(neutral_share=0.5, band_lap=8.0, least_radius=12.0, closure=50.0)
_PAPER = SheetPractice(neutral_share=0.5, band_lap=10.0, least_radius=8.0, closure=40.0)
_CLOTH = SheetPractice(neutral_share=0.5, band_lap=10.0, least_radius=8.0, closure=40.0)

_PRACTICE: dict[MaterialKind, SheetPractice] = {
    "foam": _FOAM,
    "leather": _LEATHER,
    "thermoplastic": _THERMOPLASTIC,
    "paper": _PAPER,
    "woven": _CLOTH,
    "knit": _CLOTH,
    "mesh": _CLOTH,
}


_ARROWS: dict[MaterialKind, Literal["grain", "stretch"]] = {
    "knit": "stretch",
    "mesh": "stretch",
    "woven": "grain",
    "leather": "grain",
}


def arrow_kind(cloth: Cloth) -> Literal["grain", "stretch", "any"]:
    """What the arrow on a piece of a material means: its grain or spine, its stretch, or nothing."""
    return _ARROWS.get(cloth.kind, "any")


def sheet_practice(cloth: Cloth) -> SheetPractice:
    """Practice for a material.

    Leather laps 10 to 12 mm, thermoplastic 5 to 10, foam butts; hook and loop overlaps 40 mm on straps and 50
    on armour: common practice, no source. Neutral plane a third to a half of the thickness from inside:
    general sheet-metal notes; 0.4 for leather, 0.5 for foam, is our choice within that.
    """
    return _PRACTICE[cloth.kind]


def cautions_for(cloth: Cloth) -> tuple[str, ...]:
    """Usual cautions for working a material; local rules and the maker's data sheets come first."""
    blades = "Blades: cut away from the hand on a mat, with a fresh blade; put the cap back on."
    heat = "Heat gun or oven: gloves, a clear bench, nothing that burns nearby, and fresh air."
    fumes = (
        "Contact and solvent cement: outdoors or with an exhaust, away from flames, with gloves; "
        "follow the label and local rules."
    )
    if cloth.kind == "foam":
        dust = "Sanding foam: a particle mask, and keep the dust out of the room."
        return (blades, heat, fumes, dust)
    if cloth.kind == "thermoplastic":
        return (blades, heat, "Warm sheet burns skin: let it cool before it touches the wearer.")
    if cloth.kind == "leather":
        return (blades, fumes, "Metal fittings can hold nickel: ask the wearer about allergies.")
    return (blades,)
