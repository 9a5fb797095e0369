"""The colour of every sample: its best value, the colours it may have instead, and why it cannot be told."""

from __future__ import annotations

import zlib
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from layfigure.colour.area import Area, joined
from layfigure.colour.cielab import lab_of_xyz, xyz_of_lab
from layfigure.colour.colours import Colours, Sample, Sight
from layfigure.colour.correction import unit_steps
from layfigure.colour.difference import ciede2000
from layfigure.colour.light import LIGHTS, LightName, xyz_of_reflectance
from layfigure.colour.photograph import Opened
from layfigure.colour.reflectance import plausible_reflectances, smooth_reflectance
from layfigure.colour.table_file import read_spectrum

Array = NDArray[np.float64]

DRAWS = 240
"""How many colours stand for what a sample may be."""
_NORMAL_95 = 2.795
"""A spread that is the same in three directions holds 95 of 100 within so many: chi, three degrees."""
UNEVEN = 4.0
"""A sample whose parts differ by more than this is told as uneven [CIEDE2000]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Look:
    """One sample in one photograph, corrected. lab (3,); cloud (DRAWS, 3), drawn together with all others
    of it.

    uneven : how far its parts differ, CIEDE2000.
    """

    photograph: str
    light: LightName
    grey: bool
    lab: Array
    cloud: Array
    uneven: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Measured:
    """A colour. lab (3,) in daylight and reflectances (DRAWS, 81) it may have; None where it cannot be told.

    best : (81,) the likeliest reflectance. sure_to : CIEDE2000 that 95 of 100 errors keep. exact : a
    spectrum was measured, so other lights are no guess. told : its colour stands alone (else only beside
    others of its photograph). looks : by photograph. problem : why there is no colour. remarks : in words.
    """

    slug: str
    name: str
    lab: Array | None = None
    best: Array | None = None
    reflectances: Array | None = None
    sure_to: float = 0.0
    exact: bool = False
    told: bool = True
    skin: bool = False
    material: str = ""
    looks: Mapping[str, Look] = field(default_factory=dict)
    problem: str = ""
    remarks: tuple[str, ...] = ()

    def under(self, light: LightName) -> tuple[Array, Array]:
        """Best L*, a*, b* and (DRAWS, 3) under a light. The colour must be there."""
        assert self.best is not None
        assert self.reflectances is not None
        table = LIGHTS[light].table
        if light == "daylight":
            assert self.lab is not None
            best = self.lab
        else:
            best = lab_of_xyz(xyz_of_reflectance(self.best, table), table)
        return best, lab_of_xyz(xyz_of_reflectance(self.reflectances, table), table)


def measure_samples(colours: Colours, opened: Mapping[str, Opened], folder: Path) -> dict[str, Measured]:
    """Every sample by slug. A sample that cannot be measured says why; the others are not held up.

    Raises FileError only for what is written wrong: a rectangle outside its picture, a broken spectrum.
    """
    looks, problems = _looks(colours, opened)
    return {
        slug: _measured(sample, looks.get(slug, {}), problems.get(slug, []), folder)
        for slug, sample in colours.samples.items()
    }


def _measured(sample: Sample, looks: Mapping[str, Look], problems: list[str], folder: Path) -> Measured:
    about = {"slug": sample.slug, "name": sample.name, "skin": sample.skin, "material": sample.material}
    seed = zlib.crc32((sample.material or sample.slug).encode())
    random = np.random.default_rng(seed)
    if sample.spectrum:
        best = read_spectrum(folder / sample.spectrum)
        lab = lab_of_xyz(xyz_of_reflectance(best, "D65"))
        noise = sample.sure_to / _NORMAL_95 / 60.0 * random.standard_normal((DRAWS, 1))
        reflectances = np.clip(best * np.exp(noise), 0.0, 1.0)
        return Measured(
            **about, lab=lab, best=best, reflectances=reflectances, sure_to=sample.sure_to, exact=True
        )
    if sample.lab is not None:
        lab = np.array(sample.lab)
        own = np.random.default_rng(zlib.crc32(sample.slug.encode()))
        cloud = lab + own.standard_normal((DRAWS, 3)) @ (sample.sure_to / _NORMAL_95 * unit_steps(lab)).T
        return _from_cloud(about, lab, cloud, random, sure_to=sample.sure_to)
    if not looks:
        return Measured(**about, problem="; ".join(problems) or "it lies in no photograph that can be used")
    # Daylight first, and pictures with a grey before those without: the first is the one to go by.
    best_look = min(looks.values(), key=lambda look: (not look.grey, look.light != "daylight"))
    remarks = list(problems)
    if best_look.uneven > UNEVEN:
        remarks.append(
            f"uneven: its parts differ by {best_look.uneven:.1f}; fold it flat, or mark a smaller rectangle"
        )
    return _from_cloud(
        about,
        best_look.lab,
        best_look.cloud,
        random,
        looks=looks,
        told=best_look.grey,
        remarks=tuple(remarks),
    )


def _from_cloud(about: dict, lab: Array, cloud: Array, random: np.random.Generator, **more) -> Measured:  # type: ignore[no-untyped-def,type-arg]
    xyz = xyz_of_lab(cloud)
    more.setdefault("sure_to", float(np.quantile(ciede2000(cloud, lab), 0.95)))
    return Measured(
        **about,
        lab=lab,
        best=smooth_reflectance(xyz_of_lab(lab)),
        reflectances=plausible_reflectances(xyz, random),
        **more,
    )


def _looks(
    colours: Colours, opened: Mapping[str, Opened]
) -> tuple[dict[str, dict[str, Look]], dict[str, list[str]]]:
    """Looks by sample and photograph, and what went wrong by sample."""
    found: dict[str, dict[str, Look]] = {}
    problems: dict[str, list[str]] = {}
    for slug, photo in opened.items():
        seen: list[tuple[Sample, Area]] = []
        for sample in colours.samples.values():
            sights = [sight for sight in sample.sights if sight.photograph == slug]
            if not sights:
                continue
            area, problem = _area_of(sights, photo)
            if area is None:
                problems.setdefault(sample.slug, []).append(f"in photograph {slug!r}: {problem}")
            else:
                seen.append((sample, area))
        if not seen or photo.correction is None:
            continue
        rgb = np.array([area.rgb for _, area in seen])
        places = np.array([area.place for _, area in seen])
        # Sixteen parts of a rectangle tell its mean to a quarter of their spread.
        shaken = np.array([np.minimum(area.unevenness, 0.5) / 4.0 for _, area in seen])
        skin = np.array([sample.skin for sample, _ in seen])
        best = photo.correction.lab(rgb, places)
        clouds = photo.correction.clouds(rgb, places, shaken, skin, DRAWS)
        for k, (sample, area) in enumerate(seen):
            parts = photo.correction.lab(area.quarters, area.quarter_places)
            found.setdefault(sample.slug, {})[slug] = Look(
                photograph=slug,
                light=photo.photograph.light,
                grey=photo.grey,
                lab=best[k],
                cloud=clouds[:, k],
                uneven=float(ciede2000(parts[:, None], parts[None]).max()),
            )
    return found, problems


def _area_of(sights: list[Sight], photo: Opened) -> tuple[Area | None, str]:
    if photo.fault:
        return None, photo.fault
    areas = [photo.area(box, sight.where) for sight in sights for box in sight.at]
    usable = [area for area in areas if not area.clipped and not area.buried]
    if not usable:
        lost = (
            "it is cut off at white: take it again, darker"
            if areas[0].clipped
            else ("it is lost in black: take it again, brighter")
        )
        return None, lost
    return joined(usable), ""
