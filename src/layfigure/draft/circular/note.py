"""How to make a circular piece, in order."""

from __future__ import annotations

from layfigure.draft.circular.options import CircularOptions
from layfigure.draft.circular.panels import bias_places
from layfigure.draft.circular.plan import CircularPlan
from layfigure.draft.registry import Check
from layfigure.materials.cloth import Cloth


def panel_note(
    plan: CircularPlan,
    options: CircularOptions,
    cloth: Cloth,
    checks: list[Check],
    count: int,
    *,
    seated: bool,
) -> tuple[str, ...]:
    """Lines for the panels: cutting, joining, top, hanging, hem."""
    several = count > 1
    what = "each panel" if several else "it"
    lines = [f"Cut {what} once from {cloth.name}, the arrow along the selvedge, outside up."]
    if several:
        lines.append(
            "Panels are numbered from the opening toward the wearer's left. Sew each right side to the left "
            "side of the next, notch to notch."
        )
    if plan.joined:
        if options.opening is None or options.use != "skirt":
            lines.append("Close the last seam too: it is sewn to a ring.")
        else:
            lines.append(
                f"The seam at the {options.opening} is open from the top to the double notch: put in a zip, "
                "or snaps on a placket."
            )
    else:
        lines.append("Turn the free front edges in twice, or face them, before the top edge is finished.")
    if plan.pleats is not None:
        lines.append(
            f"Bring each fold to its mark, {options.pleats} pleats; baste them flat at the top, and press."
        )
    if plan.gathered:
        lines.append(
            "Two rows of long stitches along the top edge, either side of the stitch line; draw up evenly."
            if options.finish != "elastic"
            else "Sew the casing to the top edge at its full length; the elastic draws both up."
        )
    else:
        lines.append("Staystitch the top edge before it is handled: a curve stretches.")
    lines.append(_top_line(options))
    if plan.flat.share > 0.0 and cloth.kind in ("woven", "leather"):
        if any(bias_places(plan, options, count, number) for number in range(count)):
            lines.append(
                "Parts hang on the bias and will drop: hang it for 24 hours before hemming (common "
                "practice), then level the hem again from the floor."
            )
    elif cloth.kind in ("knit", "mesh"):
        lines.append("Knit drops by its own weight: hang it for 24 hours before hemming (common practice).")
    if seated and options.use == "skirt":
        lines.append(
            "Level standing; sitting, it lies lower in front: see that it clears footrests and wheels."
        )
    if plan.worn is not None and options.levelled:
        lines.append("The hem is drawn level on the standing body: its edge is no even circle, leave it so.")
    lines.extend(check.advice for check in checks if check.advice)
    return tuple(lines)


def _top_line(options: CircularOptions) -> str:
    told = {
        "band": "Sew the band to the top edge, notch to notch.",
        "elastic": "Join the elastic after trying it on, its ends overlapping 12 mm.",
        "collar": "Sew the collar's lower edge to the neck edge, notch to notch; close it at the throat.",
        "binding": "Bind the top edge.",
        "sewn": "Sew the top edge to the edge it belongs to, quarters to quarters.",
    }
    return told[options.finish]
