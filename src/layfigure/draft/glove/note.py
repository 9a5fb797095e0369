"""How to make a glove, in plain words and in order."""

from __future__ import annotations

from layfigure.draft.glove.fit import GloveFit
from layfigure.materials.cloth import Cloth


def glove_note(
    cloth: Cloth,
    fit: GloveFit,
    *,
    allowance: float,
    hem: float,
    open_fingers: bool,
    slit: bool,
    elastic: bool,
    advice: tuple[str, ...],
) -> tuple[str, ...]:
    """Instructions, one a line."""
    lines = [
        f"Cut every piece once from {cloth.name}, its outside up: left and right hands differ.",
        "Do not cut the slots between the fingers open yet: mark their stitch lines and the webs' notches.",
    ]
    if cloth.kind == "leather":
        lines.append(
            "Leather gives most across the hide's back: lay that round the hand. Stitch with clips, not pins."
        )
    if fit.strips:
        lines += [
            "Thumb: fold it on its line, right sides together, and sew both sides round the tip as one seam.",
            "Sew the thumb's side of palm and back: index finger to the hole, and the hole to the cuff.",
            "Turn the thumb, set it into the hole by its letters: tongue to the wrist, seam at the web.",
            f"Strips: cut a slot open; it holds two allowances of {allowance:g} mm.",
            "Sew the strip's palm edge to the palm, tip to web to tip; clip to 1 mm from the web.",
            "Then sew each strip's other edge to the back in the same way.",
        ]
    else:
        lines += [
            "Lay back and palm right sides together and sew round thumb and fingers in one stretch stitch.",
            "Only then cut between the fingers, and clip to within 1 mm of the stitches at each web.",
        ]
    if not open_fingers:
        lines.append("Sew the tips, back to palm, easing nothing in: both are equally long.")
    lines.append(
        "Close the little finger's side from the fingertip down"
        + (" to the slit, and bar the end of the slit with a few stitches." if slit else " to the cuff.")
    )
    if elastic:
        lines.append(
            "Sew the elastic inside the palm and back along the wrist line, stretched to fit, ends lapped."
        )
    if slit:
        lines.append("Face the slit's edges and close them with the snaps, one at the wrist line first.")
    if hem > 0.0:
        lines.append(
            f"Turn up {hem:g} mm at the cuff" + (" and at the open fingers." if open_fingers else ".")
        )
    else:
        lines.append("Cuff and open ends are cut edges: seal, bind or leave them as the material asks.")
    lines += [text for text in advice if text]
    lines.append("Sew one glove in cheap cloth of like stretch first: make a fist in it, and pick up a pin.")
    return tuple(lines)
