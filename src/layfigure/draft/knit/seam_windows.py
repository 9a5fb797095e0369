"""Windows that run across seams: each panel carries its part, and the parts meet at notches on the seam.

The seam is sewn first, backing to backing and front to front; then the window is cut through both mates. A
backing must hold the edge: how an edge gapes beside a seam cannot be foretold.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.ops import split

from layfigure.draft.flatten.panel import FlatPanel, PanelEdge
from layfigure.draft.flatten.stitch_line import stitch_line
from layfigure.draft.knit.windows import OFF_PANEL, carry
from layfigure.draft.window.rest_windows import LEAST_STRIP
from layfigure.errors import DraftError
from layfigure.geometry.polyline import arc_lengths
from layfigure.piece.piece import InnerLine, Notch

Points = NDArray[np.float64]
Indices = NDArray[np.int64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Crossing:
    """Where a window's edge crosses a seam.

    seam : the panels' own name for it. share : of the seam's length, from its start, where it is crossed.
    name : of the notch there.
    """

    seam: str
    share: float
    name: str


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class WindowPart:
    """What one panel carries of a window across seams.

    lines : (k, 2) each, its edge in the flat plane, from seam to seam. part : what is cut out of the panel.
    """

    slug: str
    lines: tuple[Points, ...]
    part: shapely.Polygon

    def inner_lines(self) -> tuple[InnerLine, ...]:
        """The lines drawn on the piece."""
        label = f"{self.slug.replace('_', ' ')}: cut after sewing the seam"
        return tuple(InnerLine(kind="placement", curve=line, label=label) for line in self.lines)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SeamWindows:
    """All windows across seams of a garment, by panel slug, and every crossing."""

    parts: Mapping[str, tuple[WindowPart, ...]]
    crossings: tuple[Crossing, ...]

    def notches(self, edge: PanelEdge, curve: Points) -> tuple[Notch, ...]:
        """Notches that the crossings put on one use of a seam."""
        lengths = arc_lengths(curve)
        return tuple(
            Notch(name=crossing.name, distance=float(lengths[_sample(edge, curve, crossing.share)]))
            for crossing in self.crossings
            if crossing.seam == edge.seam
        )


def is_across(flats: Mapping[str, FlatPanel], curve: Points) -> bool:
    """Whether a window's outline, (k, 3) on the body, lies on more than one panel."""
    return len(np.unique(_panel_of(flats, curve)[0])) > 1


def windows_across(flats: Mapping[str, FlatPanel], windows: Mapping[str, Points]) -> SeamWindows:
    """Carry windows across seams to the panels they lie on.

    windows : slug to (k, 3) closed outline on the body in the drafting pose. Raises DraftError for one that
    leaves the garment, or runs through a place where seams meet.
    """
    parts: dict[str, list[WindowPart]] = {}
    crossings: list[Crossing] = []
    for slug, closed in windows.items():
        curve = closed[:-1] if np.allclose(closed[0], closed[-1]) else closed
        curve = _counter_clockwise(flats, curve)
        owner, off = _panel_of(flats, curve)
        if off.max() > OFF_PANEL:
            raise DraftError(
                "the window leaves the garment.",
                where=f"window {slug}",
                advice="Move it or make it smaller.",
            )
        starts = np.flatnonzero(owner != np.roll(owner, 1))
        curve, owner = np.roll(curve, -starts[0], axis=0), np.roll(owner, -starts[0])
        starts = np.flatnonzero(owner != np.roll(owner, 1))
        names = list(flats)
        own: list[Crossing] = []
        for number, start in enumerate(starts):
            before, after = (flats[names[owner[k]]] for k in (start - 1, start))
            own.append(_crossing(before, after, curve[start - 1], curve[start], slug, number + 1))
        lines: dict[str, list[Points]] = {}
        for number, start in enumerate(starts):
            end = int(starts[number + 1]) if number + 1 < len(starts) else len(curve)
            flat = flats[names[owner[start]]]
            line = _line_on(flat, curve[start:end], own[number], own[(number + 1) % len(own)])
            lines.setdefault(flat.panel.slug, []).append(line)
        for panel, own_lines in lines.items():
            part = WindowPart(slug=slug, lines=tuple(own_lines), part=_cut_out(flats[panel], own_lines, slug))
            parts.setdefault(panel, []).append(part)
        crossings += own
    return SeamWindows(parts={k: tuple(v) for k, v in parts.items()}, crossings=tuple(crossings))


def _panel_of(flats: Mapping[str, FlatPanel], curve: Points) -> tuple[Indices, Points]:
    """Index of the panel that each point lies on, and its distance from it [mm]."""
    offs = np.stack([carry(flat, curve)[1] for flat in flats.values()])
    return offs.argmin(axis=0), offs.min(axis=0)


