"""What is bought to hold a circular piece up and to close it: elastic, a zip with its hook, a clasp."""

from __future__ import annotations

import math

from layfigure.draft.circular.options import CircularOptions
from layfigure.draft.circular.plan import CircularPlan
from layfigure.piece.item import Item

ELASTIC_SHARE = 0.9
"""Of the waist: 85 to 95 % is common practice."""
ELASTIC_LAP = 12.0


def closing_items(plan: CircularPlan, options: CircularOptions) -> tuple[Item, ...]:
    """Of one piece; a ruffle needs none."""
    items = []
    if options.finish == "elastic":
        items.append(
            Item(
                slug=f"elastic_{math.floor(options.band_depth)}mm",
                name=f"elastic, {options.band_depth:g} mm wide",
                length=ELASTIC_SHARE * plan.finished + ELASTIC_LAP,
                use="through the casing, its ends overlapping 12 mm",
            )
        )
    elif options.use == "skirt" and plan.joined and options.opening is not None:
        items.append(Item(slug="zip_200mm", name="zip, 200 mm", use=f"in the seam at the {options.opening}"))
        items.append(Item(slug="hook_and_bar", name="hook and bar", use="closes the band"))
    elif options.use == "cape" and options.opening is not None:
        items.append(Item(slug="cape_clasp", name="clasp, or two hooks and eyes", use="closes the neck"))
    return tuple(items)
