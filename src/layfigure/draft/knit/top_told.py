"""What a top tells of itself: levels drawn on it, openings, measures that decide it, the order of joining."""

from __future__ import annotations

from dataclasses import replace

from layfigure.draft.knit.garment import (
    Level,
    Opening,
    Places,
    covered,
)
from layfigure.draft.panels.leggings import Side
from layfigure.draft.panels.top import SIDES, TopCut


def levels_of(sleeves: tuple[Side, ...], cuffs: tuple[Places, ...], legs: bool) -> tuple[Level, ...]:
    """Levels of the body that are drawn on it."""
    levels = [
        Level(label="bust", region="torso", station=1.0),
        Level(label="waist", region="torso", station=3.0),
    ]
    if legs:
        levels.append(Level(label="hip", region="torso", station=4.0))
    for side, cuff in zip(sleeves, cuffs, strict=True):
        on_arm = (
            Level(label="upper arm", region=f"upper_arm_{side}", station=0.6),
            Level(label="elbow", region=f"upper_arm_{side}", station=1.0),
            Level(label="forearm", region=f"forearm_{side}", station=0.3),
        )
        levels += [level for level in on_arm if covered(level, cuff)]
    return tuple(levels)


def openings_of(cut: TopCut) -> tuple[Opening, ...]:
    """Its openings and what must pass through each."""
    through: tuple[str, str] = ("the hips", "hip_girth") if cut.legs else ("the shoulders", "shoulder_girth")
    lines = ("neck", "neck_left", "neck_right") if cut.pointed else ("neck",)
    neck = Opening(slug="neck", lines=lines, kind="neck", passes="the head", measure="head_girth")
    if cut.legs:
        openings = [replace(neck, passes=through[0], measure=through[1])]
        openings += [
            Opening(
                slug=f"leg_{side}",
                lines=(f"leg_{side}",),
                kind="leg",
                passes="foot and heel",
                measure=f"heel_girth_{side}",
            )
            for side in SIDES
        ]
    else:
        hem = Opening(slug="hem", lines=("hem",), kind="waist", passes=through[0], measure=through[1])
        openings = [neck, hem]
    for side in SIDES:
        if side in cut.sleeves:
            openings.append(
                Opening(
                    slug=f"cuff_{side}",
                    lines=(f"cuff_{side}",),
                    kind="wrist",
                    passes="the hand with the thumb tucked in",
                    measure=f"hand_with_thumb_girth_{side}",
                )
            )
        else:
            parts = ("upper", "front", "back") if cut.princess else ("front", "back")
            openings.append(
                Opening(
                    slug=f"armhole_{side}",
                    lines=tuple(f"armhole_{part}_{side}" for part in parts),
                    kind="armhole",
                    passes="the arm",
                    measure="",
                )
            )
    return tuple(openings)


def measures_of(sleeves: tuple[Side, ...], legs: bool) -> tuple[str, ...]:
    """Names of the measures that decide its size."""
    names = ["bust_girth", "under_bust_girth", "waist_girth", "nape_to_waist", "shoulder_breadth"]
    if legs:
        names += ["hip_girth", "trunk_loop"]
    for side in sleeves:
        names += [
            f"{name}_{side}"
            for name in ("upper_arm_girth", "elbow_girth", "forearm_girth", "wrist_girth", "arm_length")
        ]
    return tuple(names)


def joining_words(cut: TopCut, proposed: float | None) -> tuple[str, ...]:
    """Order of work. proposed : stretch of the front in one piece, where that asked for princess seams."""
    lines = []
    if proposed is not None:
        lines.append(
            f"The front is in three: in one piece it would stretch the cloth by about {proposed:.0%} over "
            'the bust, on top of its fit. Write seams = "plain" to have it in one piece all the same.'
        )
    if cut.princess:
        lines.append(
            "Sew each side of the front to its middle first, notch to notch: over the bust one curve looks "
            "longer, but both are equally long."
        )
    lines.append("Sew front to back at the shoulders; stay those seams with tape or clear elastic.")
    if cut.sleeves:
        lines.append(
            "Set each sleeve in flat: cap to armhole, middle of the cap to the shoulder seam, front to front."
        )
        lines.append("Sew side seam and underarm seam in one go from the hem to the cuff.")
    else:
        lines.append("Sew the side seams; finish the armholes.")
    if cut.legs:
        lines.append("Join front and back between the legs last, with snaps if it is to open there.")
    lines.append("Overlock or zigzag: a straight stitch breaks when the cloth stretches.")
    return tuple(lines)
