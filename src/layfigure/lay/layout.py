"""A layout: where every part lies on the roll, the sheets or the hides of one cloth."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from layfigure.lay.part import Part, posed

Points = NDArray[np.float64]
SectionKind = Literal["single", "fold", "sheet", "hide"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Laid:
    """One copy of a part as it lies: turned over if ``mirrored``, turned by ``turn`` [deg], moved by x, y
    [mm].
    """

    part: str
    copy: int
    turn: float
    mirrored: bool
    x: float
    y: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Zone:
    """A region of a hide. quality : 1 is the best. outline : (n, 2) closed [mm]."""

    quality: int
    outline: Points


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Surface:
    """A hide or an offcut that is not a rectangle, or one that is.

    outline : (n, 2) closed [mm]. flaws : holes, brands and scars that no part may touch, each (m, 2).
    zones : parts of lesser quality; leather outside every zone is of the best.
    """

    name: str
    outline: Points
    flaws: tuple[Points, ...] = ()
    zones: tuple[Zone, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Section:
    """One stretch of a roll laid in one way, one sheet or one hide.

    kind : ``single`` layer, ``fold`` (two layers, the fold at y = 0), ``sheet`` or ``hide``.
    width : across, of what is laid on: half the roll on the fold [mm]. length : used of a roll, whole of a
    sheet [mm]. parts : what was to be laid here. surface : outline, flaws and zones of a hide.
    repeat : of the cloth's pattern, along and across [mm], 0 for none.
    """

    kind: SectionKind
    name: str
    width: float
    length: float
    parts: tuple[Part, ...]
    laid: tuple[Laid, ...]
    surface: Surface | None = None
    repeat: tuple[float, float] = (0.0, 0.0)

    @property
    def by_slug(self) -> Mapping[str, Part]:
        """The parts by slug."""
        return {part.slug: part for part in self.parts}

    @property
    def layers(self) -> int:
        """How many layers are cut at once."""
        return 2 if self.kind == "fold" else 1

    def outlines(self) -> list[Points]:
        """Every laid outline, in the order of ``laid``."""
        parts = self.by_slug
        return [
            posed(parts[one.part].outline, turn=one.turn, mirrored=one.mirrored, x=one.x, y=one.y)
            for one in self.laid
        ]

    @property
    def area(self) -> float:
        """What one layer can be cut from [mm²]."""
        if self.surface is None:
            return self.width * self.length
        return polygon_area(self.surface.outline) - sum(polygon_area(flaw) for flaw in self.surface.flaws)

    @property
    def used(self) -> float:
        """Area of the parts on one layer [mm²]."""
        parts = self.by_slug
        return sum(parts[one.part].area for one in self.laid)

    @property
    def density(self) -> float:
        """Share of the area that is used."""
        return self.used / self.area if self.area > 0.0 else 0.0

    @property
    def bound(self) -> float:
        """Length of a roll that no layout can go below: area over width, or the longest part [mm]."""
        if not self.parts:
            return 0.0
        area = sum(part.area * part.count for part in self.parts)
        return max(area / self.width, max(least_length(part, self.width) for part in self.parts))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Layout:
    """All sections of one cloth.

    cloth : its slug. sold_as : ``roll``, ``sheet`` or ``hide``. roll_width : usable [mm], 0 without a roll.
    seconds : searched so far. fingerprint : of the parts and of what they are laid on.
    """

    cloth: str
    sold_as: Literal["roll", "sheet", "hide"]
    roll_width: float
    sections: tuple[Section, ...]
    seconds: float = 0.0
    fingerprint: str = ""
    remarks: tuple[str, ...] = field(default=())

    @property
    def length(self) -> float:
        """Length used of a roll, all sections one after the other [mm]."""
        return sum(section.length for section in self.sections)

    @property
    def area(self) -> float:
        """Area of cloth that is taken up, all layers [mm²]."""
        return sum(section.area * section.layers for section in self.sections)

    @property
    def used(self) -> float:
        """Area of all parts, all layers [mm²]."""
        return sum(section.used * section.layers for section in self.sections)

    @property
    def density(self) -> float:
        """Share of what is taken up that ends in pieces."""
        return self.used / self.area if self.area > 0.0 else 0.0

    @property
    def bound(self) -> float:
        """Length of roll below which this cloth cannot be laid in these sections [mm]."""
        return sum(section.bound for section in self.sections)

    @property
    def count(self) -> int:
        """How many copies are laid."""
        return sum(len(section.laid) for section in self.sections)


def polygon_area(outline: Points) -> float:
    """Area inside a closed outline [mm²]."""
    x, y = outline.T
    return 0.5 * abs(float(x @ np.roll(y, -1) - y @ np.roll(x, -1)))


def least_length(part: Part, width: float) -> float:
    """The least length of roll that a part takes by itself, turned as it may be; infinite where it is too
    wide.
    """
    turns = part.turns if part.turns is not None else tuple(np.arange(0.0, 180.0, 1.0).tolist())
    sizes = [np.ptp(posed(part.outline, turn=turn, mirrored=False, x=0.0, y=0.0), axis=0) for turn in turns]
    fits = [float(size[0]) for size in sizes if size[1] <= width * (1.0 + 1e-9) + 1e-6]
    return min(fits, default=float("inf"))
