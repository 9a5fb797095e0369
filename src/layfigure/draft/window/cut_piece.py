"""One flat piece with windows cut into it: what is left beside them, how they are edged, what lies behind."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from numpy.typing import NDArray

from layfigure.draft.registry import Check
from layfigure.draft.sewn_practice import sewn_practice
from layfigure.draft.window.across_seams import SeamWindows, WindowPart
from layfigure.draft.window.behind import glued_behind, set_in, whole_backing
from layfigure.draft.window.edge_finish import Finished, facings, finished
from layfigure.draft.window.options import BackingAs, WindowWishes
from layfigure.draft.window.practice import Finish, least_strip, window_practice
from layfigure.draft.window.sheet import Sheet
from layfigure.errors import DraftError
from layfigure.materials.cloth import Cloth
from layfigure.piece.arrow import arrow_inside
from layfigure.piece.piece import EdgeRole, Grainline, Piece, PieceEdge, Window

Points = NDArray[np.float64]

CLEAR = 4.0
"""A window stays this far from a dart, a pleat or a hole [mm] (common practice, no source)."""


@dataclass(frozen=True, slots=True, eq=False)
class CutPiece:
    """One piece that windows are cut into."""

    piece: Piece
    sheet: Sheet
    cloth: Cloth
    cloths: Mapping[str, Cloth]
    wishes: WindowWishes
    backing: Cloth | None

    def cut(
        self, laid: Mapping[str, Points], parts: Sequence[WindowPart], met: SeamWindows
    ) -> tuple[list[Piece], list[Check]]:
        """The piece with its windows and parts of windows, what belongs to it, and the least strip."""
        piece, practice = self.piece, window_practice(self.cloth)
        finish = self._finish()
        inset = self.backing is not None and self.wishes.backing_as == "inset"
        done: list[Finished] = []
        extra: list[Piece] = []
        for slug, curve in laid.items():
            window = Window(slug=slug, curve=curve, worn=curve / self.sheet.rest)
            shape = shapely.Polygon(curve)
            if not shape.is_valid or shape.area < 1.0:
                raise DraftError("the window's outline crosses itself or is empty.", where=f"window {slug}")
            if inset and self.backing is not None:
                name = f"{piece.slug}_{slug}"
                if practice.sewn:
                    allowance = min(sewn_practice(self.cloth).seam, 10.0)
                    cut, lines, filled = set_in(piece, window, self.backing, allowance, name)
                    words = (
                        "cut the inner line, slit into its corners; sew what is set in to the stitch line."
                    )
                    done.append(Finished(window=cut, lines=lines, words=words, taken=shape))
                else:
                    raw = finished(window, finish, self.cloth, practice.corner)
                    cut, filled = glued_behind(piece, raw.window, self.backing, name)
                    done.append(replace(raw, window=cut))
                extra.append(filled)
                continue
            done.append(finished(window, finish, self.cloth, practice.corner))
        least = self._refuse([(each.window.slug, each.taken) for each in done], parts)
        if finish == "faced" and done and not inset:
            own = self.cloths.get(piece.cloth, self.cloth)
            extra += facings(
                piece,
                [each.window for each in done],
                [np.asarray(laid[each.window.slug]) for each in done],
                own,
            )
        windows = tuple(each.window for each in done)
        if self.backing is not None and not inset:
            behind = _without_mates(
                whole_backing(piece, [replace(w, curve=laid[w.slug]) for w in windows], parts, self.backing,
                              f"{piece.slug}_backing"),
                self.backing,
                across=bool(parts),
            )  # fmt: skip
            windows = tuple(replace(window, backing=behind.slug) for window in windows)
            extra.append(behind)
        drawn = [line for each in done for line in each.lines]
        drawn += [line for part in parts for line in part.inner_lines()]
        cut_piece = replace(
            piece,
            windows=(*piece.windows, *windows),
            lines=(*piece.lines, *drawn),
            edges=tuple(_notched(edge, met) for edge in piece.edges),
            grainline=_beside(piece, [each.taken for each in done]),
            note=(*piece.note, *self._note(done, parts, finish)),
        )
        strip = least_strip(self.cloth)
        check = Check.at_least(
            what=f"{piece.label}: least width of what is left beside its windows",
            unit="mm",
            value=least,
            limit=strip,
        )
        return [cut_piece, *extra], [check]

    def _finish(self) -> Finish:
        practice = window_practice(self.cloth)
        asked = self.wishes.edge
        if asked is None:
            return practice.finish if self.backing is None or practice.finish != "faced" else "folded"
        if asked not in practice.finishes:
            raise DraftError(
                f"an edge of {self.cloth.name} is not {asked}.",
                where=f"piece {self.piece.slug}",
                advice=f"Write window_edge as one of: {', '.join(practice.finishes)}.",
            )
        return asked

    def _refuse(self, taken: Sequence[tuple[str, shapely.Polygon]], parts: Sequence[WindowPart]) -> float:
        """Refuse windows that leave no whole piece; the least width of what is left [mm]."""
        outline, strip, why = self.sheet.outline, least_strip(self.cloth), window_practice(self.cloth).why
        least = np.inf
        before: list[tuple[str, shapely.Geometry]] = [(part.slug, part.part) for part in parts]
        for slug, shape in taken:
            where = f"{self.piece.slug}, window {slug}"
            if not outline.contains(shape):
                if _widest(shape) > _widest(outline):
                    raise DraftError(
                        "the window is wider than its piece.",
                        where=where,
                        advice="Make it smaller, or the piece wider.",
                    )
                raise DraftError(
                    "the window runs off its piece.", where=where, advice="Make it smaller, or move it."
                )
            for kept in self.sheet.kept:
                if kept.shape.distance(shape) < CLEAR:
                    raise DraftError(
                        f"the window runs over {kept.what}, or comes within {CLEAR:g} mm of it.",
                        where=where,
                        advice="Move it or make it smaller.",
                    )
            sides = [("the edge of the piece", outline.exterior), *before]
            for what, other in sides:
                width = float(shapely.distance(other, shape))
                if width < strip:
                    name = what if what == "the edge of the piece" else f"window {what!r}"
                    raise DraftError(
                        f"less than {strip:.0f} mm of {self.cloth.name} is left between the window and "
                        f"{name}: "
                        f"{why}.",
                        where=where,
                        advice="Move it, make it smaller, or make one of two.",
                    )
                least = min(least, width)
            before.append((slug, shape))
        for part in parts:
            for edge in self.sheet.edges:
                if edge.seam is None:
                    least = min(least, float(shapely.LineString(edge.curve).distance(part.part)))
        return float(least) if np.isfinite(least) else strip

    def _note(self, done: Sequence[Finished], parts: Sequence[WindowPart], finish: Finish) -> list[str]:
        lines: list[str] = []
        by_words: dict[str, list[str]] = {}
        for each in done:
            by_words.setdefault(each.words, []).append(each.window.slug.replace("_", " "))
        for words, names in by_words.items():
            many = "s" if len(names) > 1 else ""
            lines.append(f"Window{many} {', '.join(names)}: {words}")
        backing = None if self.backing is None else self.wishes.backing_as
        lines += [_across_words(part, finish, backing) for part in parts]
        if self.sheet.told:
            lines.append(self.sheet.told)
        return lines


def _beside(piece: Piece, windows: Sequence[shapely.Polygon]) -> Grainline:
    """The piece's arrow, moved beside windows that it would run across."""
    arrow = np.array([piece.grainline.start, piece.grainline.end])
    if not shapely.LineString(arrow).intersects(shapely.union_all(windows)):
        return piece.grainline
    start, end = arrow_inside(piece.stitch_line, arrow[1] - arrow[0], beside=windows)
    return replace(piece.grainline, start=start, end=end)


