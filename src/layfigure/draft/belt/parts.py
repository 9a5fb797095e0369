"""What goes on a belt besides the strap: keepers for its tip, drops that hang from it, and its hardware."""

from __future__ import annotations

from typing import Annotated, Literal

import numpy as np
from numpy.typing import NDArray
from pydantic import BaseModel, ConfigDict, Field

from layfigure.draft.sheet_practice import sheet_practice
from layfigure.draft.wrap.outline import straight
from layfigure.draft.wrap.plan import Place
from layfigure.files.quantities import Length
from layfigure.geometry.bend import neutral_girth
from layfigure.materials.cloth import Cloth
from layfigure.piece.item import Item
from layfigure.piece.piece import Grainline, InnerLine, Piece, PieceEdge, Total, Verdict

Points = NDArray[np.float64]

LAP = 30.0
"""Of a loop on itself, room for two rows of stitches or two rivets [mm] (common practice, no source)."""
PLAY = 3.0
"""Room of a loop round what runs through it, so that it can be pushed along [mm] (common practice)."""
KEEPER = 15.0
RING_TURN = 50.0
"""Turned up round a ring at the foot of a drop [mm] (common practice, no source)."""


class DropOptions(BaseModel):
    """A strap that hangs from the belt by a loop."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    name: Annotated[str, Field(min_length=1, max_length=40, pattern=r"^[a-z][a-z0-9_]*$")]
    at: Place = Field("left", description="where on the belt it hangs")
    length: Length = Field(150.0, gt=20.0, le=1200.0, description="from the belt's lower edge to its own end")
    width: Length = Field(30.0, gt=8.0, le=200.0, description="width of the drop")
    foot: Literal["plain", "ring", "point"] = Field("plain", description="how it ends")
    count: int = Field(1, ge=1, le=20, description="how many alike")


def loop_length(width: float, through: float, cloth: Cloth) -> float:
    """Once round something of a width and thickness, with play, along the loop's neutral line [mm].

    Inner girth and 2 pi K t, as any sheet bent a full turn; corners are as tight as they come.
    """
    share = sheet_practice(cloth).neutral_share
    return neutral_girth(2.0 * (width + PLAY) + 2.0 * (through + PLAY), cloth.thickness, share)


def keeper(base: Piece, width: float, cloth: Cloth, count: int) -> Piece:
    """The loop that holds the tip down; both layers of the belt run through it."""
    whole = loop_length(width, 2.0 * cloth.thickness, cloth) + LAP * 0.5
    return _strip(
        base,
        slug=f"{base.slug}_keeper",
        label=f"{base.label}, keeper",
        length=whole,
        width=KEEPER,
        lines=(("fold", whole - LAP * 0.5, "lap to here"),),
        count=count,
        note=("Close it to a ring round two thicknesses of the belt, ends lapped or butted and stitched.",),
    )


def drop(base: Piece, belt_width: float, cloth: Cloth, options: DropOptions) -> Piece:
    """One drop: a loop that the belt runs through, then the hanging length."""
    loop = loop_length(belt_width, cloth.thickness, cloth)
    foot = RING_TURN if options.foot == "ring" else 0.0
    whole = LAP + loop + options.length + foot
    lines = [
        ("stitch", LAP, "the lap ends here"),
        ("fold", LAP + 0.5 * loop, "over the top of the belt"),
        ("stitch", LAP + loop, "lower edge of the belt: sew the lap here"),
    ]
    if foot:
        lines.append(("fold", whole - foot, "turn up round the ring"))
    note = [
        f"Hang it {_where(options.at)}: {loop:.0f} mm go round the belt, lapped {LAP:g} mm behind.",
        "Two rows of stitches or two rivets across no more than its middle; the belt must slide through.",
    ]
    if foot:
        note.append(f"Turn the {RING_TURN:g} mm at its foot up round the ring and rivet it.")
    return _strip(
        base,
        slug=f"{base.slug}_{options.name}",
        label=f"{base.label}, {options.name.replace('_', ' ')}",
        length=whole,
        width=options.width,
        lines=tuple(lines),
        count=options.count,
        note=tuple(note),
        pointed=options.foot == "point",
    )


def belt_items(
    base: Piece, *, width: float, buckle: bool, overlap: float, drops: tuple[DropOptions, ...]
) -> tuple[Item, ...]:
    """Hardware of a belt and its drops."""
    items = []
    if buckle:
        items.append(
            Item(
                slug=f"buckle_{width:.0f}mm",
                name=f"buckle with a prong, {width:.0f} mm between its sides",
                use=f"{base.label}: on the folded end",
            )
        )
    else:
        items.append(
            Item(
                slug="hook_and_loop",
                name="hook and loop, sewn kind, both halves",
                length=overlap,
                use=f"{base.label}: over the whole overlap and width, so that it is pulled in shear",
            )
        )
    rings = [one for one in drops if one.foot == "ring"]
    items += [
        Item(
            slug=f"ring_{one.width:.0f}mm",
            name=f"ring, {one.width:.0f} mm inside",
            count=one.count,
            use=f"{base.label}: foot of {one.name.replace('_', ' ')}",
        )
        for one in rings
    ]
    if drops:
        items.append(
            Item(
                slug="rivet_two_part",
                name="two-part rivet, post as long as the layers are thick",
                count=sum(one.count * (4 if one.foot == "ring" else 2) for one in drops),
                use=f"{base.label}: laps of its drops",
            )
        )
    return tuple(items)


def _where(place: Place) -> str:
    return {"left": "at the left side", "right": "at the right side"}.get(place, f"at the {place}")


def _strip(
    base: Piece,
    *,
    slug: str,
    label: str,
    length: float,
    width: float,
    lines: tuple[tuple[str, float, str], ...],
    count: int,
    note: tuple[str, ...],
    pointed: bool = False,
) -> Piece:
    """A straight strip, its loop end on the left."""
    half, tip = 0.5 * width, 0.5 * width if pointed else 0.0
    corners = [(0.0, -half), (length - tip, -half)]
    corners += [(length, 0.0)] if pointed else []
    corners += [(length - tip, half), (0.0, half)]
    places = np.array([*corners, corners[0]])
    names = ("bottom", "tip_lower", "tip_upper", "top", "end") if pointed else ("bottom", "tip", "top", "end")
    edges = tuple(
        PieceEdge(slug=name, curve=straight(a, b), role="opening", allowance=0.0)
        for name, a, b in zip(names, places[:-1], places[1:], strict=True)
    )
    drawn = tuple(
        InnerLine(
            kind="fold" if kind == "fold" else "stitch",
            curve=np.array([[at, -half], [at, half]]),
            label=words,
        )
        for kind, at, words in lines
    )
    return Piece(
        slug=slug,
        label=label,
        kind=base.kind,
        cloth=base.cloth,
        edges=edges,
        grainline=Grainline(start=(0.3 * length, 0.0), end=(0.7 * length, 0.0), kind=base.grainline.kind),
        totals=(
            Total(what="length, end to end", length=length),
            Total(what="width", length=width),
            Total(what="from the left end to the first line", length=lines[0][1]),
        ),
        verdict=Verdict(level=base.verdict.level, reasons=base.verdict.reasons),
        side=base.side,
        count=count,
        lines=drawn,
        note=(f"Cut beside {base.label}, along the spine if it is leather.", *note),
        cautions=base.cautions,
        layer=base.layer,
        edition=base.edition,
        thickness=base.thickness,
    )
