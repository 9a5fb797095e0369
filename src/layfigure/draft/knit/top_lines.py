"""Where the edges of a top or bodysuit run when the design says nothing, as fields of the reference body."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from layfigure.body.form import Form
from layfigure.body.template import load_template
from layfigure.draft.panels.body_fields import body_fields
from layfigure.draft.panels.edge_fields import beyond
from layfigure.draft.panels.leggings import Side
from layfigure.draft.panels.surface import Surface
from layfigure.draft.panels.top import STRIP

Points = NDArray[np.float64]

LEG_START = 40.0
"""Below the crotch, where the usual leg opening would meet the midline [mm]."""
LEG_RISE = 0.45
"""How far up from crotch to waist the usual leg opening reaches at the side."""


def usual_leg(form: Form, surface: Surface, side: Side) -> Points:
    """How far past the usual leg opening each vertex lies, (n,) [mm]: it rises from between the legs to the
    side of the hip, more steeply in front than behind.
    """
    chart = form.drafting_charts["torso"]
    heights = chart.sections[:, :, 2].mean(axis=1)
    crotch, waist = (float(np.interp(level, chart.stations, heights)) for level in (5.0, 3.0))
    widest = chart.section(4.0)
    out = surface.vertices[:, 0] if side == "left" else -surface.vertices[:, 0]
    share = np.clip((out - STRIP) / (float(np.abs(widest[:, 0]).max()) - STRIP), 0.0, 1.2)
    front = body_fields().front_back < 0.0
    rise = (LEG_RISE * (waist - crotch) + LEG_START) * share ** np.where(front, 0.9, 1.3)
    return crotch - LEG_START + rise - surface.vertices[:, 2]


def above_armpits(surface: Surface) -> NDArray[np.bool_]:
    """Faces of the trunk that a neckline may run on: not of arms, head or legs, (m,)."""
    shares = body_fields().shares
    arms = sum(
        shares[f"{bone}_{side}"] for bone in ("upper_arm", "forearm", "hand") for side in ("left", "right")
    )
    head = load_template().landmarks["chin"]
    low = surface.vertices[load_template().landmarks["crotch"], 2]
    z = surface.vertices[:, 2]
    good = (np.asarray(arms) < 0.5) & (z < surface.vertices[head, 2] + 40.0) & (z > low)
    chosen: NDArray[np.bool_] = good[surface.faces].all(axis=1)
    return chosen


def usual_armhole(side: Side, inward: float) -> Points:
    """How far out past the usual armhole each vertex lies, (n,) [mm]: moved ``inward`` on the shoulder, the
    armpit where it is.
    """
    body = body_fields()
    template = load_template()
    z = template.mean[: template.vertex_count, 2]
    armpit, shoulder = (z[template.landmarks[f"{name}_{side}"]] for name in ("armpit", "shoulder_point"))
    share = np.clip((z - armpit) / (shoulder - armpit), 0.0, 1.0)
    past: Points = body.armhole[side] + inward * share
    return past


def placed_armhole(surface: Surface, curve: Points, side: Side) -> Points:
    """How far out past a placed armhole each vertex lies, (n,) [mm]."""
    usual = body_fields().armhole[side]
    spread = curve - curve.mean(axis=0)
    # The plane that fits it best has the direction it is least spread in.
    _, _, axes = np.linalg.svd(spread, full_matrices=False)
    axis = axes[2] if axes[2, 0] * (1.0 if side == "left" else -1.0) > 0.0 else -axes[2]
    past = beyond(surface.vertices, curve, axis)
    # The curve's plane runs on through the flank and the hip, where no armhole is meant.
    shares = body_fields().shares
    arm = sum(shares[f"{bone}_{side}"] for bone in ("upper_arm", "forearm", "hand"))
    armpit = surface.vertices[load_template().landmarks[f"armpit_{side}"], 2]
    flank = (np.asarray(arm) < 0.5) & (surface.vertices[:, 2] < armpit + 20.0)
    return np.where(flank, np.minimum(past, usual), past)
