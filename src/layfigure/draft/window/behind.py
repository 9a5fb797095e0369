"""What shows through a window: the whole piece again in another cloth, trimmed, or a piece set into each.

Common practice, no source: a set-in piece has the same edge as the window it fills, both at rest; of stiff
sheets it is cut larger and glued behind.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np
import shapely
from numpy.typing import NDArray

from layfigure.draft.window.across_seams import OwnedPart, WindowPart
from layfigure.draft.window.edge_finish import arrow_in, plain_piece
from layfigure.draft.window.outlines import ring_of
from layfigure.draft.window.part_outline import joined_flat, part_edges
from layfigure.draft.window.sheet import Sheet
from layfigure.errors import DraftError
from layfigure.geometry.polyline import arc_lengths, points_at
from layfigure.materials.cloth import Cloth
from layfigure.piece.piece import InnerLine, Notch, Piece, PieceEdge, Total, Window

Points = NDArray[np.float64]

BACKING_TRIM = 12.0
"""A backing reaches this far beyond a window's edge before it is trimmed, or is glued on so wide behind it;
common practice 10 to 15 [mm]."""
TICK = 4.0
"""Half the length of a mark across a window's edge that a set-in piece is matched by [mm]."""
LIES_FLAT = 1.0
"""Parts whose common seam bends by no more than this are set in as one piece [mm]: a mesh takes that up."""


def whole_backing(
    piece: Piece, windows: Sequence[Window], parts: Sequence[WindowPart], backing: Cloth, slug: str
) -> Piece:
    """The whole panel again in the backing's cloth, with the line it is trimmed to behind each window."""
    trims = []
    panel = shapely.Polygon(piece.stitch_line)
    shown = [shapely.Polygon(window.curve) for window in windows] + [part.part for part in parts]
    for shape in shown:
        # The trim line never leaves the panel: near an edge the backing is caught in the seam.
        line = np.asarray(shape.buffer(BACKING_TRIM).intersection(panel).exterior.coords)[:-1]
        trims.append(InnerLine(kind="trim", curve=line, label="trim", closed=True))
    trims += [
        InnerLine(kind="placement", curve=window.curve, label=window.slug.replace("_", " "), closed=True)
        for window in windows
    ]
    return replace(
        piece,
        slug=slug,
        label=f"{piece.label}, backing",
        cloth=backing.slug,
        lines=(*piece.lines, *trims),
        note=(
            "Cut the whole panel in the backing cloth; sew it behind the window, then trim to the trim line.",
            "Its stretch should be at least that of the cloth in front, in both directions.",
        ),
    )


def set_in(
    piece: Piece, window: Window, cloth: Cloth, allowance: float, slug: str
) -> tuple[Window, tuple[InnerLine, ...], Piece]:
    """A window cut inside its seam, marks round it, and the piece that is sewn into it.

    allowance : of the seam round it [mm]. Raises DraftError for a window too narrow for its seam.
    """
    shape = shapely.Polygon(window.curve)
    hole = shape.buffer(-allowance, join_style="mitre", mitre_limit=2.0)
    if hole.geom_type != "Polygon" or hole.is_empty:
        raise DraftError(
            "the window is too narrow for a seam round it.",
            where=f"window {window.slug}",
            advice='Widen it, or write backing_as = "panel".',
        )
    ring = ring_of(shape)
    inset = _inset(piece, ring, cloth, allowance, slug, window.slug)
    words = window.slug.replace("_", " ")
    stitched = InnerLine(kind="stitch", curve=window.curve, label=f"{words}: stitch line", closed=True)
    return replace(window, curve=ring_of(hole), backing=slug), (stitched, *_ticks(ring)), inset


def glued_behind(piece: Piece, window: Window, cloth: Cloth, slug: str) -> tuple[Window, Piece]:
    """A window of stiff sheet, and what is glued behind it, larger all round."""
    shape = shapely.Polygon(window.curve)
    larger = shape.buffer(BACKING_TRIM).intersection(shapely.Polygon(piece.stitch_line))
    if larger.geom_type != "Polygon":
        raise DraftError(
            "the window runs off its piece.",
            where=f"{piece.slug}, window {window.slug}",
            advice="Make it smaller, or move it.",
        )
    name = window.slug.replace("_", " ")
    edge = InnerLine(kind="placement", curve=ring_of(shape), label=name, closed=True)
    note = (
        f"Glue it behind window {name}, its line on the window's edge, before the piece is bent or closed.",
        "It lies on the inside: cut with the outside of the drawing up.",
    )
    behind = plain_piece(piece, slug, f"{piece.label}: behind {name}", larger, cloth, [edge], note)
    return replace(window, backing=slug), behind