def _widest(shape: shapely.Polygon) -> float:
    """Diameter of the largest circle that has room inside [mm]."""
    return 2.0 * float(shapely.maximum_inscribed_circle(shape, 0.5).length)


def _across_words(part: WindowPart, finish: Finish, backing: BackingAs | None) -> str:
    start = f"Window {part.slug.replace('_', ' ')} runs across a seam: "
    if backing == "panel":
        return (
            f"{start}sew that seam in front and in the backing first, notch to notch; lay the backing "
            "behind, sew or glue round the line, then cut the window through."
        )
    if backing == "inset":
        return (
            f"{start}sew that seam first, notch to notch, then cut inside the line and set in what fills it."
        )
    how = {
        "faced": "then face the edge as one, with a facing cut to the closed seam",
        "folded": "then cut 10 mm inside the line, clip, and fold the edge back",
        "bound": "then cut on the line and bind the edge as one",
    }.get(finish, "then cut on the line, over the seam in one go")
    return f"{start}close that seam first, notch to notch, {how}."


def _notched(edge: PieceEdge, met: SeamWindows) -> PieceEdge:
    own = met.notches(edge) if edge.seam is not None else ()
    if not own:
        return edge
    return replace(edge, notches=tuple(sorted((*edge.notches, *own), key=lambda notch: notch.distance)))


def _without_mates(behind: Piece, cloth: Cloth, *, across: bool) -> Piece:
    """A backing caught in the piece's own seams; one across a seam is sewn to its own mate."""

    def own(edge: PieceEdge) -> PieceEdge:
        if across and edge.seam is not None:
            return replace(edge, seam=f"{edge.seam}:backing")
        role: EdgeRole = "opening" if edge.role == "butt" else edge.role
        return replace(edge, seam=None, against=False, notches=(), role=role)

    return replace(behind, edges=tuple(own(edge) for edge in behind.edges), thickness=cloth.thickness)
