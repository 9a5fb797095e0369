"""Which click would make the readings surer: the one that most reduces their predicted spread."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import partial

import numpy as np
from numpy.typing import NDArray

from layfigure.body.levels import split_region
from layfigure.design.marks import View
from layfigure.study import camera as cameras
from layfigure.study.cast import Caster
from layfigure.study.fit import Fit
from layfigure.study.guards import pictured, plain
from layfigure.study.landmarks import LANDMARKS, Landmark
from layfigure.study.residuals import OUTLINE_SPREAD
from layfigure.study.silhouette import Silhouette, contact_material, outline_at, silhouette
from layfigure.study.sorted_marks import CLICK_SPREAD, DRAWING_SPREAD, landmark_material

Points = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class NextClick:
    """A click worth making.

    words : as said to the maker. gain : share by which the spread of all marks falls. landmark : its name, or
    empty for a point of the outline of ``region`` at ``station``, the end that lies ``toward`` (2,) in the
    picture. place : (2,) about where it will be [px].
    """

    picture: str
    words: str
    gain: float
    landmark: str
    region: str
    station: float
    toward: Points
    place: Points


def next_clicks(
    casters: Sequence[Caster], targets: Points, own_variance: Points, count: int = 6
) -> list[NextClick]:
    """The best next clicks, best first.

    casters : one a picture. targets : (t, p) how each target moves with the fit's parameters.
    own_variance : (t,) what remains of its variance when the fit is perfect.
    """
    if not len(targets):
        return []
    fit = casters[0].fit
    candidates = [candidate for caster in casters for candidate in _candidates(caster)]
    reach = targets @ fit.covariance
    variance = (reach * targets).sum(axis=1) + own_variance
    # By the mean square: a few marks far from sure count for more than many that nearly are.
    spread = float(np.sqrt(variance.mean()))
    gains = np.zeros(len(candidates))
    for size in (1, 2):
        own = [k for k, candidate in enumerate(candidates) if len(candidate.rows) == size]
        if not own:
            continue
        rows = np.stack([candidates[k].rows for k in own])
        flat = rows.reshape(-1, rows.shape[2])
        inner = np.eye(size) + (flat @ fit.covariance).reshape(rows.shape) @ rows.transpose(0, 2, 1)
        # (candidates, targets, size): what each target shares with what the click would show.
        crossing = (flat @ reach.T).reshape(len(own), size, -1).transpose(0, 2, 1)
        less = (crossing @ np.linalg.inv(inner) * crossing).sum(axis=2)
        gains[own] = 1.0 - np.sqrt(np.maximum(variance - less, 0.0).mean(axis=1)) / spread
    best = np.argsort(-gains, kind="stable")[:count]
    return [
        NextClick(
            picture=candidates[k].picture,
            words=candidates[k].say(),
            gain=float(gains[k]),
            landmark=candidates[k].landmark,
            region=candidates[k].region,
            station=candidates[k].station,
            toward=candidates[k].toward,
            place=candidates[k].place,
        )
        for k in best.tolist()
    ]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Candidate:
    """A click that could be made: its whitened derivative rows (r, p), and what ``NextClick`` tells of it."""

    picture: str
    rows: Points
    say: Callable[[], str]
    landmark: str
    region: str
    station: float
    toward: Points
    place: Points


def _candidates(caster: Caster) -> Iterator[_Candidate]:
    """Every click that could be made in one picture."""
    for name in caster.fit.model.regions:
        if split_region(name)[1] != _FAR.get(caster.fit.sights[caster.view].picture.view):
            outline = silhouette(caster.grid(name)[0])
            yield from _outline_clicks(caster, name, outline)
            yield from _landmark_clicks(caster, name, outline)


_FAR = {"left": "right", "right": "left"}
"""The side that a side picture hides."""


def _outline_clicks(caster: Caster, name: str, outline: Silhouette) -> Iterator[_Candidate]:
    """Points of a region's outline, at its levels and halfway between them."""
    fit, view = caster.fit, caster.view
    model, sight = fit.model, fit.sights[view]
    region = model.regions[name]
    if split_region(name)[0].name in ("hand", "foot", "head", "neck"):
        return
    station = np.arange(2 * len(region.level_names) - 1) / 2.0
    station = station[(station >= region.stations[0]) & (station <= region.stations[-1] + 0.05)]
    ends = outline_at(outline, np.interp(station, region.stations, np.arange(len(region.stations))))
    material = contact_material(model.grids[name], region.sections.shape[1], outline, ends)
    spread = np.hypot(CLICK_SPREAD, OUTLINE_SPREAD * sight.tall)
    rows = (ends.normals[:, None] / spread) @ caster.derivatives(name, material)
    rows[:, 0, fit.columns(view)[-cameras.COLUMNS + cameras.SWELL]] = sight.tall / spread
    places = caster.pixels(name, material)
    for number in range(len(rows)):
        at = float(station[number // 2])
        yield _Candidate(
            picture=sight.picture.name,
            rows=rows[number],
            say=partial(_outline_words, fit, view, name, at, number % 2, outline.normal),
            landmark="",
            region=name,
            station=at,
            toward=ends.normals[number],
            place=places[number],
        )


def _landmark_clicks(caster: Caster, name: str, outline: Silhouette) -> Iterator[_Candidate]:
    """Landmarks on a region that are not clicked yet and can be seen."""
    sight = caster.fit.sights[caster.view]
    region = caster.fit.model.regions[name]
    across = np.array([-outline.axis[1], outline.axis[0]])
    for mark, landmark in LANDMARKS.items():
        if landmark.region != name or mark in sight.landmarks or mark in sight.picture.unseen:
            continue
        if not _shows(landmark, sight.picture.view):
            continue
        material = landmark_material(region, landmark, front=sight.picture.view == "front")
        if landmark.kind == "outline":
            inside = np.clip(landmark.station, region.stations[0], region.stations[-1])
            row = np.interp([inside], region.stations, np.arange(len(region.stations)))
            ends = outline_at(outline, row)
            both = contact_material(caster.fit.model.grids[name], region.sections.shape[1], outline, ends)
            here, there = caster.pixels(name, both), caster.pixels(name, material)
            # The end of the outline nearest to where the template has it.
            nearer = int(np.linalg.norm(here - there, axis=1).argmin())
            material = both.take(np.array([nearer]))
        base = np.hypot(CLICK_SPREAD, DRAWING_SPREAD * sight.tall)
        spreads = np.hypot(base, np.array(landmark.spread) * sight.tall)
        directions = np.stack([outline.axis, across]) / spreads[:, None]
        yield _Candidate(
            picture=sight.picture.name,
            rows=directions @ caster.derivatives(name, material)[0],
            say=partial(_click_words, sight.picture.name, mark),
            landmark=mark,
            region=name,
            station=landmark.station,
            toward=np.zeros(2),
            place=caster.pixels(name, material)[0],
        )


def _shows(landmark: Landmark, view: View) -> bool:
    """Whether a landmark can be seen from there at all, clothes aside."""
    if landmark.kind == "surface":
        front = min(landmark.around, 1.0 - landmark.around) < 0.25
        return view not in ("free", "back" if front else "front")
    # From the side the legs hide the crotch, and ends to the character's left and right are no outline.
    within = landmark.kind == "outline" or (landmark.region, landmark.kind) == ("torso", "middle")
    return not within or view not in ("left", "right")


def _click_words(picture: str, mark: str) -> str:
    return f"In {pictured(picture)}, click the {plain(mark)}."


def _outline_words(fit: Fit, view: int, name: str, station: float, end: int, normal: Points) -> str:
    picture = pictured(fit.sights[view].picture.name)
    where = _where(fit.model.regions[name].level_names, station)
    edge = _end(fit, view, name, end, normal)
    return f"In {picture}, mark the outline of the {plain(name)} {where}, {edge}."


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
