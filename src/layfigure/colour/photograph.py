"""A photograph opened, corrected by what is known in it, and questioned: can its colours be trusted?"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from layfigure.colour.area import LEAST_SIDE, Area, Rectangle, measure_area
from layfigure.colour.chart_in_picture import patch_rectangles
from layfigure.colour.cielab import lab_of_xyz
from layfigure.colour.colours import Photograph
from layfigure.colour.correction import GREY_SPREAD, Correction, Known, fit_correction
from layfigure.colour.light import white_point
from layfigure.colour.profile import SRGB, Profile, read_profile
from layfigure.colour.table_file import TableColour
from layfigure.errors import FileError
from layfigure.files.picture import in_srgb, open_with_profile

Array = NDArray[np.float64]

QUARTER = 2.0
"""A quarter of a card counts for a quarter of the card: its spread is twice as wide."""
MIXED = 0.16
"""Greys whose red or blue, beside their green, differ by more than this from place to place lie in light of
two colours; log. Tone curves move white balance by less."""
MISFIT_CHART = 7.0
"""A chart whose patches miss by more than this in the middle is not the chart of its file [CIEDE2000]."""
TINTED = 0.3
"""A white balance so far off that the maker sees it [log]."""
OFF_BALANCE = (
    "its greys are far from grey, so all of it is less sure: set the camera's white balance to the light, or "
    "to the card, and take it again"
)
NO_GREY = (
    "no grey card or chart is in it: a colour read from it is wrong by 5 or more. Only things that lie in it "
    "together are compared, roughly; lay a grey card beside them and take it again"
)
NOT_THIS_CHART = (
    "the chart's patches do not look like those of its file: are the corners in turn, from the upper left of "
    "the first patch, and is it the right file?"
)
TWO_LIGHTS = (
    "light of two colours falls on it (its greys differ in colour from place to place): switch one off, or "
    "close the curtain, and take it again"
)
TWO_LIGHTS_ON_CHART = (
    "the chart's patches are as light and dark as they should be, and far off in colour from place to place: "
    "light of two colours falls on it. Switch one off, or close the curtain, and take it again"
)
IN_ORDER = 0.9
"""Rank correlation of the lightness of a chart's patches, as seen and as known, from which on its corners are
in the right turn: any wrong turn of a mixed chart is far below."""
CHART_SPREAD = 0.3
"""Spread of a chart's own values against the chart in hand: prints and readings differ so. From memory."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Opened:
    """A photograph ready to be asked.

    fault : why nothing in it can be measured; empty when it can. grey : a grey or a chart tells its white.
    correction : None with a fault. remarks : in words.
    """

    photograph: Photograph
    codes: NDArray[np.uint8]
    profile: Profile
    correction: Correction | None
    grey: bool
    fault: str = ""
    remarks: tuple[str, ...] = ()

    def area(self, rectangle: Rectangle, where: str) -> Area:
        """One rectangle. Raises FileError for one that is too small or outside the picture."""
        return _area(self.codes, self.profile, rectangle, where)


def open_photograph(
    photograph: Photograph, folder: Path, charts: Mapping[str, Mapping[str, TableColour]]
) -> Opened:
    """Open and correct. charts : colours of each chart by patch. Raises FileError for what the file says
    wrong.

    A picture that cannot be opened, is clipped on all its greys or lies in mixed light is no error: it comes
    back with its fault told, so that all else can still be judged.
    """
    try:
        picture, data = open_with_profile(folder / photograph.file)
    except FileError as error:
        return _unusable(photograph, f"{error}")
    profile = SRGB
    if data is not None:
        read = read_profile(data)
        if read is None:
            picture = in_srgb(picture, data)
        profile = read or SRGB
    codes = np.asarray(picture)
    knowns, remarks = _knowns(photograph, codes, profile, charts)
    told = any(known.lab is not None for known in knowns)
    wanted = bool(photograph.greys) or photograph.chart is not None
    if wanted and not told:
        return _unusable(
            photograph,
            "its grey card or chart is cut off at white or lost in black: take it again, darker or brighter",
            remarks,
        )
    correction = fit_correction(
        knowns, to_xyz=profile.matrix, size=(codes.shape[1], codes.shape[0]), light=photograph.light
    )
    fault, more = _questioned(correction, knowns)
    if fault:
        return _unusable(photograph, fault, (*remarks, *more))
    if not told:
        more = [
            *more,
            NO_GREY,
        ]
    return Opened(
        photograph=photograph,
        codes=codes,
        profile=profile,
        correction=correction,
        grey=told,
        remarks=(*remarks, *more),
    )


def _unusable(photograph: Photograph, fault: str, remarks: tuple[str, ...] | list[str] = ()) -> Opened:
    return Opened(
        photograph=photograph,
        codes=np.zeros((1, 1, 3), dtype=np.uint8),
        profile=SRGB,
        correction=None,
        grey=False,
        fault=fault,
        remarks=tuple(remarks),
    )


