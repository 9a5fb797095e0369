"""Where woven garments are thick: pleats and zips of a skirt, the seams of trousers."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from layfigure.body.form import Form
from layfigure.draft.bulk import Bulk, layers
from layfigure.draft.woven.skirt import ZIP_LENGTH, SkirtPart
from layfigure.draft.woven.skirt_shape import SkirtShape

ZIP_THICK = 2.5
"""Of a zip's teeth with its tapes [mm] (from memory)."""
PLACES = 60


def skirt_bulk(
    shape: SkirtShape, parts: Sequence[SkirtPart], closure: str, thickness: float
) -> tuple[Bulk, ...]:
    """Pleats, the seam behind, and a zip in it. thickness : of the cloth [mm]."""
    share = np.linspace(0.0, 1.0, PLACES)
    folded = []
    for part in parts:
        ends = np.cumsum(part.strips)[:-1] / sum(part.strips)
        turns = part.place.first + ends * (part.place.last - part.place.first)
        # Tucks end at the hips, pleats at the hem.
        down = shape.down_at(turns) if part.depth else np.full(len(turns), shape.taper)
        folded.append(shape.fall.at(turns[:, None], share[None] * down[:, None]).reshape(-1, 3))
    behind = share * float(shape.down_at(np.array([0.5]))[0])
    found = [
        Bulk(what="pleats", places=np.concatenate(folded), thickness=layers(2.0, thickness)),
        Bulk(
            what="the centre back seam",
            places=shape.fall.at(np.full(PLACES, 0.5), behind),
            thickness=layers(1.0, thickness),
        ),
    ]
    if closure == "back_zip":
        zipped = share * min(ZIP_LENGTH, float(behind[-1]))
        found.append(
            Bulk(what="the zip", places=shape.fall.at(np.full(PLACES, 0.5), zipped), thickness=ZIP_THICK)
        )
    return tuple(found)


def trouser_bulk(form: Form, thickness: float) -> tuple[Bulk, ...]:
    """The crotch seam behind and both inseams, pressed open. thickness : of the cloth [mm]."""
    runs = [("torso", 3.5, 5.0, 0.5), *((f"thigh_{side}", 0.0, 0.9, 0.75) for side in ("left", "right"))]
    places = [
        form.charts[region].points(np.linspace(first, last, PLACES), np.full(PLACES, turn))
        for region, first, last, turn in runs
    ]
    return tuple(
        Bulk(what=what, places=line, thickness=layers(1.0, thickness))
        for what, line in zip(("the crotch seam", "the inseam", "the inseam"), places, strict=True)
    )
