"""About the body that changed measures will give, before it is fitted: soon enough to follow what is typed.

No tape is run. Both steps of a fit are taken from an earlier one of the same wearer, and what the tape would
read is worked out from how it went with shapes and fields there. What that leaves out grows with the change,
evenly: a fit that has once followed a measure has learned most of it (``tests/body/test_fit_foreseen.py``).
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from layfigure.body.fit import FitState, stood
from layfigure.body.fit_steps import foreseen_points, shapes
from layfigure.body.fit_targets import targets_of
from layfigure.body.fit_ways import ways_for
from layfigure.body.form import Form

Points = NDArray[np.float64]


def foreseen_form(
    measures: Mapping[str, float],
    *,
    wearer: str,
    estimated: Mapping[str, tuple[float, float]],
    previous: FitState,
    sex: Literal["woman", "man"] | None = None,
) -> tuple[Form, Points] | None:
    """About the Form that ``fit_form`` finds from the same, without measures, and its joints standing (j, 3).

    None where the earlier fit was to other measures.
    """
    targets = targets_of(measures, estimated, sex)
    if previous.pulls.names != targets.names:
        return None
    ways = ways_for(targets, sex)
    shaped = shapes(targets, ways, previous.shaped)
    points = foreseen_points(targets, shaped, ways, previous.pulls)
    return stood(points, wearer) if np.isfinite(points).all() else None
