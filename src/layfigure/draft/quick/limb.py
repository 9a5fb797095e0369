"""A limb, or a waist, from a few tapes: enough body for one piece, with what was assumed said aloud."""

from __future__ import annotations

from collections.abc import Mapping
from functools import partial

import numpy as np
from numpy.typing import NDArray

from layfigure.body.chart import ChartPoint, RegionChart
from layfigure.body.form import Form
from layfigure.body.levels import REGIONS
from layfigure.design.design import DesignEdge, EdgePoint
from layfigure.draft.quick.body import form_of_tapes
from layfigure.draft.quick.limb_pieces import LIMB_PIECES, LimbPiece
from layfigure.draft.registry import QuickBody, QuickRecipe
from layfigure.errors import DraftError, MeasureError
from layfigure.geometry.mesh import TriangleMesh
from layfigure.geometry.polyline import length as polyline_length
from layfigure.geometry.polyline import resample
from layfigure.materials.cloth import Cloth

Points = NDArray[np.float64]

CRAFT_FOAM = Cloth(
    slug="foam", kind="foam", name="5 mm craft foam", width=1000.0, areal_mass=500.0, thickness=5.0
)
STRAP_LEATHER = Cloth(
    slug="leather", kind="leather", name="3 mm leather", width=1000.0, areal_mass=2300.0, thickness=3.0
)
"""Cut from when nothing is said; foam at 100 kg/m³ from memory, leather as traded."""

SECTION_POINTS = 128
SECTIONS = 33

BELT_SPAN = 100.0
_ELSEWHERE = 1000.0


def limb_recipes(kind: str) -> tuple[QuickRecipe, ...]:
    """Recipes of the quick pieces that a kind drafts."""
    return tuple(
        QuickRecipe(
            name=quick.name,
            summary=quick.summary,
            tapes=quick.tapes,
            cloth=STRAP_LEATHER if kind == "belt" else CRAFT_FOAM,
            body=partial(limb_body, quick),
            assumed=quick.assumed,
        )
        for quick in LIMB_PIECES.values()
        if quick.kind == kind
    )


def limb_body(quick: LimbPiece, tapes: Mapping[str, float], point: float) -> QuickBody:
    """The limb and the edges of a piece on it. point : how far its top edge rises in front [mm].

    Raises MeasureError for tapes out of all proportion, DraftError where nothing of the limb is left.
    """
    form = limb_form(quick, tapes)
    return QuickBody(form=form, edges=_edges(quick, form, tapes, point), options=quick.options)


def limb_form(quick: LimbPiece, tapes: Mapping[str, float]) -> Form:
    """A body of one region only, built from a few tapes [mm].

    The left limb of a pair; its ovals are the same mirrored. Raises MeasureError for tapes out of all
    proportion. Messages never repeat a size.
    """
    _check(quick, tapes)
    span = tapes[quick.length_tape] if quick.length_tape is not None else BELT_SPAN
    sections, stations = _sections(quick, tapes, span)
    definition = REGIONS[quick.region]
    name = f"{quick.region}_left" if definition.paired else quick.region
    chart = RegionChart(region=name, level_names=definition.levels, stations=stations, sections=sections)
    return form_of_tapes(tapes, chart, _tube(sections))


def _check(quick: LimbPiece, tapes: Mapping[str, float]) -> None:
    sizes = [tapes[girth.tape] for girth in quick.girths]
    if max(sizes) > 3.0 * min(sizes):
        raise MeasureError(
            f"the girths of {quick.name} do not belong to one limb.",
            advice="Look at their units.",
        )
    span = tapes[quick.length_tape] if quick.length_tape is not None else BELT_SPAN
    if max(sizes) > 40.0 * span or span > 6.0 * max(sizes):
        raise MeasureError(
            f"the length of {quick.name} does not go with its girths.",
            advice="Look at its unit.",
        )