def set_in_across(
    pieces: Mapping[str, Piece],
    sheets: Mapping[str, Sheet],
    parts: Sequence[OwnedPart],
    cloth: Cloth,
    allowance: float,
    slug: str,
) -> list[Piece]:
    """What is set into a window across a seam: one piece over the seam where both parts lie flat together,
    else a part for each piece, joined along the same seam as they are.

    pieces, sheets : by the slug of the piece. parts : of one window. slug : of what is set in.
    """
    name = parts[0][1].slug
    outlines = [part_edges(sheets[owner], part) for owner, part in parts]
    if len(parts) == 2:
        whole = joined_flat(*outlines, within=LIES_FLAT)
        if whole is not None and shapely.Polygon(whole).is_valid:
            first = pieces[parts[0][0]]
            inset = _inset(first, ring_of(shapely.Polygon(whole)), cloth, allowance, slug, name)
            words = (
                "It runs over the seam in one piece: sew the seam first, then cut the window "
                f"{allowance:g} mm inside its line and set this in."
            )
            return [replace(inset, note=(*inset.note, words), label=f"{inset.label}, over the seam")]
    found = []
    for number, ((owner, part), edges) in enumerate(zip(parts, outlines, strict=True), start=1):
        piece = pieces[owner]
        own = []
        for k, edge in enumerate(edges, start=1):
            seam = None if edge.seam is None else f"{slug}:{edge.seam}"
            own.append(
                PieceEdge(
                    slug=f"seam_{k}" if seam else f"window_{k}",
                    curve=edge.curve,
                    role="seam",
                    allowance=allowance,
                    seam=seam,
                    against=edge.against,
                    notches=() if seam is None else (Notch(name="middle", distance=0.5 * _long(edge.curve)),),
                )
            )
        shape = part.part
        found.append(
            replace(
                piece,
                slug=f"{slug}_{number}",
                label=f"{piece.label}: set in {name.replace('_', ' ')}, part {number} of {len(outlines)}",
                cloth=cloth.slug,
                edges=tuple(own),
                grainline=arrow_in(piece, shape),
                totals=tuple(
                    Total(what=f"{e.slug.replace('_', ' ')}, along the stitch line", length=e.length)
                    for e in sorted(own, key=lambda e: -e.length)[:3]
                ),
                windows=(),
                lines=(),
                note=(
                    f"Part of what fills window {name.replace('_', ' ')}: join the parts along the seam.",
                    "Then set them in, seam on seam.",
                    f"Sew the pieces' own seam first; cut the window {allowance:g} mm inside its line.",
                ),
            )
        )
    return found


def _inset(piece: Piece, ring: Points, cloth: Cloth, allowance: float, slug: str, window: str) -> Piece:
    """The piece that is sewn into a window. ring : the window's edge at rest, counter-clockwise."""
    left, right = int(ring[:, 0].argmin()), int(ring[:, 0].argmax())
    turned = np.roll(ring, -left, axis=0)
    split = (right - left) % len(ring)
    lower, upper = turned[: split + 1], np.vstack([turned[split:], turned[:1]])
    words = window.replace("_", " ")
    edges = tuple(
        PieceEdge(slug=name, curve=curve, role="seam", allowance=allowance)
        for name, curve in (("lower", lower), ("upper", upper))
    )
    return replace(
        piece,
        slug=slug,
        label=f"{piece.label}: set in {words}",
        cloth=cloth.slug,
        edges=edges,
        grainline=arrow_in(piece, shapely.Polygon(ring)),
        totals=(
            *(Total(what=f"{edge.slug} edge, along the stitch line", length=edge.length) for edge in edges),
            Total(what="right round the stitch line", length=sum(edge.length for edge in edges)),
        ),
        windows=(),
        lines=_ticks(ring),
        note=(
            f"Sew it into window {words} along the stitch line, marks meeting; both edges are equally long.",
            "Clip the panel's allowance to its corners first; zigzag or overlock.",
        ),
    )


def _ticks(ring: Points) -> tuple[InnerLine, ...]:
    """Four short marks across an outline, at its ends across and halfway between, numbered."""
    left, right = int(ring[:, 0].argmin()), int(ring[:, 0].argmax())
    at = arc_lengths(ring, closed=True)
    whole = float(at[-1])
    first, second = sorted((float(at[left]), float(at[right])))
    places = [first, 0.5 * (first + second), second, (0.5 * (first + second + whole)) % whole]
    marks = []
    for number, place in enumerate(places, start=1):
        on, before, after = points_at(ring, [place, place - 2.0, place + 2.0], closed=True)
        along = (after - before) / np.linalg.norm(after - before)
        across = TICK * np.array([-along[1], along[0]])
        marks.append(
            InnerLine(kind="placement", curve=np.array([on - across, on + across]), label=str(number))
        )
    return tuple(marks)


def _long(curve: Points) -> float:
    return float(arc_lengths(curve)[-1])
