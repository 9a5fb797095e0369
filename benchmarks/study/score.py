"""Scoring as DESIGN 11 asks: on the wearer, from every mark's place to the true curve or corner."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from benchmarks.study.costume import TrueEdge
from numpy.typing import NDArray

from layfigure.body.chart import RegionChart

Points = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Score:
    """One mark carried to the wearer.

    error : distance to the true curve, or to the true corner [mm]. refused : the study would not say.
    z_along, z_around : error on the character over the stated spread; nan where nothing was stated.
    """

    edge: str
    kind: str
    picture: str
    corner: bool
    error: float
    refused: bool = False
    z_along: float = float("nan")
    z_around: float = float("nan")


def true_curve(edge: TrueEdge, charts: Mapping[str, RegionChart]) -> Points:
    """The edge on the wearer, (m, 3) [mm], closed by repeating its first point."""
    places = charts[edge.region].points(edge.station, edge.around)
    return np.vstack([places, places[:1]]) if edge.closed else places


def distance_to_curve(places: Points, curve: Points) -> Points:
    """Distance of places (m, 3) to a polyline (k, 3), (m,) [mm]."""
    start, along = curve[:-1], np.diff(curve, axis=0)
    squared = np.maximum((along**2).sum(axis=1), 1e-12)
    share = np.clip(((places[:, None] - start) * along).sum(axis=2) / squared, 0, 1)
    nearest = start + share[..., None] * along
    distance: Points = np.linalg.norm(places[:, None] - nearest, axis=2).min(axis=1)
    return distance


def mark_errors(
    edge: TrueEdge, which: NDArray[np.int64], places: Points, charts: Mapping[str, RegionChart]
) -> Points:
    """Error of every mark of an edge, (m,) [mm]. which : (m,) point of the true edge each mark is."""
    curve = true_curve(edge, charts)
    errors = distance_to_curve(places, curve)
    corner = np.isin(which, edge.corners)
    errors[corner] = np.linalg.norm(places[corner] - curve[which[corner]], axis=1)
    return errors


def summary(scores: Sequence[Score]) -> dict[str, float]:
    """Median and p95 over all and over accepted marks, refusals and coverage of ± 2 sd."""
    every = np.array([score.error for score in scores])
    refused = np.array([score.refused for score in scores], dtype=bool)
    accepted = every[~refused]
    z = np.array([[score.z_along, score.z_around] for score in scores])
    z = z[~refused]
    stated = np.isfinite(z)
    return {
        "marks": len(every),
        "median": _at(every, 50),
        "p95": _at(every, 95),
        "median_accepted": _at(accepted, 50),
        "p95_accepted": _at(accepted, 95),
        "refused": float(refused.mean()) if len(refused) else float("nan"),
        "within_2sd_along": float((np.abs(z[:, 0][stated[:, 0]]) <= 2).mean())
        if stated[:, 0].any()
        else float("nan"),
        "within_2sd_around": float((np.abs(z[:, 1][stated[:, 1]]) <= 2).mean())
        if stated[:, 1].any()
        else float("nan"),
    }


def _at(values: Points, percent: float) -> float:
    return float(np.nanpercentile(values, percent)) if np.isfinite(values).any() else float("nan")
