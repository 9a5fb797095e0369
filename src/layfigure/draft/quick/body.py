"""What a quick piece is drafted on: the tapes asked for, and a body that has no more than they say."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from layfigure.body.chart import RegionChart
from layfigure.body.form import Form
from layfigure.body.measures import CATALOGUE
from layfigure.errors import MeasureError, MeasureMissing
from layfigure.files.nearest import did_you_mean
from layfigure.geometry.mesh import TriangleMesh
from layfigure.materials.cloth import Cloth

WOVEN = Cloth(slug="woven", kind="woven", name="woven cloth", width=1500.0, areal_mass=200.0)
"""What a quick piece of cloth is cut from when nothing is said; width and mass from memory."""


def check_tapes(name: str, asked: Mapping[str, str], tapes: Mapping[str, float]) -> None:
    """See that every tape asked for is there and is a size, and none is over.

    name : of the quick piece. asked : tape to where it runs. Raises MeasureMissing and MeasureError; messages
    never repeat a size.
    """
    # A misspelt tape is told before the one that is then missing.
    for tape in tapes:
        if tape not in asked:
            raise MeasureError(
                f"{name} does not use the tape {tape!r}.",
                advice=did_you_mean(tape, asked) or f"Its tapes: {', '.join(asked)}.",
            )
    for tape, where in asked.items():
        if tape not in tapes:
            raise MeasureMissing(f"{name} needs {tape}.", advice=f"Take it {where}, and give its unit.")
        if not (np.isfinite(tapes[tape]) and tapes[tape] > 0.0):
            raise MeasureError(f"{tape} is not a size.", advice="Write it like '24 cm'.")
        known = CATALOGUE.get(tape)
        if known is not None and not known.absurd_below <= tapes[tape] <= known.absurd_above:
            raise MeasureError(f"no person has such a {tape}.", advice="Look at its digits and its unit.")


def form_of_tapes(
    tapes: Mapping[str, float], chart: RegionChart | None = None, mesh: TriangleMesh | None = None
) -> Form:
    """A body of one region at most, that was measured by these tapes [mm]."""
    definite = mesh or TriangleMesh(vertices=np.zeros((3, 3)), faces=np.array([[0, 1, 2]], dtype=np.int64))
    charts = {} if chart is None else {chart.region: chart}
    side = next((end for region in charts for end in ("_left", "_right") if region.endswith(end)), "")
    crown = max((float(one.sections[0, :, 2].max()) for one in charts.values()), default=0.0)
    return Form(
        wearer="",
        standing=definite,
        drafting=definite,
        charts=charts,
        drafting_charts=charts,
        region_names=tuple(charts) or ("torso",),
        face_region=np.zeros(len(definite.faces), dtype=np.int64),
        level_heights={},
        landmarks={"crown": np.array([0.0, 0.0, crown])},
        measures={f"{tape}{side}": size for tape, size in tapes.items()},
        estimated=frozenset(),
        spreads={},
    )


def typed(length: float) -> str:
    """A length [mm] as a maker would type it in an option."""
    return f"{length:.4f} mm"
