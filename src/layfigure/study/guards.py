"""Marks and pictures that cannot be right: named, in words, before anybody trusts the figure."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from layfigure.design.marks import PictureMarks, View
from layfigure.study import camera as cameras
from layfigure.study.figure import FigureModel
from layfigure.study.fit import Fit, anchors, fit_figure, flat_places
from layfigure.study.landmarks import LANDMARKS

Points = NDArray[np.float64]

BAD_LANDMARK = 3.5
"""Studentised residual from which a landmark is questioned."""

BAD_PICTURE = 1.5
"""Mean square of a picture's residuals from which its view is questioned; good pictures have about 0.5."""

FAR_TURNED = 9.0
"""A camera found this far from the stated view is questioned too [degrees]."""


def doubtful_landmarks(fit: Fit) -> list[tuple[float, int, str]]:
    """(studentised residual, picture, landmark), the worst first."""
    found = []
    for view, rows in enumerate(fit.rows):
        jacobian = np.concatenate(
            [rows.by_shared, rows.by_shared[:, fit.model.pose_columns], rows.by_camera], axis=1
        )
        columns = np.concatenate([np.arange(fit.model.count), fit.columns(view)])
        covariance = fit.covariance[np.ix_(columns, columns)]
        for number, name in enumerate(fit.sights[view].landmarks):
            own = np.flatnonzero(rows.mark == number)
            j = jacobian[own]
            left = np.eye(len(own)) - j @ covariance @ j.T
            values = rows.values[own]
            strange = float(values @ np.linalg.solve(left + 1e-3 * np.eye(len(own)), values))
            found.append((float(np.sqrt(max(strange, 0.0) / 2.0)), view, name))
    return sorted(found, reverse=True)


def landmark_warnings(fit: Fit) -> list[str]:
    """Sentences naming landmarks that the other marks contradict."""
    sentences = []
    for strange, view, name in doubtful_landmarks(fit)[:3]:
        if strange > BAD_LANDMARK:
            sentences.append(
                f"In {pictured(fit.sights[view].picture.name)}, the {plain(name)} disagrees with everything"
                " else: look at it first, move it or remove it."
            )
    return sentences


def view_warnings(model: FigureModel, pictures: Sequence[PictureMarks], fit: Fit) -> list[str]:
    """Sentences naming pictures that look mirrored, or that show another side than stated."""
    sentences = []
    for number, picture in enumerate(pictures):
        if picture.view == "free" or len(picture.landmarks) < 5:
            continue
        turned = abs(float(np.degrees(fit.cameras[number][cameras.YAW])))
        if fit.cost[number] < BAD_PICTURE and turned < FAR_TURNED:
            continue
        others = [other for k, other in enumerate(pictures) if k != number]
        # Judge the suspect against a figure it had no part in: the others', or the plain template.
        shared = fit_figure(model, others).shared if others else np.zeros(model.count)
        sentence = _suspicion(model, shared, picture)
        if sentence:
            sentences.append(sentence)
    return sentences


def _suspicion(model: FigureModel, shared: Points, picture: PictureMarks) -> str:
    places, marks, weights = anchors(model, shared, picture)
    # Only clicked points can tell left from right.
    clicked = weights >= 1.0
    places, marks, weights = places[clicked], marks[clicked], weights[clicked]
    stated = cameras.VIEW_YAW[picture.view]
    flat = flat_places(places, stated)
    off = _off(flat, marks, weights)
    mirrored = marks * [-1.0, 1.0]
    guesses: list[tuple[float, str]] = []
    names: dict[View, str] = {
        "front": "the front", "back": "the back", "left": "the left side", "right": "the right side"
    }  # fmt: skip
    for view, words in names.items():
        seen = flat_places(places, cameras.VIEW_YAW[view])
        if view != picture.view:
            guesses.append((_off(seen, marks, weights), f"looks like a picture of {words}"))
    guesses.append((_off(flat, mirrored, weights), "looks mirrored"))
    best, words = min(guesses)
    if best > 0.6 * off:
        return ""
    if words != "looks mirrored" and guesses[-1][0] < 1.1 * best:
        words = "looks mirrored, or " + words.removeprefix("looks ")
    which = pictured(picture.name)
    return (
        f"{which[0].upper()}{which[1:]} is stated as {picture.view}, but it {words}. Check the view, or left"
        " and right."
    )


def _off(flat: Points, marks: Points, weights: Points) -> float:
    camera = cameras.start_camera(flat, marks, weights)
    seen = camera[[cameras.RIGHT, cameras.DOWN]] + np.exp(camera[cameras.LOG_SCALE]) * flat * [1.0, -1.0]
    return float(np.sqrt((weights * ((seen - marks) ** 2).sum(axis=1)).sum() / weights.sum()))


def disagreements(fit: Fit, stature: float) -> list[str]:
    """Sentences saying where one picture draws the figure unlike the others. stature : of the figure [mm]."""
    if len(fit.sights) < 2:
        return []
    sentences: list[tuple[float, str]] = []
    for view, rows in enumerate(fit.rows):
        sight = fit.sights[view]
        names = np.array(rows.names)
        for region in sight.outlines:
            own = np.isin(rows.mark, np.flatnonzero(names == f"outline of {region}")) & ~rows.hidden
            if own.sum() < 4:
                continue
            mean = float(rows.values[own].mean())
            if abs(mean) > 1.5:
                spread = float(np.hypot(1.0 / np.exp(fit.cameras[view][0]), 0.0026 * stature))
                share = round(100.0 * abs(mean) * 2.0 * spread / stature, 1)
                words = "narrower" if mean > 0 else "wider"
                sentence = (
                    f"In {pictured(sight.picture.name)}, the {plain(region)} is drawn {words} than in the"
                    f" others, by about {share} % of the figure's height."
                )
                sentences.append((abs(mean), sentence))
    return [sentence for _, sentence in sorted(sentences, reverse=True)[:3]]


def pictured(name: str) -> str:
    """A picture as one would speak of it: ``left`` is "the left picture", other names are quoted."""
    words = name.replace("_", " ").lower().replace("three quarter", "three-quarter")
    return f"the {words} picture" if words in _VIEW_WORDS else f'the picture "{name}"'


_VIEW_WORDS = frozenset(
    ("front", "back", "left", "right", "side", "left side", "right side", "three-quarter")
)
"""Names that say what a picture shows, and need no quotes."""


def plain(name: str) -> str:
    """A mark's or region's name as one would say it: ``knee_left`` is "left knee"."""
    words = name.split("_")
    if name in LANDMARKS and LANDMARKS[name].kind == "outline" and words[0] != "shoulder":
        level = name.rsplit("_", 1)[0] if words[-1] in ("left", "right") else name
        if words[-1] in ("inner", "outer"):
            return f"{words[-1]} end of the {words[1]} {words[0]}"
        return f"{words[-1]} end of the {level.replace('_', ' ')}"
    if words[-1] in ("left", "right"):
        return f"{words[-1]} {' '.join(words[:-1])}"
    return " ".join(words)
