"""The checker of layouts: knows nothing of how they were found, and believes nothing it is told.

Every laid outline is turned and moved here, by this module's own arithmetic, and held against all others with
shapely's predicates (GEOS). What it finds wrong it says in words; an empty list is a layout that can be cut.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Mapping

import numpy as np
import shapely
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

from layfigure.lay.layout import Laid, Layout, Section
from layfigure.lay.part import Part

TOLERANCE = 0.02
"""Two parts may lie over one another by this much, thickness of the shared sliver [mm]: a chalk line is fifty
times as wide. Searching is done in single precision, whose steps are 0.001 mm at ten metres."""


def faults_of(layout: Layout, wanted: Mapping[str, int], *, tolerance: float = TOLERANCE) -> list[str]:
    """What is wrong with a layout: faults of its sections, and pieces missing or cut too often.

    wanted : how many of each piece. Returns one sentence a fault.
    """
    faults = [fault for section in layout.sections for fault in section_faults(section, tolerance=tolerance)]
    given: Counter[str] = Counter()
    for section in layout.sections:
        parts = {part.slug: part for part in section.parts}
        for one in section.laid:
            if one.part in parts:
                given.update(parts[one.part].cuts or (one.part,))
    faults += [
        f"{piece} is cut {given[piece]} times, not {wanted.get(piece, 0)}"
        for piece in sorted({*wanted, *given})
        if given[piece] != wanted.get(piece, 0)
    ]
    return faults


def section_faults(section: Section, *, tolerance: float = TOLERANCE) -> list[str]:
    """What is wrong with one section. tolerance : see ``TOLERANCE``."""
    parts = {part.slug: part for part in section.parts}
    unknown = [one for one in section.laid if one.part not in parts]
    faults = [f"{one.part} was not to be laid here" for one in unknown]
    laid = [one for one in section.laid if one.part in parts]
    for part in section.parts:
        faults += _wrong_number(part, [one for one in laid if one.part == part.slug])
    shapes: list[BaseGeometry] = []
    for one in laid:
        part = parts[one.part]
        if not all(math.isfinite(number) for number in (one.turn, one.x, one.y)):
            return [*faults, f"{one.part} lies nowhere"]
        faults += _wrong_way(part, one, section)
        shape = _shape(part, one)
        if not shape.is_valid:
            faults.append(f"the outline of {part.slug} crosses itself")
            shape = shapely.make_valid(shape)
        shapes.append(shape)
    for one, shape in zip(laid, shapes, strict=True):
        faults += _outside(section, parts[one.part], one, shape, tolerance)
    faults += _overlaps(laid, shapes, tolerance)
    return faults


def _shape(part: Part, one: Laid) -> Polygon:
    """The outline as it lies."""
    ring = []
    quarter = one.turn / 90.0
    if quarter == round(quarter):
        cosine, sine = {0: (1.0, 0.0), 1: (0.0, 1.0), 2: (-1.0, 0.0), 3: (0.0, -1.0)}[round(quarter) % 4]
    else:
        cosine, sine = math.cos(math.radians(one.turn)), math.sin(math.radians(one.turn))
    for x, y in part.outline.tolist():
        y = -y if one.mirrored else y
        ring.append((cosine * x - sine * y + one.x, sine * x + cosine * y + one.y))
    return Polygon(ring)


def _wrong_number(part: Part, laid: list[Laid]) -> list[str]:
    faults = []
    if len(laid) != part.count:
        faults.append(f"{part.slug} is laid {len(laid)} times, not {part.count}")
    over = sum(one.mirrored for one in laid)
    if over != part.mirrored:
        faults.append(f"{part.slug} is laid turned over {over} times, not {part.mirrored}")
    if len({one.copy for one in laid}) != len(laid):
        faults.append(f"two copies of {part.slug} have one number")
    return faults


def _wrong_way(part: Part, one: Laid, section: Section) -> list[str]:
    faults = []
    if part.turns is not None and not any(
        abs((one.turn - turn + 180.0) % 360.0 - 180.0) < 1e-6 for turn in part.turns
    ):
        faults.append(f"{part.slug} is turned by {one.turn:g} degrees, which its grain does not allow")
    if part.on_fold and (section.kind != "fold" or abs(one.y) > 1e-6 or one.turn % 360.0 not in (0.0, 180.0)):
        faults.append(f"{part.slug} is not on the fold")
    if part.match is not None:
        faults += _off_pattern(part, one, section)
    return faults


def _off_pattern(part: Part, one: Laid, section: Section) -> list[str]:
    """A part whose point does not lie where the pattern of the cloth repeats, to 0.1 mm."""
    assert part.match is not None
    at_x, at_y = part.match.at
    at_y = -at_y if one.mirrored else at_y
    angle = math.radians(one.turn)
    place = (
        math.cos(angle) * at_x - math.sin(angle) * at_y + one.x,
        math.sin(angle) * at_x + math.cos(angle) * at_y + one.y,
    )
    for repeat, found, phase in zip(section.repeat, place, part.match.phase, strict=True):
        if repeat > 0.0 and abs((found - phase + 0.5 * repeat) % repeat - 0.5 * repeat) > 0.1:
            return [f"{part.slug} does not meet the pattern of the cloth"]
    return []


def _thick(shape: BaseGeometry, tolerance: float) -> bool:
    """Whether an area is anywhere thicker than the tolerance."""
    if shape.is_empty or shape.area == 0.0:
        return False
    return tolerance <= 0.0 or not shape.buffer(-0.5 * tolerance).is_empty


def _outside(section: Section, part: Part, one: Laid, shape: BaseGeometry, tolerance: float) -> list[str]:
    name = f"{part.slug} {one.copy}"
    if section.surface is None:
        west, south, east, north = shape.bounds
        if (
            min(west, south) < -tolerance
            or east > section.length + tolerance
            or north > section.width + tolerance
        ):
            return [f"{name} runs off the {'sheet' if section.kind == 'sheet' else 'cloth'}"]
        return []
    surface = section.surface
    faults = []
    whole = shapely.make_valid(Polygon(surface.outline))
    if _thick(shape.difference(whole), tolerance):
        faults.append(f"{name} runs off the hide")
    if any(
        _thick(shape.intersection(shapely.make_valid(Polygon(flaw))), tolerance) for flaw in surface.flaws
    ):
        faults.append(f"{name} touches a flaw")
    poorer = [zone for zone in surface.zones if part.quality and zone.quality > part.quality]
    if any(
        _thick(shape.intersection(shapely.make_valid(Polygon(zone.outline))), tolerance) for zone in poorer
    ):
        faults.append(f"{name} lies in a zone too poor for it")
    return faults


def _overlaps(laid: list[Laid], shapes: list[BaseGeometry], tolerance: float) -> list[str]:
    if len(shapes) < 2:
        return []
    tree = shapely.STRtree(shapes)
    first, second = tree.query(np.array(shapes, dtype=object), predicate="intersects")
    faults = []
    for i, j in zip(first.tolist(), second.tolist(), strict=True):
        if i < j and _thick(shapes[i].intersection(shapes[j]), tolerance):
            faults.append(f"{laid[i].part} {laid[i].copy} and {laid[j].part} {laid[j].copy} overlap")
    return faults
