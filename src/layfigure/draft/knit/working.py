"""What wearing asks of close cloth, place by place: how far it is stretched, how hard it presses."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from layfigure.body.form import Form
from layfigure.body.girth_at import girths_at
from layfigure.draft.flatten.panel import FlatPanel
from layfigure.draft.flatten.worn_stretch import vertex_stretches
from layfigure.draft.knit.panel_cloths import PanelCloth
from layfigure.draft.knit.stretch_advice import spare_stretch
from layfigure.materials.pressure import FEELS, worn_pressure
from layfigure.materials.stretch import USABLE_SHARE
from layfigure.piece.cloth_field import ClothField, FieldBand, rising

Points = NDArray[np.float64]
Indices = NDArray[np.int64]

ROUGH = 0.02
"""Stretch beyond the fit's own that is still the fit: truing gives and takes as much anywhere, a share."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PanelWorking:
    """One panel. piece : its slug. vertices : (n, 2) flat, places : (n, 3) in the drafting pose [mm].

    stretch : (n,) greatest stretch of the cloth there from flat to worn, the fit's own in it, a share.
    """

    piece: str
    cloth: PanelCloth
    vertices: Points
    faces: Indices
    places: Points
    stretch: Points

    def fields(self, form: Form) -> tuple[ClothField, ...]:
        """Stretch and pressure."""
        own, (worn, _) = self.cloth.cloth, self.cloth.reduction.worn_stretch
        # As the checks have it: one tension all over, so that it presses in inverse proportion to the girth.
        round_a_metre = worn_pressure(own, worn, 1000.0).likely
        doubt = "" if own.tension is not None else " (cloth untested: a guess)"
        return (
            ClothField(
                slug="stretch",
                title="How far the cloth is stretched, standing still",
                vertices=self.vertices,
                faces=self.faces,
                values=100.0 * self.stretch,
                unit="%",
                bands=stretch_bands(self.cloth),
                said="stretched by {}",
            ),
            ClothField(
                slug="pressure",
                title=f"How hard the cloth presses, standing still{doubt}",
                vertices=self.vertices,
                faces=self.faces,
                values=round_a_metre * 1000.0 / girths_at(self.places, form.drafting_charts),
                unit="kPa",
                bands=tuple(FieldBand(limit=limit, words=feel) for limit, feel in FEELS),
                said="presses with {}",
            ),
        )


@dataclass(frozen=True, slots=True, eq=False)
class PanelsWorking:
    """A garment's panels."""

    panels: tuple[PanelWorking, ...]

    def over(self, form: Form) -> Mapping[str, tuple[ClothField, ...]]:
        """Stretch and pressure over every panel, by the slug of its piece."""
        return {panel.piece: panel.fields(form) for panel in self.panels}


def panels_working(
    flats: Mapping[str, FlatPanel], cloths: Mapping[str, PanelCloth], pieces: Mapping[str, str]
) -> PanelsWorking:
    """Of flat panels; cloths, pieces : cloth and slug of the piece, by panel slug."""
    return PanelsWorking(
        tuple(
            PanelWorking(
                piece=pieces[slug],
                cloth=cloths[slug],
                vertices=flat.vertices,
                faces=flat.panel.faces,
                places=flat.panel.vertices,
                stretch=vertex_stretches(flat),
            )
            for slug, flat in flats.items()
        )
    )


def stretch_bands(own: PanelCloth) -> tuple[FieldBand, ...]:
    """Bands of stretch [%]: the fit's own, what standing may use, what the checks allow."""
    fit = max(own.reduction.worn_stretch)
    most = own.reduction.worn_stretch[0] + spare_stretch(own.cloth, own.reduction)
    return rising(
        [
            (0.0, "slack: not stretched at all"),
            (100.0 * (fit + ROUGH), "as much as the fit itself"),
            (100.0 * USABLE_SHARE * own.cloth.stretch_across, "more, and at ease standing still"),
            (100.0 * most, "it pulls: part of what moving needs is used up"),
            (np.inf, "it pulls hard: more than this cloth has to spare"),
        ]
    )
