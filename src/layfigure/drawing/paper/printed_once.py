"""One outline printed for two pieces: what is cut twice to the same shape needs paper once.

A piece counts as the same as another when every line that would be drawn of it lies within ``SAME`` of the
other's, as it stands or turned over as left and right are: stitch line, allowances, notches and their
numbers, windows, inner lines and the way of the cloth. Words differ, so the print says what else is cut from
it, and the plan lists every piece with its own cloth, count and marks. Only paper is saved: files carry every
piece.
"""

from __future__ import annotations

from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from layfigure.geometry.polyline import length
from layfigure.piece.draw import SIDE_WORDS, Heading
from layfigure.piece.piece import Piece, PieceEdge
from layfigure.piece.seam_book import SeamBook

Points = NDArray[np.float64]

SAME = 0.1
"""Lines nearer than this are one: less than half the width of the line that is cut along [mm]."""

PARALLEL = np.radians(0.1)
"""Ways of the cloth that differ less are one."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Copy:
    """A piece that is cut from the print of another.

    of : slug of the piece that is printed. turned : cut with the paper turned over.
    marks : seam marks on the print and what they are on this piece, where they differ.
    """

    piece: Piece
    of: str
    turned: bool
    marks: tuple[tuple[str, str], ...] = ()


def printed_once(pieces: Sequence[Piece], seams: SeamBook) -> tuple[list[Piece], list[Copy]]:
    """The pieces to print, in order, and those cut from another's print."""
    printed: list[Piece] = []
    copies: list[Copy] = []
    for piece in pieces:
        found = next((copy for other in printed if (copy := copy_of(other, piece, seams))), None)
        if found is None:
            printed.append(piece)
        else:
            copies.append(found)
    return printed, copies


def also_cut(copies: Sequence[Copy], heading: Heading) -> Mapping[str, tuple[str, ...]]:
    """What to write on a print about the pieces that are cut from it as well, by its slug."""
    lines: dict[str, list[str]] = {}
    for copy in copies:
        cloth = heading.cloths.get(copy.piece.cloth, copy.piece.cloth.replace("_", " "))
        way = "also, turned over" if copy.turned else "also"
        own = lines.setdefault(copy.of, [])
        own.append(f"{way}: {named(copy.piece)}, cut {copy.piece.count} of {cloth}")
        if copy.marks:
            own.append("its own marks are in the plan")
    return {slug: tuple(own) for slug, own in lines.items()}


def named(piece: Piece) -> str:
    """A piece's label and side, without saying the side twice."""
    side = SIDE_WORDS[piece.side]
    return f"{piece.label}, {side}" if side and side not in piece.label else piece.label


def copy_of(first: Piece, second: Piece, seams: SeamBook) -> Copy | None:
    """The second piece as cut from the first one's print; None where any line would differ."""
    alike = ("edges", "windows", "lines")
    if any(len(getattr(first, name)) != len(getattr(second, name)) for name in alike):
        return None
    if first.grainline.kind != second.grainline.kind or first.thickness != second.thickness:
        return None
    here, there = first.stitch_line, second.stitch_line
    if np.abs(np.ptp(here, axis=0) - np.ptp(there, axis=0)).max() > SAME:
        return None
    for turned in (False, True):
        laid = _Laid(turned=turned, shift=here.min(axis=0) - (there * _sign(turned)).min(axis=0))
        pairs = _edges_in_pairs(first, second, laid)
        if pairs is None or not (_same_insides(first, second, laid) and _same_way(first, second, turned)):
            continue
        if all(_same_notches(one, other, turned, seams) for one, other in pairs):
            marks = [(seams.mark(one), seams.mark(other)) for one, other in pairs]
            differing = dict.fromkeys((one, other) for one, other in marks if one != other)
            return Copy(piece=second, of=first.slug, turned=turned, marks=tuple(differing))
    return None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Laid:
    """How a piece is laid on another. turned : over, left to right. shift : (2,) after that [mm]."""

    turned: bool
    shift: Points

    def line(self, points: Points) -> Points:
        """A line of the piece where it comes to lie, run so that an outline stays counter-clockwise."""
        moved: Points = points * _sign(self.turned) + self.shift
        return moved[::-1] if self.turned else moved


