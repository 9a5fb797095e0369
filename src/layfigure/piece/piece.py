"""The piece: one thing to cut, with everything that is drawn on it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from layfigure.geometry.polyline import length

Points = NDArray[np.float64]
EdgeRole = Literal["seam", "opening", "hem", "fold", "closure", "butt"]
LineKind = Literal["balance", "centre", "fold", "trim", "placement", "slit", "stitch"]
VerdictLevel = Literal["paper", "scrap", "good material"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Notch:
    """A mark across an edge that meets the notch of the same name on the mate.

    name : shared by both mates. distance : along the stitch line from the edge's start [mm].
    count : strokes drawn, 1 single, 2 double.
    """

    name: str
    distance: float
    count: int = 1


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PieceEdge:
    """One edge of the outline between two corners.

    slug : name on this piece. curve : (n, 2) stitch line [mm] in loop order, counter-clockwise.
    role : ``seam`` is sewn to its mate, ``opening`` and ``hem`` are finished, ``fold`` is cut on the
    fold, ``closure`` overlaps or fastens, ``butt`` is glued edge to edge.
    seam : identity shared by every use of the same seam, design-wide; None where nothing meets it.
    against : True when this use runs against the seam's own direction, as one of two mates does.
    allowance : from stitch line to cut line [mm], 0 for none.
    eased : how much longer it is than its mate, worked in evenly when sewn, as a sleeve's cap is [mm].
    """

    slug: str
    curve: Points
    role: EdgeRole
    allowance: float
    seam: str | None = None
    against: bool = False
    notches: tuple[Notch, ...] = ()
    eased: float = 0.0

    @property
    def length(self) -> float:
        """Length of the stitch line [mm]."""
        return length(self.curve)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Window:
    """A cut-out inside a piece.

    curve : (n, 2) closed cut line of the opening [mm], first point not repeated.
    worn : (n, 2) or None, the same points as they lie when worn, for the report.
    backing : slug of the piece that shows through, None where skin does.
    """

    slug: str
    curve: Points
    backing: str | None = None
    worn: Points | None = None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class InnerLine:
    """A line drawn on the piece and not cut through, (n, 2) [mm]."""

    kind: LineKind
    curve: Points
    label: str = ""
    closed: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Grainline:
    """Direction of the cloth. kind : ``grain`` along the selvedge, ``stretch`` greatest stretch,
    ``any`` for sheets without one.
    """

    start: tuple[float, float]
    end: tuple[float, float]
    kind: Literal["grain", "stretch", "any"]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Total:
    """A length that a tape can check on the printed paper: what to measure, and what it should read [mm]."""

    what: str
    length: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Reason:
    """Why a verdict is not better, and what would lift it."""

    why: str
    lifted_by: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Verdict:
    """How far the piece can be trusted: mock it up in paper, cut scrap first, or cut good material."""

    level: VerdictLevel
    reasons: tuple[Reason, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True, eq=False, weakref_slot=True)
class Piece:
    """One thing to cut.

    slug : unique in the costume, such as ``shin_guard_left``. label : what is printed large.
    kind : registered piece kind. side : ``left``, ``right``, ``middle`` or ``both`` (cut mirrored pairs).
    count : how many to cut, a mirrored pair counting two. cloth : material slug.
    edges : the outline, counter-clockwise; each starts where the one before ends.
    layer : 0 next to the skin. edition : of the design. totals : three lengths to check on paper.
    note : how to make it, in plain language, one instruction a line.
    """

    slug: str
    label: str
    kind: str
    cloth: str
    edges: tuple[PieceEdge, ...]
    grainline: Grainline
    totals: tuple[Total, ...]
    verdict: Verdict
    side: Literal["left", "right", "middle", "both"] = "middle"
    count: int = 1
    windows: tuple[Window, ...] = ()
    lines: tuple[InnerLine, ...] = ()
    note: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    layer: int = 0
    edition: int = 1
    thickness: float = 0.0

    @property
    def stitch_line(self) -> Points:
        """The whole outline, (n, 2) closed [mm], corner points once, first not repeated."""
        return np.concatenate([edge.curve[:-1] for edge in self.edges])

    def edge(self, slug: str) -> PieceEdge:
        """The edge of that name. Raises KeyError."""
        for edge in self.edges:
            if edge.slug == slug:
                return edge
        raise KeyError(slug)
