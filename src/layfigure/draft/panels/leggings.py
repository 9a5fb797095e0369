"""Leggings: one leg of a front and a back, or of one panel; the centre seam runs from waist to waist.

Seams run downward; the centre seams from the waist to the crotch.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from layfigure.draft.panels.body_fields import body_fields
from layfigure.draft.panels.edge_fields import beyond
from layfigure.draft.panels.garment import Divided, GarmentPattern
from layfigure.draft.panels.surface import Surface
from layfigure.draft.panels.topology import GarmentPlan, PanelPlan, SeamUse

Points = NDArray[np.float64]
Mask = NDArray[np.bool_]
Side = Literal["left", "right"]


def leggings_pattern(sides: tuple[Side, ...], *, panels_a_leg: int = 2) -> GarmentPattern:
    """Plan of leggings. sides : both, or one whose mirror image makes the other leg."""
    single = len(sides) == 1
    panels: list[PanelPlan] = []
    for side in sides:
        panels += _two_panels(side, single) if panels_a_leg == 2 else [_one_panel(side, single)]
    mirrored = frozenset({"centre_front", "centre_back"}) if single else frozenset[str]()
    return GarmentPattern(GarmentPlan(panels=tuple(panels), mirrored=mirrored), _select, _lines)


def leggings_fields(surface: Surface, top: Points, hems: Mapping[Side, Points]) -> dict[str, Points]:
    """Fields of leggings. top, hems : closed curves in the drafting pose, (k, 3) [mm]."""
    body = body_fields()
    fields = {
        "sagittal": body.sagittal,
        "front_back": body.front_back,
        "top": beyond(surface.vertices, top, np.array([0.0, 0.0, -1.0])),
    }
    for side, curve in hems.items():
        nearest = np.linalg.norm(surface.vertices - curve.mean(axis=0), axis=1).argsort()[:60]
        axis = surface.along[nearest].mean(axis=0)
        past = beyond(surface.vertices, curve, axis / np.linalg.norm(axis))
        sign = 1.0 if side == "left" else -1.0
        fields[f"hem_{side}"] = np.where(sign * surface.vertices[:, 0] > 0.0, past, -100.0)
    return fields


def _two_panels(side: Side, single: bool) -> list[PanelPlan]:
    # Seen from outside, the left front runs waist, centre, inseam, hem, outseam; the right is its mirror.
    left = side == "left"
    front = [
        SeamUse(slug="waist", line="top", role="opening"),
        SeamUse(slug="centre_front", line="centre_front", seam="centre_front", against=not (left or single)),
        SeamUse(slug="inseam", line=f"inseam_{side}", seam=f"inseam_{side}", against=not left),
        SeamUse(slug="hem", line=f"hem_{side}", role="hem"),
        SeamUse(slug="outseam", line=f"outseam_{side}", seam=f"outseam_{side}", against=left),
    ]
    back = [
        SeamUse(slug="waist", line="top", role="opening"),
        SeamUse(slug="outseam", line=f"outseam_{side}", seam=f"outseam_{side}", against=not left),
        SeamUse(slug="hem", line=f"hem_{side}", role="hem"),
        SeamUse(slug="inseam", line=f"inseam_{side}", seam=f"inseam_{side}", against=left),
        SeamUse(slug="centre_back", line="centre_back", seam="centre_back", against=left),
    ]
    if not left:
        front, back = [front[0], *front[:0:-1]], [back[0], *back[:0:-1]]
    return [
        PanelPlan(slug=f"front_{side}", edges=tuple(front)),
        PanelPlan(slug=f"back_{side}", edges=tuple(back)),
    ]


def _one_panel(side: Side, single: bool) -> PanelPlan:
    left = side == "left"
    edges = [
        SeamUse(slug="waist", line="top", role="opening"),
        SeamUse(slug="centre_front", line="centre_front", seam="centre_front", against=not (left or single)),
        SeamUse(slug="inseam_front", line=f"inseam_{side}", seam=f"inseam_{side}", against=not left),
        SeamUse(slug="hem", line=f"hem_{side}", role="hem"),
        SeamUse(slug="inseam_back", line=f"inseam_{side}", seam=f"inseam_{side}", against=left),
        SeamUse(slug="centre_back", line="centre_back", seam="centre_back", against=left),
    ]
    if not left:
        edges = [edges[0], *edges[:0:-1]]
    return PanelPlan(slug=f"leg_{side}", edges=tuple(edges))


def _select(slug: str, divided: Divided) -> Mask:
    part, _, side = slug.rpartition("_")
    chosen = divided.side("sagittal", 1 if side == "left" else -1)
    chosen &= divided.side("top", 1) & divided.side(f"hem_{side}", -1)
    if part != "leg":
        chosen &= divided.side("front_back", -1 if part == "front" else 1)
    return chosen


def _lines(divided: Divided) -> dict[str, Mask]:
    front = divided.side("front_back", -1)
    inside = divided.centres(body_fields().outward) < 0.0
    lines = {
        "top": divided.on("top"),
        "centre_front": divided.on("sagittal", front),
        "centre_back": divided.on("sagittal", ~front),
    }
    for side, sign in (("left", 1), ("right", -1)):
        if f"hem_{side}" not in divided.names:
            continue
        lines[f"hem_{side}"] = divided.on(f"hem_{side}")
        own = divided.side("sagittal", sign)
        lines[f"inseam_{side}"] = divided.on("front_back", own & inside)
        lines[f"outseam_{side}"] = divided.on("front_back", own & ~inside)
    return lines