def _sign(turned: bool) -> Points:
    return np.array([-1.0 if turned else 1.0, 1.0])


def _edges_in_pairs(first: Piece, second: Piece, laid: _Laid) -> list[tuple[PieceEdge, PieceEdge]] | None:
    """Every edge with the one that lies on it; None where one has no mate that is sewn and cut as it is."""
    rest = [(edge, laid.line(edge.curve)) for edge in second.edges]
    pairs = []
    for edge in first.edges:
        for index, (other, curve) in enumerate(rest):
            like = (edge.role, edge.allowance, len(edge.notches)) == (
                other.role,
                other.allowance,
                len(other.notches),
            )
            if like and abs(edge.eased - other.eased) <= SAME and _one_line(edge.curve, curve):
                pairs.append((edge, other))
                del rest[index]
                break
        else:
            return None
    return pairs


def _one_line(here: Points, there: Points) -> bool:
    """Whether two open lines, run the same way, lie on each other and are equally long."""
    if np.abs(here[[0, -1]] - there[[0, -1]]).max() > SAME or abs(length(here) - length(there)) > SAME:
        return False
    return bool(shapely.hausdorff_distance(shapely.LineString(here), shapely.LineString(there)) <= SAME)


def _same_insides(first: Piece, second: Piece, laid: _Laid) -> bool:
    """Whether windows and inner lines lie on each other, each on one of its own kind and label."""
    rest = _insides(second)
    for what, curve, closed in _insides(first):
        for index, (other, there, _) in enumerate(rest):
            if what == other and _lies_on(curve, laid.line(there), closed=closed):
                del rest[index]
                break
        else:
            return False
    return True


def _insides(piece: Piece) -> list[tuple[Hashable, Points, bool]]:
    """Inner lines and windows: what they are, where, and whether they are closed."""
    lines: list[tuple[Hashable, Points, bool]] = [
        ((line.kind, line.label, line.closed), line.curve, line.closed) for line in piece.lines
    ]
    return lines + [(("window", window.backing), window.curve, True) for window in piece.windows]


def _lies_on(here: Points, there: Points, *, closed: bool) -> bool:
    make = shapely.LinearRing if closed else shapely.LineString
    # A line drawn inside a piece is the same from either end.
    return bool(shapely.hausdorff_distance(make(here), make(there)) <= SAME)


def _same_way(first: Piece, second: Piece, turned: bool) -> bool:
    """Whether the cloth lies the same way: the arrow's direction, and its sense where it has one head."""
    if first.grainline.kind == "any":
        return True
    here = np.array(first.grainline.end) - np.array(first.grainline.start)
    there = (np.array(second.grainline.end) - np.array(second.grainline.start)) * _sign(turned)
    cross = here[0] * there[1] - here[1] * there[0]
    angle = abs(float(np.arctan2(cross, here @ there)))
    if first.grainline.kind == "stretch":
        angle = min(angle, np.pi - angle)
    return bool(angle <= PARALLEL)


def _same_notches(one: PieceEdge, other: PieceEdge, turned: bool, seams: SeamBook) -> bool:
    """Whether notches lie on each other and are numbered alike."""
    there = sorted(other.notches, key=lambda notch: notch.distance, reverse=turned)
    for notch, mate in zip(sorted(one.notches, key=lambda notch: notch.distance), there, strict=True):
        at = other.length - mate.distance if turned else mate.distance
        if abs(notch.distance - at) > SAME or notch.count != mate.count:
            return False
        if bool(seams.mark(one)) != bool(seams.mark(other)):
            return False
        numbers = [
            seams.notch_mark(edge, each).removeprefix(seams.mark(edge))
            for edge, each in ((one, notch), (other, mate))
        ]
        if numbers[0] != numbers[1]:
            return False
    return True
