"""A close hood in two halves: a seam over the head from forehead to nape, an opening for the face.

Its half is drawn by formula: round the head at the brow less the face, over the head from the side of the
neck to the crown (a straight side and a quarter of an ellipse), round the neck at its base or as wide as the
head needs to get in. Common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from layfigure.body.form import Form
from layfigure.draft.registry import Check
from layfigure.geometry.mesh import TriangleMesh
from layfigure.geometry.polyline import length, resample
from layfigure.materials.cloth import Cloth
from layfigure.materials.opening import check_opening, elastic_length
from layfigure.materials.stretch import Reduction
from layfigure.piece.item import Item
from layfigure.piece.worn import WornSurface

Points = NDArray[np.float64]

STEP = 2.0
FOREHEAD = 0.30
"""Where the face's edge meets the centre seam, as a share of the half's breadth back from its front."""
TO_GET_IN = 1.02
"""Lower edge stretched, over the head's girth."""
LIFT = 3.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class HoodHalf:
    """The left half of a hood, flat: x toward the back, y up [mm].

    neck, centre, face, chin : its edges in order, counter-clockwise: lower edge, seam from nape to forehead,
    opening, seam below the chin. brow : height of the brow.
    """

    neck: Points
    centre: Points
    face: Points
    chin: Points
    brow: float


def hood_half(form: Form, cloth: Cloth, reduction: Reduction, face: float) -> HoodHalf:
    """The half that fits a head. face : breadth of the opening at the brow, along the skin [mm]."""
    head, neck = form.charts["head"], form.charts["neck"]
    heights = form.level_heights
    girth = form.measures.get("head_girth", float(head.girth(1.0)[()]))
    breadth = float(np.ptp(head.section(1.0)[:, 0]))
    round_, along = 1.0 - reduction.around, 1.0 - reduction.along
    depth = 0.5 * round_ * (girth - face)
    fitted = round_ * float(neck.girth(neck.stations[-1])[()])
    at_neck = 0.5 * max(fitted, TO_GET_IN * girth / (1.0 + cloth.stretch_across))
    base = heights["neck_base"]
    brow = along * (heights["brow"] - base)
    top = brow + along * _quarter_ellipse(0.5 * breadth, heights["crown"] - heights["brow"])
    chin = along * max(heights["chin"] - base, 20.0)
    front = FOREHEAD * depth
    back = _joined(
        np.array([[at_neck, 0.0], [0.5 * (at_neck + depth), 0.45 * brow], [depth, brow]]),
        _corner(depth, brow, front, top),
    )
    forehead, under = np.array([front * 0.35, top - 0.12 * (top - brow)]), np.array([0.0, chin])
    centre = _joined(back, np.array([[front, top], forehead]))
    return HoodHalf(
        neck=_sampled(np.array([[0.0, 0.0], [at_neck, 0.0]])),
        centre=_sampled(centre),
        face=_sampled(np.array([forehead, [0.0, brow], under])),
        chin=_sampled(np.array([under, [0.0, 0.0]])),
        brow=brow,
    )


def _quarter_ellipse(a: float, b: float) -> float:
    """Quarter of an ellipse's perimeter, half axes a and b (Ramanujan's first approximation) [mm]."""
    return float(0.25 * np.pi * (3.0 * (a + b) - np.sqrt((3.0 * a + b) * (a + 3.0 * b))))


def _corner(depth: float, brow: float, front: float, top: float) -> Points:
    """A quarter of an ellipse from the back at the brow to the top."""
    angle = np.linspace(0.0, 0.5 * np.pi, 40)
    return np.stack([front + (depth - front) * np.cos(angle), brow + (top - brow) * np.sin(angle)], axis=1)


def _joined(first: Points, second: Points) -> Points:
    return np.vstack([first, second[1:]])


def _sampled(line: Points) -> Points:
    return resample(line, max(3, round(length(line) / STEP) + 1))


def hood_checks(half: HoodHalf, form: Form, cloth: Cloth) -> tuple[Check, ...]:
    """Whether the head passes the lower edge."""
    girth = form.measures.get("head_girth", float(form.charts["head"].girth(1.0)[()]))
    result = check_opening(2.0 * length(half.neck), cloth.stretch_across, girth)
    can = "can" if result.passes else "cannot"
    advice = "Open it at the nape with a zip, or take a cloth with more stretch."
    return (
        Check(
            what=f"the head {can} pass through the lower edge when it is stretched",
            value=result.share,
            limit=1.0,
            passed=result.passes,
            advice="" if result.passes else advice,
        ),
    )


def face_elastic(half: HoodHalf, reduction: Reduction) -> Item:
    """Elastic round the face, as a thing to buy."""
    worn = 2.0 * length(half.face) / (1.0 - reduction.along)
    return Item(
        slug="elastic_8mm",
        name="elastic, 8 mm wide",
        length=elastic_length("neck", worn),
        use="face of the hood: spread evenly, ends overlapped 12 mm below the chin",
    )


def worn_hood(form: Form, name: str, cloth: str) -> WornSurface:
    """The skin of head and neck that the hood covers, lifted off it."""
    regions = [form.region_names.index(region) for region in ("head", "neck")]
    mesh = form.standing
    middles = mesh.vertices[mesh.faces].mean(axis=1)
    head = form.charts["head"].section(1.0)
    front, back = float(head[:, 1].min()), float(head[:, 1].max())
    base, chin, brow = (form.level_heights[level] for level in ("neck_base", "chin", "brow"))
    over_face = (middles[:, 1] < front + 0.42 * (back - front)) & (middles[:, 2] > chin)
    over_face &= middles[:, 2] < brow + 0.35 * (form.level_heights["crown"] - brow)
    chosen = np.isin(form.face_region, regions) & ~over_face & (middles[:, 2] > base)
    faces = mesh.faces[chosen]
    used, numbered = np.unique(faces, return_inverse=True)
    normals = np.zeros_like(mesh.vertices)
    np.add.at(normals, mesh.faces.ravel(), np.repeat(mesh.face_normals(), 3, axis=0))
    out = normals[used] / np.maximum(np.linalg.norm(normals[used], axis=1, keepdims=True), 1e-9)
    lifted = mesh.vertices[used] + LIFT * out
    return WornSurface(name=name, mesh=TriangleMesh(lifted, numbered.reshape(-1, 3)), cloth=cloth)
