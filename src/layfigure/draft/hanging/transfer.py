"""How artwork gets from paper onto a surface: which aid suits it. Common practice, no source."""

from __future__ import annotations

from dataclasses import dataclass

from layfigure.draft.hanging.options import Surface
from layfigure.materials.cloth import Cloth

DARK = 0.35
"""Relative luminance below which a cloth counts as dark."""
SHEER_MASS = 130.0
"""Cloth lighter than this lets a drawing show through from beneath [g/m²]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TransferAid:
    """A way to carry a drawing over. name : in one phrase. how : in order, a sentence each."""

    name: str
    how: tuple[str, ...]


_SHOW_THROUGH = TransferAid(
    name="tracing from beneath, with a chalk pencil",
    how=(
        "Tape the drawing to a bright window or a light table, the cloth over it.",
        "Trace with a chalk pencil.",
    ),
)
_CARBON = TransferAid(
    name="dressmaker's tracing paper and a wheel",
    how=(
        "Lay tracing paper of a colour that shows face down on the cloth, the drawing on top, pinned.",
        "Run a blunt wheel along every line.",
    ),
)
_POUNCE = TransferAid(
    name="pricking and pouncing with chalk",
    how=(
        "Prick the lines every 2 mm with a needle, the paper on felt.",
        "Pin it down, rub chalk powder through the holes with a pad, lift it straight up.",
        "Join the dots with a chalk pencil at once; blow the rest away.",
    ),
)
_TACKING = TransferAid(
    name="tacking through tissue paper",
    how=(
        "Copy the drawing onto tissue paper and pin it to the cloth.",
        "Tack along the lines with a contrasting thread, then tear the paper away.",
    ),
)
_STYLUS = TransferAid(
    name="a stylus on damp leather",
    how=(
        "Vegetable-tanned leather only: dampen it evenly and wait until its colour begins to return.",
        "Lay film and drawing over it and press the lines in with a blunt stylus.",
        "Other leather takes no dent: prick the lines, or draw with a silver pencil that rubs off.",
    ),
)
_DENT = TransferAid(
    name="pressing through the paper",
    how=(
        "Tape the drawing down and go over every line with a ballpoint: it leaves a dent in the foam.",
        "For areas of paint, cut the drawing out as a stencil.",
    ),
)
_STENCIL = TransferAid(
    name="a stencil held by low-tack tape",
    how=(
        "Rub the back of the drawing with a soft pencil and go over the lines, or cut it out as a stencil.",
        "Wipe the marks off with a damp cloth before sealing.",
    ),
)


def transfer_aid(cloth: Cloth, surface: Surface) -> TransferAid:
    """The aid that suits a cloth and its surface."""
    if cloth.kind == "leather":
        return _STYLUS
    if cloth.kind == "foam":
        return _DENT
    if cloth.kind in ("thermoplastic", "paper") or surface == "coated":
        return _STENCIL
    if surface in ("pile", "textured") or cloth.kind == "mesh":
        return _TACKING
    if cloth.kind == "knit":
        # A wheel drags a knit out of shape.
        return _POUNCE
    if is_dark(cloth):
        return _POUNCE
    return _SHOW_THROUGH if cloth.areal_mass < SHEER_MASS else _CARBON


def is_dark(cloth: Cloth) -> bool:
    """Whether its stated colour is dark; unstated counts as light."""
    if not cloth.colour:
        return False
    red, green, blue = (int(cloth.colour[k : k + 2], 16) / 255.0 for k in (1, 3, 5))
    # Weights of relative luminance (IEC 61966-2-1 primaries); gamma taken as 2.2.
    return bool(0.2126 * red**2.2 + 0.7152 * green**2.2 + 0.0722 * blue**2.2 < DARK)


def transfer_note(cloth: Cloth, surface: Surface) -> tuple[str, ...]:
    """The aid in words, with the trial that every marker needs."""
    aid = transfer_aid(cloth, surface)
    return (
        f"To transfer the artwork to {cloth.name}: {aid.name}.",
        *aid.how,
        "Try it on a scrap first and see that the marks go away: some inks come back in the cold.",
    )
