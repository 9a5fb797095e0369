"""What wearing asks of a stiff band, place by place: how it is bent, how far it stands off."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from layfigure.body.form import Form
from layfigure.draft.wrap.piece import BandOutline
from layfigure.draft.wrap.surface import GAP_LIMIT, WrapSurface
from layfigure.geometry.tube import rows_mesh
from layfigure.piece.cloth_field import ClothField, rising

Points = NDArray[np.float64]

FLATTEST = 2000.0
"""A sheet bent less than this is as good as flat: the radius of a wall has no end [mm]."""
TOUCHES = 3.0
FAR_OFF = 25.0
"""Our judgement, no source; between them lies what a stiff band may keep at most of its area [mm]."""
ROWS = 12
"""Rows of faces from the lower edge to the upper one."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BandPlaces:
    """Places on a band: which trapezoid (k,), height in the frame (k,) [mm]."""

    side: NDArray[np.int64]
    height: Points


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BandsWorking:
    """The bands of a wrap. outlines : by the slug of the piece. least_radius : that the sheet bends to
    easily [mm].
    """

    outlines: Mapping[str, BandOutline]
    surface: WrapSurface
    least_radius: float

    def over(self, _form: Form) -> Mapping[str, tuple[ClothField, ...]]:
        """Bend and room beneath, over every band."""
        return {
            slug: band_fields(outline, self.surface, self.least_radius)
            for slug, outline in self.outlines.items()
        }


def band_fields(outline: BandOutline, surface: WrapSurface, least_radius: float) -> tuple[ClothField, ...]:
    """Bend and room beneath, over one band laid flat. least_radius : that the sheet bends to easily [mm]."""
    band = outline.band
    low, high = outline.traces
    # Through the middle of every trapezoid, where the numbers are its own; the ends and corners besides.
    middles = outline.first + 0.5 + np.arange(outline.trapezoids)
    ends = [outline.first, outline.first + outline.trapezoids]
    ruling = np.unique(np.concatenate([middles, ends, low.ruling[low.corner], high.ruling[high.corner]]))
    foot, tip = np.interp(ruling, low.ruling, low.share), np.interp(ruling, high.ruling, high.share)
    ups = np.linspace(0.0, 1.0, ROWS + 1)
    shares = np.stack([(1.0 - up) * foot + up * tip for up in ups])
    laid = outline.flat.points(ruling, shares)
    mesh = rows_mesh(np.concatenate([laid, np.zeros((*laid.shape[:2], 1))], axis=2), closed=False)
    inside = np.clip(ruling, outline.first, outline.first + outline.trapezoids - 1e-6)
    at = BandPlaces(
        side=np.tile(np.floor(inside).astype(np.int64) % band.count, len(ups)),
        height=np.asarray(band.height(shares)).ravel(),
    )
    return (
        ClothField(
            slug="bend",
            title="How tightly the sheet is bent (radius, on its inner side)",
            vertices=mesh.vertices[:, :2],
            faces=mesh.faces,
            values=np.minimum(bend_radii(surface, at), FLATTEST),
            unit="mm",
            bands=rising(
                [
                    (least_radius, "tighter than it easily bends"),
                    (2.0 * least_radius, "a tight bend"),
                    (6.0 * least_radius, "a bend"),
                    (np.inf, "nearly flat"),
                ]
            ),
            said="bent to a radius of {}",
            least_is_worst=True,
        ),
        ClothField(
            slug="stand_off",
            title="How far it stands off, beyond the room it is given",
            vertices=mesh.vertices[:, :2],
            faces=mesh.faces,
            values=gaps_at(surface, at),
            unit="mm",
            bands=rising(
                [
                    (TOUCHES, "lies on what is beneath"),
                    (GAP_LIMIT, "lies close"),
                    (FAR_OFF, "stands off"),
                    (np.inf, "stands far off"),
                ]
            ),
            said="stands off by {}",
        ),
    )


def bend_radii(surface: WrapSurface, at: BandPlaces) -> Points:
    """Radius of the wrap's inner surface round its axis, (k,) [mm]; the greater the flatter."""
    count = surface.fit.values.shape[1]
    step = 2.0 * np.pi / count
    before, own, after = (_support(surface, at, turned) for turned in (-1, 0, 1))
    sides = (before - 2.0 * np.cos(step) * own + after) / np.sin(step)
    radii: Points = sides / (2.0 * np.tan(0.5 * step))
    return radii


def gaps_at(surface: WrapSurface, at: BandPlaces) -> Points:
    """How far the wrap stands off the sections it clears, square to it, clearance not counted, (k,) [mm].

    The numbers of ``surface.stand_off``. 0 where there is no section.
    """
    height = np.clip(at.height, surface.heights[0], surface.heights[-1])
    upper = np.clip(np.searchsorted(surface.heights, height), 1, len(surface.heights) - 1)
    below, above = surface.heights[upper - 1], surface.heights[upper]
    share = (height - below) / (above - below)
    section = (1.0 - share) * surface.hulls[upper - 1, at.side] + share * surface.hulls[upper, at.side]
    support = _support(surface, at, 0) - surface.clearance
    step = np.clip(np.searchsorted(surface.fit.breaks, height), 1, len(surface.fit.breaks) - 1)
    lean = np.array([band.slope() for band in surface.fit.bands])[step - 1, at.side]
    gaps = (support - section) / np.sqrt(1.0 + lean**2)
    found: Points = np.where(np.isfinite(gaps), np.maximum(gaps, 0.0), 0.0)
    return found


def _support(surface: WrapSurface, at: BandPlaces, turned: int) -> Points:
    """Support value of the side that lies some sides further on, at each place's height, (k,) [mm]."""
    fit = surface.fit
    height = np.clip(at.height, fit.breaks[0], fit.breaks[-1])
    upper = np.clip(np.searchsorted(fit.breaks, height), 1, len(fit.breaks) - 1)
    share = (height - fit.breaks[upper - 1]) / (fit.breaks[upper] - fit.breaks[upper - 1])
    side = (at.side + turned) % fit.values.shape[1]
    values: Points = (1.0 - share) * fit.values[upper - 1, side] + share * fit.values[upper, side]
    return values
