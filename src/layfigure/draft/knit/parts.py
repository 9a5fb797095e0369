"""Parts of panels that the design's own seams divide: what is said of them, and when they cannot be sewn."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

import numpy as np
import shapely

from layfigure.draft.flatten.panel import FlatPanel
from layfigure.draft.flatten.stitch_line import stitch_line
from layfigure.draft.knit.panel_cloths import panel_words
from layfigure.draft.panels.seam_refusals import NARROWEST, refuse_too_narrow
from layfigure.draft.panels.topology import GarmentPlan, PanelPlan
from layfigure.errors import DraftError
from layfigure.geometry.polyline import length
from layfigure.piece.piece import InnerLine

MARK = 10.0
"""Length of the mark at which a seam of the neighbour ends [mm]."""


SHORTEST = 15.0
"""A stretch of a seam shorter than this is not sewn true; common practice [mm]."""


def refuse_narrow_parts(plans: Iterable[PanelPlan], flats: Mapping[str, FlatPanel]) -> None:
    """Raise DraftError for a part that is too narrow somewhere between its ends, which may be pointed, or has
    too short an edge; for any panel that a neckline leaves too narrow a shoulder.
    """
    for plan in plans:
        for use in plan.edges:
            if use.slug.startswith("shoulder") and length(flats[plan.slug].curves[use.slug]) < SHORTEST:
                raise DraftError(
                    f"between neckline and armhole a strip narrower than {SHORTEST:.0f} mm would be left.",
                    where=panel_words(plan),
                    advice="Give a smaller neck_width or armhole_in.",
                )
        if plan.beside:
            wide = shapely.Polygon(stitch_line(flats[plan.slug])).buffer(-0.5 * NARROWEST)
            if wide.is_empty or wide.geom_type != "Polygon":
                refuse_too_narrow(panel_words(plan))
            for use in plan.edges:
                # Between two seams a part may end in a point, not in a strip.
                if use.seam is None and length(flats[plan.slug].curves[use.slug]) < NARROWEST:
                    refuse_too_narrow(panel_words(plan))
                if length(flats[plan.slug].curves[use.slug]) < SHORTEST:
                    raise DraftError(
                        f"its edge {use.slug.replace('_', ' ')} would be shorter than {SHORTEST:.0f} mm.",
                        where=panel_words(plan),
                        advice=f"Let the seam end {SHORTEST + 5.0:.0f} mm or more from where others end.",
                    )


def met_marks(plan: PanelPlan, flat: FlatPanel) -> tuple[InnerLine, ...]:
    """Marks on a panel where seams of its neighbours end at its edges: its own outline runs straight past."""
    marks = []
    for use in plan.edges:
        if use.met_by is not None:
            start, following = flat.curves[use.slug][:2]
            along = (following - start) / np.linalg.norm(following - start)
            inward = MARK * np.array([-along[1], along[0]])
            words = use.met_by.replace("_", " ")
            marks.append(
                InnerLine(kind="placement", curve=np.vstack([start, start + inward]), label=f"{words} ends")
            )
    return tuple(marks)


def joining_parts(plan: GarmentPlan) -> tuple[str, ...]:
    """Order of work before that of the whole panels."""
    seams = list(dict.fromkeys(seam for panel in plan.panels for _, seam in panel.beside))
    if not seams:
        return ()
    for panel in plan.panels:
        for use in panel.edges:
            # What ends at a seam is sewn before it.
            if use.met_by is not None and use.line in seams:
                seams.remove(use.met_by)
                seams.insert(seams.index(use.line), use.met_by)
    names = ", then ".join(slug.replace("_", " ") for slug in seams)
    line = (
        f"Sew the seams across the panels first, notch to notch: {names}. Then go on with the panels as if "
        "each had been cut in one piece."
    )
    return (line,)
