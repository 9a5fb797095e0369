"""Requests to draft shells, and caps of known shape."""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache
from typing import Any

import numpy as np

from layfigure.body.form import Form
from layfigure.body.shape import form_of
from layfigure.body.template import load_template
from layfigure.design.design import DesignEdge, PieceStatement
from layfigure.draft.registry import DraftRequest, DraftResult, validated_options
from layfigure.draft.shell.cap import AZIMUTHS, Cap
from layfigure.draft.shell.cap_frame import cap_frame
from layfigure.draft.shell.kind import KIND
from layfigure.draft.shell.smooth_reach import SmoothReach
from layfigure.materials.cloth import Cloth
from layfigure.place.place import place_edge
from layfigure.place.placement import Placement

FOAM = Cloth(
    slug="foam", kind="foam", name="foam, 5 mm", width=1000.0, areal_mass=500.0, thickness=5.0, tested=True
)
LEATHER = Cloth(
    slug="leather", kind="leather", name="leather", width=600.0, areal_mass=1540.0, thickness=2.0, tested=True
)


@lru_cache(maxsize=2)
def body(preset: str) -> Form:
    template = load_template()
    return form_of(template, template.presets[preset], wearer="test")


def shell(
    form: Form,
    options: Mapping[str, Any],
    *,
    side: Any = "left",
    edges: Mapping[str, DesignEdge] | None = None,
    cloth: Cloth = FOAM,
    stack: float = 1.0,
    slug: str = "piece",
) -> DraftResult:
    placed = {edge.slug: place_edge(edge, form) for edge in (edges or {}).values()}
    statement = PieceStatement(
        slug=slug,
        kind="shell",
        cloth=cloth.slug,
        side=side,
        options=options,
        edges={role: edge.slug for role, edge in (edges or {}).items()},
    )
    return KIND.draft(
        DraftRequest(
            statement=statement,
            options=validated_options(KIND, options, where="test"),
            form=form,
            placement=Placement(wearer="test", edges=placed),
            cloths={cloth.slug: cloth},
            stack=stack,
        )
    )


def ball_cap(radius: float, rim: float) -> Cap:
    """A cap of a ball, its rim at a polar angle [rad]."""
    frame = cap_frame(np.zeros(3), np.array([0.0, 0.0, 1.0]), np.array([1.0, 0.0, 0.0]))
    reach = SmoothReach(degree=0, widest=rim, coefficients=np.array([radius]))
    return Cap(frame=frame, reach=reach, rim=np.full(AZIMUTHS, rim))
