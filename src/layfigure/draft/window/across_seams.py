"""Windows that run across seams: each piece carries its part, and the parts meet at notches on the seam.

The seam is sewn first, then the window is cut through both mates. Where it crosses the seam is one share of
the seam's length, so that the halves meet however each piece was laid flat.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.ops import split

from layfigure.draft.window.owners import OFF_PIECE, owners, torn
from layfigure.draft.window.sheet import Sheet
from layfigure.errors import DraftError
from layfigure.geometry.polyline import points_at
from layfigure.piece.piece import InnerLine, Notch, PieceEdge

Points = NDArray[np.float64]
Indices = NDArray[np.int64]
Flags = NDArray[np.bool_]

BESIDE_SEAM = 3.0
"""Points this near to a crossing would bend the line there to their own rounding [mm]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Crossing:
    """Where a window's edge crosses a seam.

    seam : name that both mates have for it. share : of the seam's length, from its start, where it is
    crossed. name : of the notch there.
    """

    seam: str
    share: float
    name: str

    def along(self, edge: PieceEdge) -> float:
        """How far along one use of the seam it is crossed, in loop order [mm]."""
        return (1.0 - self.share if edge.against else self.share) * edge.length


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class WindowPart:
    """What one piece carries of a window across seams.

    lines : (k, 2) each, its edge in the flat plane, from seam to seam. part : what is cut out of the piece.
    """

    slug: str
    lines: tuple[Points, ...]
    part: shapely.Polygon

    def inner_lines(self) -> tuple[InnerLine, ...]:
        """The lines drawn on the piece."""
        label = f"{self.slug.replace('_', ' ')}: cut after sewing the seam"
        return tuple(InnerLine(kind="placement", curve=line, label=label) for line in self.lines)


OwnedPart = tuple[str, WindowPart]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SeamWindows:
    """All windows across seams, by slug of the piece, and every crossing."""

    parts: Mapping[str, tuple[WindowPart, ...]]
    crossings: tuple[Crossing, ...]

    def by_window(self) -> dict[str, list[OwnedPart]]:
        """Parts of every window, each with the slug of its piece."""
        found: dict[str, list[OwnedPart]] = {}
        for owner, parts in self.parts.items():
            for part in parts:
                found.setdefault(part.slug, []).append((owner, part))
        return found

    def notches(self, edge: PieceEdge) -> tuple[Notch, ...]:
        """Notches that the crossings put on one use of a seam."""
        return tuple(
            Notch(name=crossing.name, distance=crossing.along(edge))
            for crossing in self.crossings
            if crossing.seam == edge.seam
        )


def windows_across(
    sheets: Mapping[str, Sheet], windows: Mapping[str, Points], *, strip: float
) -> SeamWindows:
    """Carry windows across seams to the pieces they lie on.

    windows : slug to (k, 3) closed outline on the wearer. strip : least width of what is left beside one
    [mm]. Raises DraftError for one that leaves the garment, or runs through a place where seams meet.
    """
    parts: dict[str, list[WindowPart]] = {}
    crossings: list[Crossing] = []
    for slug, curve in windows.items():
        owner, outside = owners(sheets, curve)
        if outside.max() > OFF_PIECE:
            raise DraftError(
                "the window leaves the garment.",
                where=f"window {slug}",
                advice="Move it or make it smaller.",
            )
        curve, owner = _left_of_its_edge(sheets, curve, owner)
        starts = _starts(sheets, curve, owner)
        curve, owner = np.roll(curve, -starts[0], axis=0), np.roll(owner, -starts[0])
        starts = starts - starts[0]
        names = list(sheets)
        own: list[Crossing] = []
        for number, start in enumerate(starts):
            before, after = (sheets[names[owner[k]]] for k in (start - 1, start))
            own.append(_crossing(before, after, curve[[start - 1, start]], slug, number + 1, strip))
        lines: dict[str, list[Points]] = {}
        for number, start in enumerate(starts):
            end = int(starts[number + 1]) if number + 1 < len(starts) else len(curve)
            sheet = sheets[names[owner[start]]]
            line = _line_on(sheet, curve[start:end], own[number], own[(number + 1) % len(own)])
            lines.setdefault(sheet.slug, []).append(line)
        for piece, own_lines in lines.items():
            sheet = next(each for each in sheets.values() if each.slug == piece)
            for part in _cut_out(sheet, own_lines, slug, strip):
                parts.setdefault(piece, []).append(part)
        crossings += own
    return SeamWindows(parts={k: tuple(v) for k, v in parts.items()}, crossings=tuple(crossings))


