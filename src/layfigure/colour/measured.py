"""The colour of every sample: its best value, the colours it may have instead, and why it cannot be told."""

from __future__ import annotations

import zlib
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from layfigure.colour.area import Area, joined
from layfigure.colour.cielab import lab_of_xyz, xyz_of_lab
from layfigure.colour.colours import Colours, Sample, Sight
from layfigure.colour.correction import SKIN, TOO_PURE, unit_steps
from layfigure.colour.difference import ciede2000
from layfigure.colour.light import LIGHTS, LightName, xyz_of_reflectance
from layfigure.colour.photograph import Opened
from layfigure.colour.reflectance import plausible_reflectances, smooth_reflectance
from layfigure.colour.table_file import read_spectrum
from layfigure.errors import FileError

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
    too_pure: bool = False


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

    def spectra(self) -> tuple[Array, Array]:
        """(81,) the likeliest reflectance and (DRAWS, 81) those it may have. The colour must be there."""
        assert self.best is not None
        assert self.reflectances is not None
        return self.best, self.reflectances

    def under(self, light: LightName) -> tuple[Array, Array]:
        """Best L*, a*, b* and (DRAWS, 3) under a light. The colour must be there."""
        table = LIGHTS[light].table
        best, draws = self.spectra()
        lab = self.lab if light == "daylight" else None
        return (
            lab_of_xyz(xyz_of_reflectance(best, table), table) if lab is None else lab,
            lab_of_xyz(xyz_of_reflectance(draws, table), table),
        )


def measure_samples(colours: Colours, opened: Mapping[str, Opened], folder: Path) -> dict[str, Measured]:
    """Every sample by slug. A sample that cannot be measured says why; the others are not held up.

    Raises FileError only for what is written wrong: a rectangle outside its picture.
    """
    looks, problems = _looks(colours, opened)
    return {
        slug: _measured(sample, looks.get(slug, {}), problems.get(slug, []), folder)
        for slug, sample in colours.samples.items()
    }


def _measured(sample: Sample, looks: Mapping[str, Look], problems: list[str], folder: Path) -> Measured:
    thing = Measured(slug=sample.slug, name=sample.name, skin=sample.skin, material=sample.material)
    own = np.random.default_rng(zlib.crc32(sample.slug.encode()))
    if sample.spectrum:
        try:
            best = read_spectrum(folder / sample.spectrum)
        except FileError as error:
            return replace(thing, problem=str(error))
        # An instrument's fault is mostly one of lightness: 60 steps of it from black to white in logs, about.
        noise = sample.sure_to / _NORMAL_95 / 60.0 * own.standard_normal((DRAWS, 1))
        return replace(
            thing,
            lab=lab_of_xyz(xyz_of_reflectance(best, "D65")),
            best=best,
            reflectances=np.clip(best * np.exp(noise), 0.0, 1.0),
            sure_to=sample.sure_to,
            exact=True,
        )
    if sample.lab is not None:
        lab = np.array(sample.lab)
        cloud = lab + own.standard_normal((DRAWS, 3)) @ (sample.sure_to / _NORMAL_95 * unit_steps(lab)).T
        return replace(_from_cloud(thing, lab, cloud), sure_to=sample.sure_to)
    if not looks:
        return replace(thing, problem="; ".join(problems) or "it lies in no photograph that can be used")
    # Daylight first, and pictures with a grey before those without: the first is the one to go by.
    look = min(looks.values(), key=lambda look: (not look.grey, look.light != "daylight"))
    remarks = list(problems)
    if look.uneven > UNEVEN:
        remarks.append(
            f"uneven: its parts differ by {look.uneven:.1f}; fold it flat, or mark a smaller rectangle"
        )
    if look.too_pure:
        remarks.append("purer than its photograph can hold, so less sure: take it in daylight")
    found = _from_cloud(thing, look.lab, look.cloud)
    return replace(found, looks=looks, told=look.grey, remarks=tuple(remarks))


def _from_cloud(thing: Measured, lab: Array, cloud: Array) -> Measured:
    """Reflectances for every colour it may be. Things of one material stray from the likeliest alike."""
    random = np.random.default_rng(zlib.crc32((thing.material or thing.slug).encode()))
    return replace(
        thing,
        lab=lab,
        best=smooth_reflectance(xyz_of_lab(lab)),
        reflectances=plausible_reflectances(xyz_of_lab(cloud), random),
        sure_to=float(np.quantile(ciede2000(cloud, lab), 0.95)),
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
                problems.setdefault(sample.slug, []).append(problem)
            else:
                seen.append((sample, area))
        if not seen or photo.correction is None:
            continue
        rgb = np.array([area.rgb for _, area in seen])
        places = np.array([area.place for _, area in seen])
        # Sixteen parts of a rectangle tell its mean to a quarter of their spread.
        shaken = np.array([np.minimum(area.unevenness, 0.5) / 4.0 for _, area in seen])
        wider = np.array(
            [
                (SKIN if sample.skin else 1.0) * (TOO_PURE if area.too_saturated else 1.0)
                for sample, area in seen
            ]
        )
        best = photo.correction.lab(rgb, places)
        clouds = photo.correction.clouds(rgb, places, shaken, wider, DRAWS)
        for k, (sample, area) in enumerate(seen):
            parts = photo.correction.lab(area.quarters, area.quarter_places)
            found.setdefault(sample.slug, {})[slug] = Look(
                photograph=slug,
                light=photo.photograph.light,
                grey=photo.grey,
                lab=best[k],
                cloud=clouds[:, k],
                too_pure=area.too_saturated,
                uneven=float(ciede2000(parts[:, None], parts[None]).max()),
            )
    return found, problems


def _area_of(sights: list[Sight], photo: Opened) -> tuple[Area | None, str]:
    if photo.fault:
        return None, f"photograph {photo.photograph.slug!r} cannot be used"
    areas = [photo.area(box, sight.where) for sight in sights for box in sight.at]
    usable = [area for area in areas if not area.clipped and not area.buried]
    if not usable:
        lost = (
            "cut off at white: take it again, darker"
            if areas[0].clipped
            else "lost in black: take it again, brighter"
        )
        return None, f"in photograph {photo.photograph.slug!r} it is {lost}"
    return joined(usable), ""
