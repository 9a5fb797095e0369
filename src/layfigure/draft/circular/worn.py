"""A circular piece as it hangs: folds where there is cloth to spare, taut where there is none."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from layfigure.body.chart import RegionChart
from layfigure.body.form import Form
from layfigure.draft.bulk import Bulk, layers
from layfigure.draft.circular.options import CircularOptions
from layfigure.draft.circular.plan import CircularPlan
from layfigure.draft.panels.surface import vertex_normals
from layfigure.geometry.mesh import TriangleMesh
from layfigure.geometry.polyline import resample
from layfigure.geometry.table import read_columns, read_rows
from layfigure.geometry.tube import rows_mesh
from layfigure.piece.piece import Piece
from layfigure.piece.worn import HANGS, WornSurface
from layfigure.place.placement import PlacedEdge

Points = NDArray[np.float64]

COLUMNS = 72
ROWS = 20
LIMB_ROWS = 6
HOOD_ROUND = (0.14, 0.86)
"""Where a hood lies round the head, in turns from the middle of the face, for pictures only."""
AWAY_FROM_HEAD = 22.0
FOLD = 140.0
"""Length of hem to a fold [mm], for pictures only."""
LIFTS_WITHIN = 60.0
"""The top edge stays where it is sewn; so far below it the cloth lies as high as it will [mm]."""
AWAY = 4.0
AWAY_FROM_ARMS = 14.0
"""Off what is beneath, for pictures [mm]: a cape goes over sleeves and cuffs that its lines do not touch."""


def worn_surfaces(
    plan: CircularPlan, options: CircularOptions, base: Piece, form: Form, top: PlacedEdge | None
) -> tuple[WornSurface, ...]:
    """The cloth, and what stands up from its top edge. base : its piece. top : the edge it hangs from."""
    if plan.worn is None and top is not None:
        ruffle = limb_mesh(plan, top.line, form.charts[top.at[0].region])
        return (WornSurface(name=base.slug, mesh=ruffle, cloth=base.cloth, gives=HANGS),)
    shown = [(base.slug, worn_mesh(plan, over_arms=options.use == "cape"))]
    if options.finish == "collar":
        shown.append((f"{base.slug}_collar", upright_mesh(plan, options.collar_height, options.collar_lean)))
    elif options.finish in ("band", "elastic"):
        shown.append((f"{base.slug}_band", upright_mesh(plan, options.band_depth, 0.0)))
    if options.hood:
        shown.append((f"{base.slug}_hood", hood_mesh(plan, form.charts["head"])))
    return tuple(
        WornSurface(name=name, mesh=mesh, cloth=base.cloth, gives=HANGS if name == base.slug else 0.0)
        for name, mesh in shown
        if mesh is not None
    )


def bulk_beneath(plan: CircularPlan, worn: Sequence[WornSurface], thickness: float) -> tuple[Bulk, ...]:
    """Pleats and gathers, all the way down: three cloths where one lies elsewhere."""
    if plan.pleats is None and not plan.gathered:
        return ()
    what = "pleats" if plan.pleats is not None else "gathers"
    return tuple(
        Bulk(what=what, places=surface.mesh.vertices, thickness=layers(2.0, thickness)) for surface in worn
    )


def worn_mesh(plan: CircularPlan, *, over_arms: bool) -> TriangleMesh | None:
    """The cloth on the standing wearer, at most 3000 triangles; None without a body."""
    away = AWAY_FROM_ARMS if over_arms else AWAY
    worn = plan.worn
    if worn is None:
        return None
    along = np.linspace(0.0, 1.0, COLUMNS + 1)
    share = np.linspace(0.0, 1.0, ROWS + 1) ** 1.6
    fall = worn.fall
    cloth = read_columns(along, worn.along, worn.cloth)
    length = plan.worn_length_at(along)[:, None] * share
    down = np.broadcast_to(fall.distance, cloth.shape)
    (distance,) = read_rows(length, cloth, down)
    (turn,) = read_rows(distance, down, read_columns(along, worn.along, worn.turn))
    places = fall.at(turn, distance)
    out = places[..., :2] - fall.centre
    reach = np.linalg.norm(out, axis=-1, keepdims=True)
    square = rows_mesh(places, closed=False)
    level = vertex_normals(square.vertices, square.faces)[:, 2].reshape(distance.shape)
    places[..., :2] += out / np.maximum(reach, 1.0) * (_folds(plan, along, distance) + away)[..., None]
    # On a shoulder, which is nearly level, away is up.
    places[..., 2] += away * np.abs(level) * np.minimum(distance / LIFTS_WITHIN, 1.0)
    return rows_mesh(places, closed=False)


def limb_mesh(plan: CircularPlan, line: Points, chart: RegionChart) -> TriangleMesh:
    """A ruffle round a limb: a cone that opens toward the hand or the foot.

    line : (m, 3) its top edge. chart : of the limb, whose stations run that way.
    """
    station = plan.stations[0]
    here, beyond = (chart.section(station + step).mean(axis=0) for step in (-0.05, 0.05))
    axis = (beyond - here) / np.linalg.norm(beyond - here)
    every = resample(line, COLUMNS + 1)
    out = every - every.mean(axis=0)
    out -= (out @ axis)[:, None] * axis
    out /= np.linalg.norm(out, axis=1, keepdims=True)
    # A cone's girth grows by 2 pi times the sine of its slope.
    rise = min(0.95, plan.flat.share)
    down = np.linspace(0.0, plan.deepest, LIMB_ROWS + 1)[None, :, None]
    slant = np.sqrt(1.0 - rise**2) * axis + rise * out[:, None, :]
    return rows_mesh(every[:, None, :] + AWAY * out[:, None, :] + down * slant, closed=False)


def upright_mesh(plan: CircularPlan, height: float, lean: float) -> TriangleMesh | None:
    """A stand collar or waistband above the top edge; None without a body.

    height : of it. lean : how much shorter its upper edge is than its lower one, leaning in all round [mm].
    """
    if plan.worn is None:
        return None
    fall = plan.worn.fall
    turn = np.interp(np.linspace(0.0, 1.0, COLUMNS + 1), plan.worn.along, plan.worn.turn[:, 0])
    lower = fall.at(turn, 0.0)
    out = (lower[:, :2] - fall.centre) / np.linalg.norm(lower[:, :2] - fall.centre, axis=1, keepdims=True)
    lower[:, :2] += AWAY * out
    upper = lower + np.array([0.0, 0.0, height])
    upper[:, :2] -= lean / (2.0 * np.pi) * out
    return rows_mesh(np.stack([upper, lower], axis=1), closed=False)


def hood_mesh(plan: CircularPlan, head: RegionChart) -> TriangleMesh | None:
    """A hood up over the head, open at the face, down to the neck edge; None without a body."""
    if plan.worn is None:
        return None
    around = np.linspace(*HOOD_ROUND, 33)
    station = np.linspace(float(head.stations[0]), float(head.stations[-1]), 17)
    places = head.points(np.repeat(station, len(around)), np.tile(around, len(station)))
    places = places.reshape(len(station), len(around), 3)
    middle = places.mean(axis=(0, 1))
    out = places - middle
    places = places + AWAY_FROM_HEAD * out / np.linalg.norm(out, axis=2, keepdims=True)
    neck = plan.worn.fall.at(around, 0.0)
    return rows_mesh(np.concatenate([places, neck[None]]), closed=False)


def _folds(plan: CircularPlan, along: Points, distance: Points) -> Points:
    """How far the cloth stands off the fall in folds that use up its spare length, same shape [mm].

    A wave of amplitude a and k folds on a round of length B is longer by (pi k a)^2 / B, nearly.
    """
    assert plan.worn is not None
    fall, span = plan.worn.fall, min(plan.worn.span, 1.0)
    round_body = np.interp(distance, fall.distance, fall.girths() * plan.worn.cover * span)
    flat = plan.flat.round_at(distance) * plan.finished / plan.flat.top
    # Pleats and gathers are closed at the top and open on the way down.
    opened = np.clip(distance / 250.0, 0.0, 1.0)
    cloth = flat + opened * (plan.flat.round_at(distance) - flat)
    spare = np.maximum(cloth - round_body, 0.0)
    folds = max(4, round(float(plan.flat.round_at(plan.deepest)) / FOLD))
    wave = np.sqrt(spare * round_body) / (math.pi * folds)
    standing: Points = wave * (1.0 + np.cos(2.0 * np.pi * folds * along))[:, None]
    return standing
