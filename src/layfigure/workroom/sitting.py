"""Where places on a standing body go when its wearer sits, for the pages that show her so."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from layfigure.body.bent_skin import SIT, bent_places
from layfigure.body.form import Form

Points = NDArray[np.float64]


def sitting_pose(form: Form) -> Callable[[Points], Points]:
    """Places (n, 3) on or over the standing skin to places on a chair, feet on the floor [mm]."""
    soles = float(bent_places(form, SIT, form.standing.vertices)[:, 2].min())

    def seated(places: Points) -> Points:
        if not len(places):
            return places
        moved: Points = bent_places(form, SIT, places) - (0.0, 0.0, soles)
        return moved

    return seated