def _edge_of(flat: FlatPanel, seam: str) -> PanelEdge:
    return next(edge for edge in flat.panel.outline if edge.seam == seam)


def _crossing(
    before: FlatPanel, after: FlatPanel, last: Points, first: Points, slug: str, number: int
) -> Crossing:
    """Where the step from one panel to the next crosses a seam they share."""
    shared = {e.seam for e in before.panel.outline} & {e.seam for e in after.panel.outline} - {None}
    best, best_off, best_share, whole = "", np.inf, 0.0, 0.0
    middle = 0.5 * (last + first)
    for seam in shared:
        assert seam is not None
        edge = _edge_of(before, seam)
        line = before.panel.vertices[edge.vertices[::-1] if edge.against else edge.vertices]
        at = arc_lengths(line)
        # The nearest vertex and a step to either side: a seam is nearly straight over so short a way.
        k = int(np.linalg.norm(line - middle, axis=1).argmin())
        off = float(np.linalg.norm(line[k] - middle))
        low, high = max(k - 1, 0), min(k + 1, len(line) - 1)
        along = line[high] - line[low]
        step = float((middle - line[low]) @ along / (along @ along)) * (at[high] - at[low])
        if off < best_off:
            best, best_off, whole = seam, off, float(at[-1])
            best_share = float(np.clip((at[low] + step) / at[-1], 0.0, 1.0))
    if not best or best_off > 3.0 * OFF_PANEL or min(best_share, 1.0 - best_share) * whole < LEAST_STRIP:
        raise DraftError(
            "the window's edge runs through a place where seams meet.",
            where=f"window {slug}",
            advice=f"Move it: it should cross a seam {LEAST_STRIP:.0f} mm or more from the seam's end.",
        )
    return Crossing(seam=best, share=best_share, name=f"{slug.replace('_', ' ')} {number}")


def _sample(edge: PanelEdge, curve: Points, share: float) -> int:
    """Sample of one use of a seam at a share of the seam: both uses have corresponding samples."""
    k = round(share * (len(curve) - 1))
    return len(curve) - 1 - k if edge.against else k


def _line_on(flat: FlatPanel, run: Points, entered: Crossing, left: Crossing) -> Points:
    """A run of a window's edge on one flat panel, between the crossings where it enters and leaves."""
    ends = []
    for crossing in (entered, left):
        edge = _edge_of(flat, crossing.seam)
        curve = flat.curves[edge.slug]
        ends.append(curve[_sample(edge, curve, crossing.share)])
    inner, _ = carry(flat, run)
    # Points right beside the seam would bend the line to their own rounding.
    clear = np.minimum(*(np.linalg.norm(inner - end, axis=1) for end in ends)) > 3.0
    return np.vstack([ends[0], inner[clear], ends[1]])


def _counter_clockwise(flats: Mapping[str, FlatPanel], curve: Points) -> Points:
    """The outline running counter-clockwise as seen from outside, so that the window lies on its left."""
    middle = curve.mean(axis=0)
    area = np.cross(curve - middle, np.roll(curve, -1, axis=0) - middle).sum(axis=0)
    nearest, out = np.inf, area
    for flat in flats.values():
        panel = flat.panel
        off = np.linalg.norm(panel.vertices[panel.faces[:, 0]] - middle, axis=1)
        if off.min() < nearest:
            nearest = float(off.min())
            a, b, c = panel.vertices[panel.faces[off.argmin()]]
            out = np.cross(b - a, c - a)
    return curve if float(area @ out) > 0.0 else curve[::-1]


def _cut_out(flat: FlatPanel, lines: Sequence[Points], slug: str) -> shapely.Polygon:
    """The part of a panel on the left of every line that runs over it from seam to seam."""
    cut: list[shapely.Geometry] = [shapely.Polygon(stitch_line(flat))]
    for line in lines:
        _refuse_thin(flat, line, slug)
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
    """A line carried on a little at both ends, so that it leaves the panel."""
    ends = []
    for end, before in ((line[0], line[1]), (line[-1], line[-2])):
        out = end - before
        ends.append(end + 2.0 * out / np.linalg.norm(out))
    return np.vstack([ends[0], line, ends[1]])


def _refuse_thin(flat: FlatPanel, line: Points, slug: str) -> None:
    """Refuse a window too near to an edge of the garment."""
    for edge in flat.panel.outline:
        free = shapely.LineString(flat.curves[edge.slug])
        if edge.seam is None and free.distance(shapely.LineString(line)) < LEAST_STRIP:
            raise DraftError(
                f"less than {LEAST_STRIP:.0f} mm of cloth is left between the window and an edge.",
                where=f"window {slug}",
                advice="Move the window, or end the panel at it.",
            )
