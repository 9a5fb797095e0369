"""Tops and bodysuits: a front, a back, and set-in sleeves.

Seams run downward, shoulder seams from the neck outward. The shoulder and side seams are one line of the
body, broken by the armhole; a bodysuit has leg openings and a short seam between the legs.
"""

from __future__ import annotations

from collections.abc import Mapping

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


def top_pattern(*, legs: bool, sleeves: tuple[Side, ...]) -> GarmentPattern:
    """Plan of a top, or with ``legs`` a bodysuit. sleeves : the sides that have one; an arm without one has
    an armhole opening.
    """
    panels = [_body(part, legs, sleeves) for part in ("front", "back")]
    panels += [_sleeve(side) for side in sleeves]
    return GarmentPattern(GarmentPlan(panels=tuple(panels)), _select, _lines)


def top_fields(
    surface: Surface,
    neck: Points,
    *,
    hem: Points | None,
    legs: Mapping[Side, Points],
    cuffs: Mapping[Side, Points],
) -> dict[str, Points]:
    """Fields of a top or bodysuit.

    neck, hem, cuffs : closed curves in the drafting pose, (k, 3) [mm]. legs : side to how far past the leg
    opening each vertex lies, (n,) [mm].
    """
    body = body_fields()
    vertices = surface.vertices
    crotch = float(vertices[load_template().landmarks["crotch"], 2])
    fields = {"front_back": body.front_back, "neck": beyond(vertices, neck, DOWN)}
    fields |= {f"armhole_{side}": body.armhole[side] for side in SIDES}
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


def _body(part: str, legs: bool, sleeves: tuple[Side, ...]) -> PanelPlan:
    """Counter-clockwise from the right end of the neckline as seen from outside the panel.

    Seen from the front the wearer's left is on the right; from behind it is the other way round.
    """
    first, second = ("right", "left") if part == "front" else ("left", "right")
    edges = [SeamUse(slug="neck", line="neck", role="opening")]
    edges += _flank(part, first, legs, sleeves, descending=True)
    if legs:
        edges.append(
            SeamUse(slug="crotch", line="crotch", seam="crotch", against=part == "back"),
        )
    else:
        edges.append(SeamUse(slug="hem", line="hem", role="hem"))
    edges += _flank(part, second, legs, sleeves, descending=False)
    return PanelPlan(slug=part, edges=tuple(edges))


def _flank(part: str, side: str, legs: bool, sleeves: tuple[Side, ...], *, descending: bool) -> list[SeamUse]:
    """One side of a body panel, listed downward or upward."""
    against = not descending
    armhole = (
        SeamUse(
            slug=f"armhole_{side}",
            line=f"armhole_{part}_{side}",
            seam=f"armhole_{part}_{side}",
            against=against,
        )
        if side in sleeves
        else SeamUse(slug=f"armhole_{side}", line=f"armhole_{part}_{side}", role="opening")
    )
    edges = [
        SeamUse(slug=f"shoulder_{side}", line=f"shoulder_{side}", seam=f"shoulder_{side}", against=against),
        armhole,
        SeamUse(slug=f"side_{side}", line=f"side_{side}", seam=f"side_{side}", against=against),
    ]
    if legs:
        edges.append(SeamUse(slug=f"leg_{side}", line=f"leg_{side}", role="opening"))
    return edges if descending else edges[::-1]


def _sleeve(side: Side) -> PanelPlan:
    """Counter-clockwise from outside: cap, then down one side of the underarm seam, cuff, and up the other.

    Looking at the left arm from outside with the hand down, the front is on the viewer's left.
    """
    seam = f"underarm_{side}"
    front, back = (
        SeamUse(
            slug=f"cap_{part}",
            line=f"armhole_{part}_{side}",
            seam=f"armhole_{part}_{side}",
            # The mate on the body runs down on one side of it and up on the other.
            against=against,
        )
        for part, against in _cap_directions(side)
    )
    if side == "left":
        edges = [
            back,
            front,
            SeamUse(slug="underarm_front", line=seam, seam=seam, against=False),
            SeamUse(slug="cuff", line=f"cuff_{side}", role="hem"),
            SeamUse(slug="underarm_back", line=seam, seam=seam, against=True),
        ]
    else:
        edges = [
            front,
            back,
            SeamUse(slug="underarm_back", line=seam, seam=seam, against=False),
            SeamUse(slug="cuff", line=f"cuff_{side}", role="hem"),
            SeamUse(slug="underarm_front", line=seam, seam=seam, against=True),
        ]
    return PanelPlan(slug=f"sleeve_{side}", edges=tuple(edges))


def _cap_directions(side: Side) -> tuple[tuple[str, bool], tuple[str, bool]]:
    """Front and back cap edges with whether they run against their seam, which runs down the body."""
    # Left sleeve: the back cap runs up to the shoulder, the front cap down from it. Right: the other way.
    return (("front", side == "right"), ("back", side == "left"))


def _select(slug: str, divided: Divided) -> Mask:
    if slug.startswith("sleeve"):
        side = slug.rpartition("_")[2]
        return divided.side(f"armhole_{side}", 1) & divided.side(f"cuff_{side}", -1)
    chosen = divided.side("front_back", -1 if slug == "front" else 1) & divided.side("neck", 1)
    for side in SIDES:
        chosen &= divided.side(f"armhole_{side}", -1)
        if f"leg_{side}" in divided.names:
            chosen &= divided.side(f"leg_{side}", -1)
    if "hem" in divided.names:
        chosen &= divided.side("hem", -1)
    return chosen


def _lines(divided: Divided) -> dict[str, Mask]:
    body = body_fields()
    front = divided.side("front_back", -1)
    arms = {side: divided.side(f"armhole_{side}", 1) for side in SIDES}
    lines = {"neck": divided.on("neck")}
    if "hem" in divided.names:
        lines["hem"] = divided.on("hem")
    between_legs = divided.centres(body.outward) < -40.0
    low = divided.centres(body.shares["trunk"]) < 0.999
    for side, sign in zip(SIDES, (1.0, -1.0), strict=True):
        own = sign * divided.centres(body.sagittal) > 0.0
        # Each face's own side of the armhole names the front and the back part of it, on body and sleeve.
        lines[f"armhole_front_{side}"] = divided.on(f"armhole_{side}", front)
        lines[f"armhole_back_{side}"] = divided.on(f"armhole_{side}", ~front)
        lines[f"underarm_{side}"] = divided.on(
            "front_back", arms[side] & (divided.centres(body.under[side]) > 0.0)
        )
        if f"cuff_{side}" in divided.names:
            lines[f"cuff_{side}"] = divided.on(f"cuff_{side}")
        if f"leg_{side}" in divided.names:
            lines[f"leg_{side}"] = divided.on(f"leg_{side}")
        above = divided.centres(body.above_armpit) > 0.0
        trunk = own & ~arms[side]
        lines[f"shoulder_{side}"] = divided.on("front_back", trunk & above)
        lines[f"side_{side}"] = divided.on("front_back", trunk & ~above & ~(between_legs & low))
    lines["crotch"] = divided.on("front_back", between_legs & low)
    return lines