def _starts(sheets: Mapping[str, Sheet], curve: Points, owner: Indices) -> Indices:
    """Indices of the points of an outline that lie beyond a seam from the point before, in order."""
    return np.flatnonzero((owner != np.roll(owner, 1)) | torn(sheets, curve, owner))


def _left_of_its_edge(sheets: Mapping[str, Sheet], curve: Points, owner: Indices) -> tuple[Points, Indices]:
    """The outline run so that the window lies on its left on every flat piece, which is seen from outside."""
    run = curve
    if torn(sheets, curve, owner).any():
        # Of an outline that is torn apart only what lies together can tell; it closes along the seam.
        starts = _starts(sheets, curve, owner)
        ends = np.append(starts[1:], starts[0] + len(curve))
        longest = int(np.argmax(ends - starts))
        run = curve[np.arange(starts[longest], ends[longest]) % len(curve)]
        most = int(owner[starts[longest]])
    else:
        most = int(np.bincount(owner).argmax())
    x, y = list(sheets.values())[most].flat(run).T
    twice = float(np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y))
    return (curve, owner) if twice > 0.0 else (curve[::-1], owner[::-1])


def _crossing(before: Sheet, after: Sheet, step: Points, slug: str, number: int, strip: float) -> Crossing:
    """Where the step from one piece to the next crosses a seam they share. step : (2, 3)."""
    shared = {e.seam for e in before.edges} & {e.seam for e in after.edges} - {None}
    found = []
    for seam in sorted(filter(None, shared)):
        if before is after:
            own = [_reached(before.use_near(seam, at), at) for at in before.flat(step)]
        else:
            own = [_crossed(sheet, seam, step) for sheet in (before, after)]
        found.append((max(off for _, off in own), float(np.mean([share for share, _ in own])), seam))
    off, share, best = min(found, default=(np.inf, 0.0, ""))
    if not best or off > 3.0 * OFF_PIECE or min(share, 1.0 - share) * before.edge(best).length < strip:
        raise DraftError(
            "the window's edge runs through a place where seams meet.",
            where=f"window {slug}",
            advice=f"Move it: it should cross a seam {strip:.0f} mm or more from the seam's end.",
        )
    return Crossing(seam=best, share=share, name=f"{slug.replace('_', ' ')} {number}")


def _crossed(sheet: Sheet, seam: str, step: Points) -> tuple[float, float]:
    """Share of a seam at which a step over it crosses it on one piece, and how far off it passes [mm]."""
    edge = sheet.edge(seam)
    line = shapely.LineString(edge.curve)
    flat, _ = sheet.carry(step)
    way = shapely.LineString(flat)
    met = line.intersection(way)
    at = met if met.geom_type == "Point" else way.interpolate(0.5, normalized=True)
    along = line.project(at) / line.length
    return float(1.0 - along if edge.against else along), float(line.distance(at))


def _reached(edge: PieceEdge, place: Points) -> tuple[float, float]:
    """Share of a use of a seam that lies nearest to a flat place, and how far off [mm]."""
    line, at = shapely.LineString(edge.curve), shapely.Point(place)
    along = line.project(at) / line.length
    return float(1.0 - along if edge.against else along), float(line.distance(at))


