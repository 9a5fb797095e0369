"""A glove as it lies on the standing wearer: tubes round arm and palm and round every digit, for pictures."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from layfigure.body.form import Form
from layfigure.draft.glove_hand import Digit, HandShape
from layfigure.geometry.mesh import TriangleMesh
from layfigure.geometry.tube import rows_mesh

Points = NDArray[np.float64]

ROUND = 32


def worn_glove(
    form: Form, hand: HandShape, side: str, *, cuff: float, off: float, fingers: float, thumb: float
) -> TriangleMesh:
    """Surface of the glove, at most about 3000 triangles.

    cuff : station on the forearm where it begins. off : how far its outside stands off the skin [mm].
    fingers, thumb : share of each digit that is covered.
    """
    arm, palm = form.charts[f"forearm_{side}"], form.charts[f"hand_{side}"]
    webs, _, _ = palm.locate(_web_places(hand))
    stations = np.linspace(min(cuff, 0.98), 1.0, 10)[:-1]
    on_arm = np.stack([arm.section(float(s)) for s in stations])
    on_palm = np.stack([palm.section(float(s)) for s in np.linspace(0.0, float(webs.min()), 10)])
    step = on_arm.shape[1] // ROUND
    # The forearm's zero line runs to the thumb, the hand's down its back: a quarter of the way round.
    quarter = on_palm.shape[1] // 4
    sleeve = np.concatenate([on_arm, np.roll(on_palm, quarter, axis=1)])[:, ::step]
    tubes = [tube(outward(sleeve, off))]
    for digit in hand.digits:
        share = thumb if digit.name == "thumb" else fingers
        kept = digit.along <= share * digit.length + 1e-6
        if kept.sum() >= 2:
            tubes.append(tube(outward(digit.rings[kept], off), _tip(digit, off) if share >= 1.0 else None))
    return together(tubes)


def _tip(digit: Digit, off: float) -> Points:
    last, before = digit.rings[-1].mean(axis=0), digit.rings[-3].mean(axis=0)
    tip: Points = last + (digit.length - digit.along[-1] + off) * (last - before) / np.linalg.norm(
        last - before
    )
    return tip


def _web_places(hand: HandShape) -> Points:
    return np.stack([digit.rings[0].mean(axis=0) for digit in hand.digits[1:]])


def outward(rings: Points, off: float) -> Points:
    """Rings moved away from their own middles, (k, n, 3)."""
    spokes = rings - rings.mean(axis=1, keepdims=True)
    moved: Points = rings + off * spokes / np.linalg.norm(spokes, axis=2, keepdims=True)
    return moved


def tube(rings: Points, tip: Points | None = None) -> TriangleMesh:
    """Rings (k, n, 3) joined one to the next, seen from outside. tip : where the last one is closed."""
    if tip is not None:
        middle = rings[-1].mean(axis=0)
        rounded = 0.5 * (middle + tip) + 0.8 * (rings[-1] - middle)
        rings = np.concatenate([rings, rounded[None], np.broadcast_to(tip, rings[-1:].shape)])
    mesh = rows_mesh(rings, closed=True)
    axis = rings[-1].mean(axis=0) - rings[0].mean(axis=0)
    first = rings[0] - rings[0].mean(axis=0)
    turns = float(np.cross(first, np.roll(first, -1, axis=0)).sum(axis=0) @ axis)
    return mesh if turns > 0.0 else TriangleMesh(mesh.vertices, mesh.faces[:, ::-1])


def together(meshes: list[TriangleMesh]) -> TriangleMesh:
    """Several meshes as one."""
    starts = np.cumsum([0, *(len(mesh.vertices) for mesh in meshes)])
    return TriangleMesh(
        np.concatenate([mesh.vertices for mesh in meshes]),
        np.concatenate([mesh.faces + start for mesh, start in zip(meshes, starts, strict=False)]),
    )
