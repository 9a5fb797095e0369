"""Facings of the waist edge of a skirt without a waistband and of a bodice: the edge over again, its pleats,
darts and seams folded, and a strip beside it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from layfigure.draft.registry import DraftRequest
from layfigure.draft.woven.bodice import SIDES, BodicePlan, Halves, is_right_way
from layfigure.draft.woven.bodice_edges import mirrored_edges
from layfigure.draft.woven.bodice_facing import INNER_ALLOWANCE
from layfigure.draft.woven.bodice_flat import HalfFlat
from layfigure.draft.woven.closed_edge import Joint, joined, of_dart, one_line
from layfigure.draft.woven.half_outline import Cut, Dart
from layfigure.draft.woven.options import WovenOptions
from layfigure.draft.woven.skirt import SkirtPart
from layfigure.draft.woven.skirt_pieces import extension_of, part_label, part_name, waist_seam
from layfigure.draft.woven.strip import parallel
from layfigure.piece.arrow import arrow_inside
from layfigure.piece.piece import Grainline, Piece, PieceEdge, Total, Verdict

Points = NDArray[np.float64]
Side = Literal["left", "right"]

NOTE = (
    "Join the facings at their seams and finish their inner edge.",
    "Sew right sides together along the waist edge, stretch to stretch, its pleats and darts folded.",
    "Lay a stay tape into that seam, so that the edge stays as long as it is; trim and clip it.",
    "Press it toward the facing, stitch it down there, and turn the facing in.",
    "Where it opens, turn in the facing's end and fell it down, over the front facing if there is one.",
)


def skirt_waist_facings(
    request: DraftRequest, parts: Sequence[SkirtPart], options: WovenOptions, verdict: Verdict, cloth: str
) -> list[Piece]:
    """A facing of every panel's waist edge, as the mirror image of the panel."""
    closure = options.closure or "front_buttons"
    own, found = part_name(request, options), []
    for part in parts:
        place, visible = part.place, list(part.flat.visible)
        joints = [_pleat(part, k) for k in range(len(visible) - 1)]
        left, right = extension_of(place, options, closure)
        if left:
            visible[0] = np.vstack([visible[0][0] - (left, 0.0), visible[0]])
        if right:
            visible[-1] = np.vstack([visible[-1], visible[-1][-1] + (right, 0.0)])
        runs = joined(visible, joints)
        edge = one_line(runs)
        inner = parallel(edge[::-1], options.facing_width, options.facing_width)
        opens = "centre_back" if closure == "back_zip" else "centre_front"
        edges = [PieceEdge(slug="inner", curve=inner[::-1], role="opening", allowance=INNER_ALLOWANCE)]
        edges.append(
            _end(place.right_seam, np.array([inner[0], edge[-1]]), own, options, opens=opens, against=False)
        )
        edges += [
            PieceEdge(
                slug=f"waist_{k + 1}",
                curve=runs[k][::-1],
                role="seam",
                allowance=options.seam_allowance,
                seam=waist_seam(request.statement.slug, place.slug, k),
                against=True,
            )
            for k in reversed(range(len(runs)))
        ]
        edges.append(
            _end(place.left_seam, np.array([edge[0], inner[-1]]), own, options, opens=opens, against=True)
        )
        side: Side = "left" if place.slug.endswith("left") else "right"
        name, label = f"{own}_{place.slug}_waist_facing", f"{part_label(request, options)}, {place.slug}"
        found.append(_piece(request, mirrored_edges(edges), name, label, side, verdict, cloth))
    return found


def _pleat(part: SkirtPart, k: int) -> Joint:
    """The two folds of a pleat that come to lie on each other."""
    before, after = part.flat.visible[k][-1], part.flat.visible[k + 1][0]
    middle = float(part.flat.inners[k][0, 0])
    return Joint(
        first=before,
        along_first=before - (middle - part.depth, 0.0),
        second=after,
        along_second=after - (middle + part.depth, 0.0),
    )


def bodice_waist_seam(slug: str, panel: str, stretch: int) -> str:
    """Identity of the seam of a stretch of a bodice's waist edge, counted from the centre, and its facing."""
    return f"{slug}_waist_{panel}_{stretch}"