def _line_on(sheet: Sheet, run: Points, entered: Crossing, left: Crossing) -> Points:
    """A run of a window's edge on one flat piece, between the crossings where it enters and leaves."""
    inner, _ = sheet.carry(run)
    ends = []
    for crossing, near in ((entered, inner[0]), (left, inner[-1])):
        edge = sheet.use_near(crossing.seam, near)
        ends.append(points_at(edge.curve, [crossing.along(edge)])[0])
    clear = np.minimum(*(np.linalg.norm(inner - end, axis=1) for end in ends)) > BESIDE_SEAM
    return np.vstack([ends[0], inner[clear], ends[1]])


def _cut_out(sheet: Sheet, lines: Sequence[Points], slug: str, strip: float) -> list[WindowPart]:
    """What is cut out of a piece, on the left of every line that runs over it from seam to seam.

    Beside a seam of the piece with itself lie two parts of one window, each within a line of its own.
    """
    beside = [line for line in lines if len(lines) > 1 and _is_own_seam(sheet, line)]
    if beside:
        return [
            WindowPart(slug=slug, lines=(line,), part=_left_of(sheet, [line], slug, strip)) for line in lines
        ]
    return [WindowPart(slug=slug, lines=tuple(lines), part=_left_of(sheet, lines, slug, strip))]


def _is_own_seam(sheet: Sheet, line: Points) -> bool:
    """Whether a line starts and ends on one and the same use of a piece's seam with itself."""
    seams = [edge.seam for edge in sheet.edges]
    ends = [shapely.Point(end) for end in line[[0, -1]]]
    return any(
        seams.count(edge.seam) > 1 and all(shapely.LineString(edge.curve).distance(end) < 0.1 for end in ends)
        for edge in sheet.edges
        if edge.seam is not None
    )


def _left_of(sheet: Sheet, lines: Sequence[Points], slug: str, strip: float) -> shapely.Polygon:
    """The part of a piece on the left of every line that runs over it from seam to seam."""
    cut: list[shapely.Geometry] = [sheet.outline]
    for line in lines:
        _refuse_near(sheet, line, slug, strip)
        longer = shapely.LineString(_prolonged(line))
        cut = [part for piece in cut for part in split(piece, longer).geoms]
    found = set()
    for line in lines:
        k = len(line) // 2
        along = line[k] - line[k - 1]
        beside = 0.5 * (line[k] + line[k - 1]) + 0.3 * np.array([-along[1], along[0]]) / np.linalg.norm(along)
        found |= {n for n, piece in enumerate(cut) if piece.contains(shapely.Point(beside))}
    if not found or len(found) == len(cut):
        raise DraftError(
            "the window's edge does not run from seam to seam.",
            where=f"window {slug}",
            advice="Move it or make it smaller.",
        )
    return max((cut[n] for n in found), key=lambda piece: float(piece.area))


def _prolonged(line: Points) -> Points:
    """A line carried on a little at both ends, so that it leaves the piece."""
    ends = []
    for end, before in ((line[0], line[1]), (line[-1], line[-2])):
        out = end - before
        ends.append(end + 2.0 * out / np.linalg.norm(out))
    return np.vstack([ends[0], line, ends[1]])


def _refuse_near(sheet: Sheet, line: Points, slug: str, strip: float) -> None:
    """Refuse a window too near to an edge of the garment, or over what it must stay clear of."""
    drawn = shapely.LineString(line)
    for edge in sheet.edges:
        if edge.seam is None and shapely.LineString(edge.curve).distance(drawn) < strip:
            raise DraftError(
                f"less than {strip:.0f} mm of cloth is left between the window and an edge.",
                where=f"window {slug}",
                advice="Move the window, or end the panel at it.",
            )
    for kept in sheet.kept:
        if kept.shape.intersects(drawn):
            raise DraftError(
                f"the window runs over {kept.what}.",
                where=f"window {slug}",
                advice="Move it or make it smaller.",
            )
