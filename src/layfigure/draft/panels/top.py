"""Tops and bodysuits: a front, a back, and set-in sleeves.

Seams run downward, shoulder seams from the neck outward. The shoulder and side seams are one line of the
body, broken by the armhole; a bodysuit has leg openings and a short seam between the legs.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from layfigure.body.template import load_template
from layfigure.draft.panels.body_fields import body_fields
from layfigure.draft.panels.edge_fields import beyond
from layfigure.draft.panels.garment import Divided, GarmentPattern
from layfigure.draft.panels.leggings import Side
from layfigure.draft.panels.surface import Surface
from layfigure.draft.panels.topology import GarmentPlan, PanelPlan, SeamUse

Points = NDArray[np.float64]
Mask = NDArray[np.bool_]

DOWN = np.array([0.0, 0.0, -1.0])
STRIP = 34.0
"""Half the width of cloth between the legs of a bodysuit [mm]; common practice."""

SIDES: tuple[Side, Side] = ("left", "right")


@dataclass(frozen=True, slots=True, kw_only=True)
class TopCut:
    """How a top or bodysuit is divided.

    legs : with leg openings, a bodysuit. sleeves : sides that have one; an arm without one has an armhole
    opening. princess : the front in three, by seams from the armholes over the bust. pointed : the neckline
    comes to a corner at the centre front.
    """

    legs: bool = False
    sleeves: tuple[Side, ...] = ()
    princess: bool = False
    pointed: bool = False

    @property
    def fronts(self) -> tuple[str, ...]:
        """Panels of the front."""
        return ("front", "front_side_left", "front_side_right") if self.princess else ("front",)


def top_pattern(cut: TopCut) -> GarmentPattern:
    """Plan of a top or a bodysuit."""
    panels = [_centre(part, cut) for part in ("front", "back")]
    if cut.princess:
        panels += [_front_side(side, cut) for side in SIDES]
    panels += [_sleeve(side, cut) for side in cut.sleeves]
    return GarmentPattern(
        GarmentPlan(panels=tuple(panels)),
        lambda slug, divided: _select(slug, divided, cut),
        lambda divided: _lines(divided, cut),
    )


def top_fields(
    surface: Surface,
    neck: Points,
    cut: TopCut,
    *,
    hem: Points | None,
    legs: Mapping[Side, Points],
    cuffs: Mapping[Side, Points],
    armholes: Mapping[Side, Points],
) -> dict[str, Points]:
    """Fields of a top or bodysuit.

    neck : how far below the neckline each vertex lies, (n,) [mm], or its closed curve in the drafting pose,
    (k, 3). hem, cuffs : closed curves. legs, armholes : side to how far past the edge each vertex lies, (n,).
    """
    body = body_fields()
    vertices = surface.vertices
    crotch = float(vertices[load_template().landmarks["crotch"], 2])
    fields = {"front_back": body.front_back, "neck": neck if neck.ndim == 1 else beyond(vertices, neck, DOWN)}
    fields |= {f"armhole_{side}": armholes[side] for side in SIDES}
    if cut.princess:
        fields |= {f"princess_{side}": body.princess[side] for side in SIDES}
    if cut.pointed:
        fields["sagittal"] = body.sagittal
    if hem is not None:
        fields["hem"] = beyond(vertices, hem, DOWN)
    for side, past in legs.items():
        out = vertices[:, 0] if side == "left" else -vertices[:, 0]
        # Along the skin: out to the thigh and then down it.
        from_middle = out + np.maximum(crotch - vertices[:, 2], 0.0)
        # Whatever the leg opening does, cloth stays between the legs.
        fields[f"leg_{side}"] = np.where(out > 0.0, _both(past, from_middle - STRIP), -100.0)
    for side, curve in cuffs.items():
        past = past_limb(surface, curve)
        arm = sum(body.shares[f"{bone}_{side}"] for bone in ("upper_arm", "forearm", "hand"))
        fields[f"cuff_{side}"] = np.where(np.asarray(arm) > 0.5, past, -100.0)
    return fields


def _both(first: Points, second: Points, *, rounding: float = 20.0) -> Points:
    """Positive where both are, with the corner between their zero sets rounded [mm]."""
    blend = np.clip(0.5 + 0.5 * (second - first) / rounding, 0.0, 1.0)
    joined: Points = blend * first + (1.0 - blend) * second - rounding * blend * (1.0 - blend)
    return joined


def past_limb(surface: Surface, curve: Points) -> Points:
    """How far past a curve round a limb each vertex lies, (n,) [mm]."""
    nearest = np.linalg.norm(surface.vertices - curve.mean(axis=0), axis=1).argsort()[:60]
    axis = surface.along[nearest].mean(axis=0)
    return beyond(surface.vertices, curve, axis / np.linalg.norm(axis))


def _centre(part: str, cut: TopCut) -> PanelPlan:
    """Counter-clockwise from the right end of the neckline as seen from outside the panel.

    Seen from the front the wearer's left is on the right; from behind it is the other way round.
    """
    first, second = ("right", "left") if part == "front" else ("left", "right")
    if part == "front" and cut.pointed:
        # Round the panel the neckline runs from the left shoulder to the right one.
        edges = [
            SeamUse(slug=f"neck_{side}", line=f"neck_{side}", role="opening") for side in ("left", "right")
        ]
    else:
        edges = [SeamUse(slug="neck", line="neck", role="opening")]
    narrow = part == "front" and cut.princess
    edges += _flank(part, first, cut, narrow=narrow, descending=True)
    if cut.legs:
        edges.append(SeamUse(slug="crotch", line="crotch", seam="crotch", against=part == "back"))
    else:
        edges.append(SeamUse(slug="hem", line="hem", role="hem"))
    edges += _flank(part, second, cut, narrow=narrow, descending=False)
    return PanelPlan(slug=part, edges=tuple(edges))


def _flank(part: str, side: str, cut: TopCut, *, narrow: bool, descending: bool) -> list[SeamUse]:
    """One side of a centre panel, listed downward or upward. narrow : it ends at a princess seam."""
    against = not descending
    last = "princess" if narrow else "side"
    edges = [
        SeamUse(slug=f"shoulder_{side}", line=f"shoulder_{side}", seam=f"shoulder_{side}", against=against),
        _armhole("upper" if narrow else part, side, cut, slug=f"armhole_{side}", against=against),
        SeamUse(slug=f"{last}_{side}", line=f"{last}_{side}", seam=f"{last}_{side}", against=against),
    ]
    if cut.legs:
        edges.append(SeamUse(slug=f"leg_{side}", line=f"leg_{side}", role="opening"))
    return edges if descending else edges[::-1]


def _armhole(part: str, side: str, cut: TopCut, *, slug: str, against: bool) -> SeamUse:
    """One part of an armhole, on the body or on the sleeve. part : front, back, or upper front."""
    line = f"armhole_{part}_{side}"
    if side not in cut.sleeves:
        return SeamUse(slug=slug, line=line, role="opening")
    return SeamUse(slug=slug, line=line, seam=line, against=against)


def _front_side(side: Side, cut: TopCut) -> PanelPlan:
    """Counter-clockwise from outside: armhole, one long seam down, lower edge, the other long seam up."""
    lower = (
        SeamUse(slug="leg", line=f"leg_{side}", role="opening")
        if cut.legs
        else SeamUse(slug="hem", line="hem", role="hem")
    )

    def down(seam: str, against: bool) -> SeamUse:
        return SeamUse(slug=seam, line=f"{seam}_{side}", seam=f"{seam}_{side}", against=against)

    left = side == "left"
    edges = (
        # The left armhole is listed upward, the right one downward.
        _armhole("front", side, cut, slug="armhole", against=left),
        down("princess" if left else "side", False),
        lower,
        down("side" if left else "princess", True),
    )
    return PanelPlan(slug=f"front_side_{side}", edges=edges)


def _sleeve(side: Side, cut: TopCut) -> PanelPlan:
    """Counter-clockwise from outside: cap, then down one side of the underarm seam, cuff, and up the other.

    Looking at the left arm from outside with the hand down, the front is on the viewer's left. Seams of the
    armhole run down the body, so the cap's front runs along them on the left sleeve, its back against them.
    """
    seam = f"underarm_{side}"
    left = side == "left"
    back = [_armhole("back", side, cut, slug="cap_back", against=left)]
    front = [_armhole("front", side, cut, slug="cap_front", against=not left)]
    if cut.princess:
        upper = _armhole("upper", side, cut, slug="cap_upper", against=not left)
        front = [upper, *front] if left else [*front, upper]
    caps = [*back, *front] if left else [*front, *back]
    first, last = ("front", "back") if left else ("back", "front")
    edges = (
        *caps,
        SeamUse(slug=f"underarm_{first}", line=seam, seam=seam, against=False),
        SeamUse(slug="cuff", line=f"cuff_{side}", role="hem"),
        SeamUse(slug=f"underarm_{last}", line=seam, seam=seam, against=True),
    )
    return PanelPlan(slug=f"sleeve_{side}", edges=edges)


def _select(slug: str, divided: Divided, cut: TopCut) -> Mask:
    if slug.startswith("sleeve"):
        side = slug.rpartition("_")[2]
        return divided.side(f"armhole_{side}", 1) & divided.side(f"cuff_{side}", -1)
    chosen = divided.side("front_back", 1 if slug == "back" else -1) & divided.side("neck", 1)
    for side in SIDES:
        chosen &= divided.side(f"armhole_{side}", -1)
        if f"leg_{side}" in divided.names:
            chosen &= divided.side(f"leg_{side}", -1)
        if cut.princess and slug == "front":
            chosen &= divided.side(f"princess_{side}", -1)
    if slug.startswith("front_side"):
        chosen &= divided.side(f"princess_{slug.rpartition('_')[2]}", 1)
    if "hem" in divided.names:
        chosen &= divided.side("hem", -1)
    return chosen


def _lines(divided: Divided, cut: TopCut) -> dict[str, Mask]:
    body = body_fields()
    front = divided.side("front_back", -1)
    arms = {side: divided.side(f"armhole_{side}", 1) for side in SIDES}
    lines: dict[str, Mask] = {}
    if cut.pointed:
        # The back's neckline keeps its name; the front's is two lines that meet at its point.
        for side, half in zip(SIDES, (1, -1), strict=True):
            lines[f"neck_{side}"] = divided.on("neck", front & divided.side("sagittal", half))
    lines["neck"] = divided.on("neck")
    if "hem" in divided.names:
        lines["hem"] = divided.on("hem")
    between_legs = divided.centres(body.outward) < -40.0
    low = divided.centres(body.shares["trunk"]) < 0.999
    for side, sign in zip(SIDES, (1.0, -1.0), strict=True):
        own = sign * divided.centres(body.sagittal) > 0.0
        # Each face's own side of the armhole names the front and the back part of it, on body and sleeve.
        if cut.princess:
            inner = front & divided.side(f"princess_{side}", -1)
            lines[f"armhole_upper_{side}"] = divided.on(f"armhole_{side}", inner)
            lines[f"princess_{side}"] = divided.on(f"princess_{side}", front & own & ~arms[side])
        lines[f"armhole_front_{side}"] = divided.on(f"armhole_{side}", front)
        lines[f"armhole_back_{side}"] = divided.on(f"armhole_{side}", ~front)
        lines[f"underarm_{side}"] = divided.on(
            "front_back", arms[side] & (divided.centres(body.under[side]) > 0.0)
        )
        if f"cuff_{side}" in divided.names:
            lines[f"cuff_{side}"] = divided.on(f"cuff_{side}")
        if f"leg_{side}" in divided.names:
            lines[f"leg_{side}"] = divided.on(f"leg_{side}")
        # A placed armhole may lie on the arm: over it runs the shoulder's seam, under it the side's.
        on_arm = divided.centres(body.shares[f"upper_arm_{side}"]) > 0.5
        below = divided.centres(body.under[side]) > 0.0
        above = np.where(on_arm, ~below, divided.centres(body.above_armpit) > 0.0)
        trunk = own & ~arms[side]
        lines[f"shoulder_{side}"] = divided.on("front_back", trunk & above)
        lines[f"side_{side}"] = divided.on("front_back", trunk & ~above & ~(between_legs & low))
    lines["crotch"] = divided.on("front_back", between_legs & low)
    return lines
