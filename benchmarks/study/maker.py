"""A maker who clicks what the study asks for next, as far as the picture shows it.

She begins with the sixteen clicks in front and two in the side picture, and knows nothing but the advice:
truth decides only where her click lands, with her hand's noise.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from benchmarks.study.bodies import BONES
from benchmarks.study.observe import Marking, region_image, true_landmarks
from benchmarks.study.scenes import Sitting
from numpy.typing import NDArray

from layfigure.design.marks import OutlineMarks, PictureMarks
from layfigure.study.advice import NextClick
from layfigure.study.figure import FigureModel
from layfigure.study.reading import study_with_model

Points = NDArray[np.float64]
Indices = NDArray[np.int64]


def follow_advice(sitting: Sitting, model: FigureModel, marking: Marking, clicks: int, seed: int) -> Sitting:
    """The sitting with so many clicks in all, every further one the first advised that can be seen."""
    rng = np.random.default_rng([seed, 6])
    marks = list(sitting.marks)
    names = [picture.name for picture in marks]
    made = sum(count_clicks(picture) for picture in marks)
    while made < clicks:
        for click in study_with_model(marks, model).next_clicks:
            number = names.index(click.picture)
            answered = _answered(sitting, number, marks[number], click, marking, rng)
            seen = count_clicks(answered) > count_clicks(marks[number])
            marks[number] = answered
            if seen:
                made += 1
                break
        else:
            # Nothing that was asked for can be seen.
            break
    return replace(sitting, marks=tuple(marks))


def count_clicks(picture: PictureMarks) -> int:
    """Landmarks and outline points; the costume's own edges are not counted."""
    return len(picture.landmarks) + sum(len(outline.points) for outline in picture.outlines)


def _answered(
    sitting: Sitting,
    number: int,
    marks: PictureMarks,
    click: NextClick,
    marking: Marking,
    rng: np.random.Generator,
) -> PictureMarks:
    """The marks with this click made, or with its landmark noted as unseen, or as they were."""
    scene, picture = sitting.scene, sitting.scene.pictures[number]
    regions = region_image(scene, picture)
    noise = rng.normal(0, marking.mark_noise, 2)
    limit = np.array(picture.size, dtype=np.float64)
    if click.landmark:
        place = true_landmarks(scene, picture, regions).get(click.landmark)
        if place is None:
            return replace(marks, unseen=marks.unseen | {click.landmark})
        return replace(marks, landmarks={**marks.landmarks, click.landmark: np.clip(place + noise, 0, limit)})
    if click.region not in scene.charts:
        return marks
    pixels, _ = picture.project(scene.charts[click.region].chart.section(click.station))
    place = pixels[(pixels @ click.toward).argmax()]
    if not _on_edge(regions, place, click.toward, BONES.index(click.region)):
        return marks
    # Characters fill nine tenths of their picture.
    swell = (marking.cloth[0] + marking.cloth[1] * rng.normal()) * 0.9 * picture.size[1]
    point = np.clip(place + swell * click.toward + noise, 0, limit)
    outline = OutlineMarks(region=click.region, points=point[None])
    return replace(marks, outlines=(*marks.outlines, outline))


def _on_edge(regions: Indices, place: Points, toward: Points, bone: int) -> bool:
    """Whether a region ends at a place: it shows just inside, and not just outside."""

    def at(pixel: Points) -> int:
        column, row = np.floor(pixel).astype(int)
        inside = 0 <= row < regions.shape[0] and 0 <= column < regions.shape[1]
        return int(regions[row, column]) if inside else -1

    return at(place - 4.0 * toward) == bone and at(place + 4.0 * toward) != bone
