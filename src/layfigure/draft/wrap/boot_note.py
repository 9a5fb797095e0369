"""What a boot cover needs beside its panels, and how it is made."""

from __future__ import annotations

from layfigure.draft.sheet_practice import cautions_for
from layfigure.draft.wrap.boot_options import BootOptions
from layfigure.materials.cloth import Cloth
from layfigure.piece.item import Item

STRAP_SNUG = 0.9
"""An elastic under the sole is cut to this share of its way (common practice, no source)."""
STRAP_ENDS = 40.0
"""Sewn at both ends of the strap together [mm]."""


def boot_items(label: str, options: BootOptions, *, zip_length: float, under: float) -> tuple[Item, ...]:
    """Zip and strap of one cover. zip_length [mm]; under : way from edge to edge under the shoe [mm]."""
    items = []
    if options.opening != "none":
        items.append(
            Item(
                slug="zip",
                name="zip, closed at one end",
                length=zip_length,
                use=f"{label}: at the {options.opening}, its open end at the top",
            )
        )
    if options.bottom == "separate":
        items.append(
            Item(
                slug="elastic_25mm",
                name="elastic, 25 mm wide",
                length=STRAP_SNUG * under + STRAP_ENDS,
                use=f"{label}: under the shoe in front of its heel, 20 mm sewn at either end",
            )
        )
    return tuple(items)


def boot_note(cloth: Cloth, options: BootOptions, *, strain: float, zip_length: float) -> tuple[str, ...]:
    """Instructions in order. strain : 95th percentile of stretch, a share."""
    note = [
        f"Cut two panels of {cloth.name}, one with the drawing turned over; mark the ankle line on both.",
        "Sew the front seam from the top down to the toe, notch to notch; clip it at the bend of the ankle.",
    ]
    if options.opening == "back":
        note.append(
            f"Put the zip, {zip_length:.0f} mm, into the back seam from the top; sew the rest below it."
        )
    else:
        note.append("Sew the back seam from the top down to the heel, notch to notch.")
    if options.opening == "inside":
        note.insert(1, "Slit the inner panel only along the zip's line and put in the zip before any seam.")
    note.append("Finish the top edge.")
    if options.bottom == "separate":
        note.append("Hem the lower edge, or leave it as cut where nothing frays.")
        note.append("Sew the elastic to the inside of the lower edge, at the mark on either panel.")
    else:
        note.append(
            f"Put it on the stuffed shoe, ankle line level, and pin the sole line. Glue or stitch the "
            f"{options.under:g} mm beyond it under the edge of the sole, toe and heel first, then the sides."
        )
    note.append(
        "Round the toe and at the bend of the ankle the cloth is worked in: most of the panel gives up to "
        f"{100.0 * strain:.0f} %. Ease or steam it over the shoe there, or gather the last hand's width of "
        "the lower edge before the toe."
    )
    return tuple(note)


def boot_cautions(cloth: Cloth, options: BootOptions) -> tuple[str, ...]:
    """Usual cautions; local rules and data sheets come first."""
    cautions = cautions_for(cloth)
    glue = "Contact cement: outdoors or with an exhaust, away from flames, with gloves; follow the label."
    if options.bottom == "sewn" and not any("cement" in line for line in cautions):
        cautions = (*cautions, glue)
    if options.bottom == "separate":
        cautions = (
            *cautions,
            "A strap under the sole can slip or catch on stairs: try it on dry floor first.",
        )
    return cautions
