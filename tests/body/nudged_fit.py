"""Fits of some people on a template whose points are nudged, run as a program of its own: SEED, NUDGE, FILE.

What is read off the template once is kept for good, so another template needs another process.
"""

import sys
from dataclasses import replace

import numpy as np

from layfigure.body import template as shipped

WHO = ((0, "woman"), (40, "man"), (12, None))


def nudge_template(seed: int, nudge: float) -> None:
    """Every point of the template off by about ``nudge`` [mm], before anything is made of it."""
    whole = shipped.load_template()
    noise = nudge * np.random.default_rng(seed).standard_normal(whole.mean.shape)
    nudged = replace(whole, mean=whole.mean + noise)
    shipped.load_template = lambda: nudged


def fitted_places() -> np.ndarray:
    """All vertices and chart places of the people fitted, (n, 3) [mm]."""
    from tests.body.test_fit import people

    from layfigure.body.fit import fit_form

    places = []
    for k, sex in WHO:
        form = fit_form(people()[k], wearer="somebody", sex=sex).form
        places += [form.standing.vertices, form.drafting.vertices]
        for charts in (form.charts, form.drafting_charts):
            places += [chart.sections.reshape(-1, 3) for chart in charts.values()]
    return np.concatenate(places)


if __name__ == "__main__":
    nudge_template(int(sys.argv[1]), float(sys.argv[2]))
    np.save(sys.argv[3], fitted_places())