def _sections(quick: LimbPiece, tapes: Mapping[str, float], span: float) -> tuple[Points, Points]:
    at = np.array([girth.station for girth in quick.girths])
    sizes = np.array([girth.share * tapes[girth.tape] for girth in quick.girths])
    flats = np.array([girth.flat for girth in quick.girths])
    per_station = span / (quick.last - quick.first)
    margin = 0.0 if quick.length_tape in ("forearm_length", "shin_length") else 15.0 / per_station
    even = np.linspace(quick.first - margin, quick.last + margin, SECTIONS)
    stations = np.union1d(even, at[(at > even[0]) & (at < even[-1])])
    stations = stations[np.concatenate([[True], np.diff(stations) > 1e-9])]
    # Straight between tapes: rounder profiles would swell the limb where no tape was taken.
    inner = np.clip(stations, at[0], at[-1])
    slopes = np.diff(sizes) / np.diff(at)
    beyond = np.where(stations < at[0], slopes[0], slopes[-1]) * (stations - inner)
    girth = np.interp(inner, at, sizes) + beyond
    flat = np.interp(inner, at, flats)
    heights = _ELSEWHERE + span - (stations - quick.first) * per_station
    sections = np.stack([oval(g, f) for g, f in zip(girth, flat, strict=True)])
    placed = np.concatenate([sections, np.repeat(heights[:, None, None], SECTION_POINTS, axis=1)], axis=2)
    return placed, stations


def oval(girth: float, flat: float) -> Points:
    """An ellipse of a given girth [mm] and breadth over depth, from the front toward the left, (n, 2)."""
    angle = np.linspace(0.0, 2.0 * np.pi, 2000, endpoint=False)
    ellipse = np.column_stack([flat * np.sin(angle), -np.cos(angle)])
    even = resample(ellipse, SECTION_POINTS, closed=True)
    points: Points = even * (girth / polyline_length(even, closed=True))
    return points


def _tube(sections: Points) -> TriangleMesh:
    """Triangles between neighbouring sections, open at both ends; sections run downward."""
    k, n, _ = sections.shape
    index = np.arange(k * n).reshape(k, n)
    here, right = index, np.roll(index, -1, axis=1)
    a, b, c, d = here[1:].ravel(), right[1:].ravel(), right[:-1].ravel(), here[:-1].ravel()
    faces = np.concatenate([np.column_stack([a, b, c]), np.column_stack([a, c, d])])
    return TriangleMesh(vertices=sections.reshape(-1, 3), faces=faces.astype(np.int64))


def _edges(quick: LimbPiece, form: Form, tapes: Mapping[str, float], point: float) -> dict[str, DesignEdge]:
    (region,) = form.charts
    span = tapes[quick.length_tape] if quick.length_tape is not None else BELT_SPAN
    per_millimetre = (quick.last - quick.first) / span
    if quick.kind == "belt":
        return {"line": _ring("line", region, 0.5 * (quick.first + quick.last))}
    top = quick.first + quick.keep_top * per_millimetre
    bottom = quick.last - quick.keep_bottom * per_millimetre
    if bottom - top < 30.0 * per_millimetre:
        raise DraftError(
            f"nothing is left of {quick.name} between what bends at its ends.",
            advice="Look at the length's unit.",
        )
    # The point takes the edge's own place; the sides and the back move down to make room for it.
    peak = _ring("top", region, top + point * per_millimetre, rise=point * per_millimetre)
    return {"top": peak, "bottom": _ring("bottom", region, bottom)}


def _ring(slug: str, region: str, station: float, *, rise: float = 0.0) -> DesignEdge:
    """A line right round at one station, rising from both sides to a sharp point in front."""
    around = np.arange(16) / 16.0
    share = np.maximum(0.0, 1.0 - np.minimum(around, 1.0 - around) / 0.25)
    points = tuple(
        EdgePoint(
            at=ChartPoint(region=region, station=station - rise * float(up), around=float(a)),
            corner=rise > 0.0 and a == 0.0,
        )
        for a, up in zip(around, share, strict=True)
    )
    return DesignEdge(slug=slug, points=points, closed=True, source="typed")
