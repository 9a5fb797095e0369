"""What keeps any helm on."""

from __future__ import annotations

from layfigure.piece.item import Item

CHIN_STRAP = Item(
    slug="chin_strap_20mm",
    name="Chin strap, 20 mm wide, with a snap or buckle that opens under a pull",
    length=500.0,
    use="from one side of the rim to the other, in front of the ears and behind them.",
)
