"""The body panels are meshed on: the template's mean, the same for every wearer.

What a design meshes on it once fits any wearer by the same faces and weights. Odd bodies cannot break the
meshing, and a new wearer does not wait for it.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from layfigure.body.form import Form
from layfigure.body.shape import form_of
from layfigure.body.template import load_template
from layfigure.draft.panels.cloth_surface import cloth_surface
from layfigure.draft.panels.surface import Surface

KEPT_DESIGNS = 64
"""Meshes kept for garments drafted lately; a costume has a handful."""


@lru_cache(maxsize=1)
def reference_body() -> tuple[Form, Surface]:
    """The mean body and the surface cloth lies on there (made once)."""
    form = form_of(load_template(), np.zeros(1), wearer="reference")
    return form, cloth_surface(form)
