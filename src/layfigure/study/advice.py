"""Which click would make the readings surer: the one that most reduces their predicted spread."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from layfigure.body.levels import split_region
from layfigure.study import camera as cameras
from layfigure.study.cast import Caster
from layfigure.study.figure import Material
from layfigure.study.fit import Fit
from layfigure.study.guards import pictured, plain
from layfigure.study.landmarks import LANDMARKS
from layfigure.study.residuals import CLICK_SPREAD, DRAWING_SPREAD, OUTLINE_SPREAD, landmark_material
from layfigure.study.silhouette import contact_material, end_at, silhouette

Points = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class NextClick:
    """A click worth making. words : as said to the maker. gain : share by which the mean spread falls."""

    picture: str
    words: str
    gain: float


def next_clicks(fit: Fit, targets: Points, own_variance: Points, count: int = 3) -> list[NextClick]:
    """The best next clicks, best first.

    targets : (t, p) how each target moves with the fit's parameters. own_variance : (t,) what remains of
    its variance when the fit is perfect.
    """
    if not len(targets):
        return []
    reach = targets @ fit.covariance
    variance = np.einsum("tp,tp->t", reach, targets) + own_variance
    spread = float(np.sqrt(variance).mean())
    found = []
    for picture, words, rows in _candidates(fit):
        inner = np.eye(len(rows)) + rows @ fit.covariance @ rows.T
        crossing = reach @ rows.T
        less = np.einsum("ti,ij,tj->t", crossing, np.linalg.inv(inner), crossing)
        after = float(np.sqrt(np.maximum(variance - less, 0.0)).mean())
        found.append(NextClick(picture=picture, words=words, gain=1.0 - after / spread))
    found.sort(key=lambda click: -click.gain)
    return found[:count]


def _candidates(fit: Fit) -> Iterable[tuple[str, str, Points]]:
    """Picture, words and whitened derivative rows (r, p) of every click that could be made."""
    model = fit.model
    for view, sight in enumerate(fit.sights):
        caster = Caster(fit, view)
        far = {"left": "right", "right": "left"}.get(sight.picture.view, "")
        for name, region in model.regions.items():
            stem, side = split_region(name)
            if side == far or stem.name in ("hand", "foot", "head", "neck"):
                continue
            outline = silhouette(caster.grid(name)[0])
            levels = len(region.level_names) - 1
            for number in range(2 * levels + 1):
                station = number / 2.0
                if not region.stations[0] <= station <= region.stations[-1] + 0.05:
                    continue
                position = float(np.interp(station, region.stations, np.arange(len(region.stations))))
                row = min(int(position), len(region.stations) - 2)
                for end in (0, 1):
                    contact = end_at(outline, row, position - row, end)
                    material = contact_material(model.grids[name], region.sections.shape[1], outline, contact)
                    spread = np.hypot(CLICK_SPREAD, OUTLINE_SPREAD * sight.tall)
                    rows = _rows(caster, name, material, contact.normals / spread)
                    where = _where(region.level_names, station)
                    words = (
                        f"In {pictured(sight.picture.name)}, mark the outline of the {plain(name)} {where},"
                        f" {_end(fit, view, name, end, outline.normal)}."
                    )
                    yield sight.picture.name, words, rows
        for mark, landmark in LANDMARKS.items():
            if (
                mark in sight.landmarks
                or mark in sight.picture.unseen
                or landmark.region not in model.regions
                or landmark.kind != "middle"
            ):
                continue
            if far and landmark.region.endswith(far):
                continue
            material = landmark_material(model.regions[landmark.region], landmark)
            spread = np.hypot(
                np.hypot(CLICK_SPREAD, DRAWING_SPREAD * sight.tall), landmark.spread[0] * sight.tall
            )
            rows = _rows(caster, landmark.region, material, np.eye(2) / spread)
            words = f"In {pictured(sight.picture.name)}, click the {plain(mark)}."
            yield sight.picture.name, words, rows


def _rows(caster: Caster, region: str, material: Material, directions: Points) -> Points:
    """Derivative of one point's picture along directions (r, 2), by all parameters, (r, p)."""
    rows: Points = directions @ caster.derivatives(region, material)[0]
    return rows


def _where(levels: tuple[str, ...], station: float) -> str:
    low = int(station)
    if station == low:
        return f"at the {levels[low].replace('_', ' ')}"
    return f"halfway from {levels[low].replace('_', ' ')} to {levels[low + 1].replace('_', ' ')}"


def _end(fit: Fit, view: int, name: str, end: int, normal: Points) -> str:
    """Which edge of a region is meant, in words."""
    yaw = fit.sights[view].base_yaw + fit.cameras[view][cameras.YAW]
    rows, _, _ = cameras.axes(float(yaw), 0.0)
    toward = (rows[:2].T @ (normal * [1.0, -1.0])) * (1.0 if end == 0 else -1.0)
    if abs(toward[1]) > abs(toward[0]):
        return "on its back edge" if toward[1] > 0.0 else "on its front edge"
    if name.endswith(("_left", "_right")):
        outward = (toward[0] > 0.0) == name.endswith("_left")
        return "on its outer edge" if outward else "on its inner edge"
    return "on the character's left" if toward[0] > 0.0 else "on the character's right"