def _knowns(
    photograph: Photograph,
    codes: NDArray[np.uint8],
    profile: Profile,
    charts: Mapping[str, Mapping[str, TableColour]],
) -> tuple[list[Known], list[str]]:
    knowns: list[Known] = []
    remarks: list[str] = []
    for number, card in enumerate(photograph.greys, start=1):
        area = _area(codes, profile, card.at, f"{photograph.where}, grey {number}")
        name = f"grey {number}"
        if _lost(area):
            remarks.append(f"{name} is {_lost(area)} and was left out")
            continue
        lab = lab_of_xyz(card.reflectance * white_point("D65"))
        knowns += _quarters(area, name, lab=lab)
    for number, place in enumerate(photograph.sheet, start=1):
        area = _area(codes, profile, place, f"{photograph.where}, sheet {number}")
        if _lost(area):
            remarks.append(f"the sheet's place {number} is {_lost(area)} and was left out")
            continue
        knowns += _quarters(area, f"sheet {number}", lab=None)
    if photograph.chart is not None:
        colours = charts[photograph.chart.of]
        places = patch_rectangles(photograph.chart, tuple(colours), photograph.where)
        lost = []
        for name, rectangle in places.items():
            if name not in colours:
                raise FileError(
                    f"the chart has no patch {name!r}.",
                    where=photograph.where,
                    advice=f"Its file has {', '.join(list(colours)[:8])} …",
                )
            area = _area(codes, profile, rectangle, f"{photograph.where}, patch {name}")
            if _lost(area):
                lost.append(name)
                continue
            # Its greys too are paint or ink: the camera may see them coloured, as it does all others.
            knowns.append(
                Known(
                    name=f"patch {name}",
                    rgb=area.rgb,
                    place=area.place,
                    lab=colours[name].lab,
                    spread=CHART_SPREAD,
                )
            )
        if lost:
            remarks.append(f"patches too bright or too dark, left out: {', '.join(lost)}")
    return knowns, remarks


def _quarters(area: Area, name: str, *, lab: Array | None) -> list[Known]:
    return [
        Known(name=name, rgb=rgb, place=place, lab=lab, spread=QUARTER * GREY_SPREAD, grey=True, sheet=0)
        for rgb, place in zip(area.quarters, area.quarter_places, strict=True)
    ]


def _lost(area: Area) -> str:
    return "cut off at white" if area.clipped else "lost in black" if area.buried else ""


def _questioned(correction: Correction, knowns: list[Known]) -> tuple[str, list[str]]:
    """A fault, or remarks."""
    if not knowns:
        return "", []
    remarks = [OFF_BALANCE] if correction.off_balance > TINTED else []
    size = np.linalg.norm(correction.left, axis=1)
    coloured = np.array([not known.grey and known.lab is not None for known in knowns])
    if coloured.sum() >= 6 and np.median(size[coloured]) > MISFIT_CHART:
        return (TWO_LIGHTS_ON_CHART if _in_order(knowns) else NOT_THIS_CHART), []
    if _tint_apart(knowns) > MIXED:
        return TWO_LIGHTS, []
    far = [knowns[k].name for k in np.flatnonzero(coloured & (size > max(4.0 * correction.misfit, 6.0)))]
    if far:
        remarks.append(
            f"does not fit and counts little (glare, a shadow, a wrong rectangle?): {', '.join(far)}"
        )
    return "", remarks


def _in_order(knowns: list[Known]) -> bool:
    """Whether a chart's patches are seen as light and dark as they are known to be."""
    patches = [(known.rgb[1], known.lab[0]) for known in knowns if not known.grey and known.lab is not None]
    seen, known = np.argsort(np.argsort(np.array(patches), axis=0), axis=0).T
    return float(np.corrcoef(seen, known)[0, 1]) >= IN_ORDER


def _tint_apart(knowns: list[Known]) -> float:
    """Greatest difference in the tint of the light between greys of one kind, log; the fit has no say in it.

    The fit could bend its tone curve until two tints look alike.
    """
    most = 0.0
    for chosen in ([k for k in knowns if k.grey and k.lab is not None], [k for k in knowns if k.lab is None]):
        named: dict[str, list[Array]] = {}
        for known in chosen:
            light = np.log(np.maximum(known.rgb, 1e-4))
            named.setdefault(known.name, []).append(light[[0, 2]] - light[1])
        tints = np.array([np.mean(each, axis=0) for each in named.values()]).reshape(-1, 2)
        for tint in tints:
            most = max(most, float(np.abs(tints - tint).max()))
    return most


def _area(codes: NDArray[np.uint8], profile: Profile, rectangle: Rectangle, where: str) -> Area:
    x, y, width, height = rectangle
    if min(width, height) < LEAST_SIDE:
        raise FileError(
            "the rectangle is too small to tell a colour.",
            where=where,
            advice=f"Make it {LEAST_SIDE} pixels or more each way, inside the thing.",
        )
    if x < 0 or y < 0 or x + width > codes.shape[1] or y + height > codes.shape[0]:
        raise FileError(
            f"the rectangle lies outside the picture, which is {codes.shape[1]} by {codes.shape[0]} pixels.",
            where=where,
            advice="Write x, y, width, height, counted from the upper left corner of the upright picture.",
        )
    return measure_area(codes, profile, rectangle)
