"""What is checked of a boot cover: stretch, room beside the toes, and whether the heel passes."""

from __future__ import annotations

import numpy as np

from layfigure.draft.flatten.panel import FlatPanel
from layfigure.draft.flatten.worn_stretch import vertex_stretches
from layfigure.draft.registry import Check, DraftRequest
from layfigure.draft.wrap.boot_options import BootOptions
from layfigure.draft.wrap.boot_panel import BootMesh
from layfigure.draft.wrap.boot_piece import upright_on_paper
from layfigure.draft.wrap.boot_surface import WALL, BootHalf
from layfigure.geometry.polyline import length
from layfigure.materials.cloth import Cloth
from layfigure.piece.cloth_field import ClothField, rising

WORKED_IN = 0.08
"""Of stretch that cloth takes over a toe by easing and steam, its own stretch apart (common practice, no
source)."""


def strain_check(strain: float, cloth: Cloth) -> Check:
    """What the cloth must give. strain : 95th percentile over the panel's area, a share."""
    limit = given_to_the_shoe(cloth)
    return Check.at_most(
        what="how much the panel must stretch or be eased to lie on the shoe, but for 5 % of its area",
        value=strain,
        limit=limit,
        advice="Choose cloth that stretches more.",
    )


def given_to_the_shoe(cloth: Cloth) -> float:
    """Stretch that eases over a shoe: the cloth's own, the lesser of both ways, and what is worked in."""
    return WORKED_IN + min(cloth.stretch_across, cloth.stretch_along)


def boot_field(mesh: BootMesh, flat: FlatPanel, cloth: Cloth) -> ClothField:
    """How far the panel must stretch to lie on the shoe, over the piece as ``cover_panel`` turns it."""
    gives = 100.0 * given_to_the_shoe(cloth)
    return ClothField(
        slug="stretch",
        title="How far the cloth must stretch to lie on the shoe",
        vertices=upright_on_paper(mesh, flat)(flat.vertices),
        faces=flat.panel.faces,
        values=100.0 * vertex_stretches(flat),
        unit="%",
        bands=rising(
            [
                (0.0, "not at all: what is over is eased in"),
                (0.5 * gives, "a little"),
                (gives, "as far as it can be worked in"),
                (np.inf, "it pulls: further than this cloth gives"),
            ]
        ),
        said="stretched by {}",
    )


def toe_check(half: BootHalf, request: DraftRequest, side: str) -> Check:
    """The foremost sections of the foot fit into the toe box."""
    foot = request.form.charts[f"foot_{side}"]
    sections = foot.sections[foot.stations > 1.5] - half.origin
    sideways = np.cross(np.array([0.0, 0.0, 1.0]), half.forward)
    ahead = (sections @ half.forward).mean(axis=1)
    wide = 0.5 * np.ptp(sections @ sideways, axis=1)
    walls = np.array([row[row[:, 2] <= WALL + 1e-9][0] for row in half.foot])
    room = float((np.interp(ahead, walls[:, 0], walls[:, 1]) - wide).min())
    return Check.at_least(
        what="room beside the toes",
        unit="mm",
        value=room,
        limit=0.0,
        advice="Give it more toe_room.",
    )


def heel_check(
    half: BootHalf, request: DraftRequest, options: BootOptions, cloth: Cloth, side: str
) -> list[Check]:
    """Whether heel and instep pass through the closed leg; nothing where that girth is not known."""
    heel = request.form.measures.get(f"heel_girth_{side}")
    if heel is None:
        return []
    # A separate cover goes over the shoe; one that is sewn to it takes the bare foot.
    girth = heel + (2.0 * np.pi * options.shoe if options.bottom == "separate" else 0.0)
    narrowest = 2.0 * min(length(row) for row in half.leg[: half.ankle + 1])
    share = narrowest * (1.0 + cloth.stretch_across) / girth
    passes = share >= 1.0
    opens = options.opening != "none"
    advice = ""
    if not passes:
        advice = (
            "Open the zip to put it on and to take it off." if opens else "Give it a zip: opening = 'back'."
        )
    return [
        Check(
            what="how much of the girth of heel and instep passes through it closed",
            value=share,
            limit=1.0,
            passed=passes or opens,
            advice=advice,
        )
    ]