def bodice_waist_facings(halves: Halves, plan: BodicePlan, cloth: str) -> list[Piece]:
    """A facing of the waist edge of every half, as the mirror image of its panels."""
    statement, options = plan.request.statement, plan.options
    opens = "centre_back" if plan.closure == "back_zip" else "centre_front"
    label = statement.label or statement.slug.replace("_", " ")
    found = []
    for part in ("front", "back"):
        for side in SIDES:
            runs, joints = _waist(halves[part, side])
            if part == "front" and plan.closure == "front_buttons":
                runs[0] = np.vstack([runs[0][0] - (options.overlap, 0.0), runs[0]])
            runs = joined(runs, joints)
            edge = one_line(runs)
            inner = parallel(edge, options.facing_width, options.facing_width)
            edges = [
                PieceEdge(
                    slug=f"waist_{k}",
                    curve=run,
                    role="seam",
                    allowance=options.seam_allowance,
                    seam=bodice_waist_seam(statement.slug, f"{part}_{side}", k),
                )
                for k, run in enumerate(runs, start=1)
            ]
            ends = {f"side_{side}": [edge[-1], inner[-1]], f"centre_{part}": [inner[0], edge[0]]}
            at_side, at_centre = (
                _end(name, np.array(curve), statement.slug, options, opens=opens, against=False)
                for name, curve in ends.items()
            )
            beside = PieceEdge(slug="inner", curve=inner[::-1], role="opening", allowance=INNER_ALLOWANCE)
            edges += [at_side, beside, at_centre]
            if is_right_way(part, side):
                edges = mirrored_edges(edges)
            # Waist seams run the same way round the body on every panel; what is sewn to them runs against.
            edges = [replace(one, against=True) if one.slug.startswith("waist") else one for one in edges]
            slug = f"{statement.slug}_{part}_waist_facing_{side}"
            found.append(
                _piece(plan.request, edges, slug, f"{label}, {part} {side}", side, plan.verdict, cloth)
            )
    return found


def _waist(half: HalfFlat) -> tuple[list[Points], list[Joint]]:
    """Runs of a half's waist edge from the centre to the side, and what is closed between them."""
    runs: list[Points] = []
    joints: list[Joint] = []
    for run in half.runs:
        if isinstance(run, Dart):
            joints.append(of_dart(run))
        elif isinstance(run, Cut):
            assert half.princess is not None
            centre, side = half.princess
            joints.append(
                Joint(
                    first=centre[0],
                    along_first=centre[1] - centre[0],
                    second=side[0],
                    along_second=side[1] - side[0],
                )
            )
        elif run[0].startswith("waist"):
            runs.append(run[1])
        else:
            break
    return runs, joints[: len(runs) - 1]


def _end(
    name: str, curve: Points, own: str, options: WovenOptions, *, opens: str, against: bool
) -> PieceEdge:
    """An end of a facing: joined to the next one, or turned in where the garment opens."""
    at_opening = name == opens
    return PieceEdge(
        slug=name,
        curve=curve,
        role="closure" if at_opening else "seam",
        allowance=options.seam_allowance,
        seam=None if at_opening else f"{own}_waist_facing_{name}",
        against=against and not at_opening,
    )


def _piece(
    request: DraftRequest,
    edges: Sequence[PieceEdge],
    slug: str,
    label: str,
    side: Side,
    verdict: Verdict,
    cloth: str,
) -> Piece:
    start, end = arrow_inside(np.concatenate([edge.curve[:-1] for edge in edges]), (0.0, 1.0))
    return Piece(
        slug=slug,
        label=f"{label.replace('_', ' ')}, waist facing",
        kind=request.statement.kind,
        cloth=cloth,
        edges=tuple(edges),
        grainline=Grainline(start=start, end=end, kind="grain"),
        totals=(
            Total(what="waist edge", length=sum(e.length for e in edges if e.slug.startswith("waist"))),
            Total(what="inner edge", length=next(e.length for e in edges if e.slug == "inner")),
            Total(
                what="width", length=next(e.length for e in edges if e.slug.startswith(("side", "centre")))
            ),
        ),
        verdict=verdict,
        side=side,
        note=NOTE,
        layer=request.statement.layer,
        edition=request.edition,
    )
