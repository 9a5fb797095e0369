"""A costume as stated, before any picture or body is looked at, and what it becomes on one wearer."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field

from layfigure.body.chart import RegionChart
from layfigure.body.levels import Side
from layfigure.design.design import Design, DesignEdge, EdgePoint, Meaning, PieceStatement
from layfigure.design.mirror import mirrored_points, side_of_points
from layfigure.design.motif import MotifRow
from layfigure.design.relative_on_body import in_order, resolve_relative
from layfigure.design.relative_words import RelativeEdge
from layfigure.design.words import WordEdge
from layfigure.design.words_on_body import Rulers, words_along
from layfigure.errors import FileError, PlacementError
from layfigure.files.nearest import did_you_mean

COSTUME_FILE, MARKS_FILE, MATERIALS_FILE = "costume.toml", "marks.json", "materials.toml"


@dataclass(frozen=True, slots=True, kw_only=True)
class Reference:
    """One picture. photograph : of a person, so left out when the design is shared."""

    file: str
    photograph: bool = False
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Erratum:
    """What a later edition changed, and which pieces must be cut again."""

    edition: int
    what: str
    pieces: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class EdgeStatement:
    """An edge as stated. words : None where it is marked on pictures. marked_as : its slug in the marks.

    closed : of a marked edge; words say it themselves. where : file and line, for messages.
    """

    slug: str
    side: Side
    marked_as: str
    closed: bool = True
    meaning: Meaning = "proportion"
    words: WordEdge | RelativeEdge | None = None
    where: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Costume:
    """A costume before any picture or body is looked at.

    edges : by slug. pieces : with both sides and rows of motifs written out. rows : by slug.
    where : piece slug to file and line.
    """

    name: str
    edition: int
    edges: Mapping[str, EdgeStatement]
    pieces: tuple[PieceStatement, ...]
    references: tuple[Reference, ...] = ()
    errata: tuple[Erratum, ...] = ()
    where: Mapping[str, str] = field(default_factory=dict)
    rows: Mapping[str, MotifRow] = field(default_factory=dict)

    def said_from(self) -> frozenset[str]:
        """Edges that other edges or rows of motifs are said from."""
        words = [edge.words for edge in self.edges.values()]
        bases = {base for each in words if isinstance(each, RelativeEdge) for base in each.bases}
        return frozenset(bases | {row.along for row in self.rows.values()})

    def marked_slugs(self) -> frozenset[str]:
        """Slugs that ``marks.json`` may use."""
        marked = [edge for edge in self.edges.values() if edge.words is None]
        return frozenset({edge.slug for edge in marked} | {edge.marked_as for edge in marked})


def check_cloths(costume: Costume, known: Collection[str]) -> None:
    """Raise FileError for the first piece of a cloth that is not among the materials."""
    for piece in costume.pieces:
        # A thing that is found has no cloth; a kind that cuts one asks for it itself.
        for cloth in filter(None, (piece.cloth, *piece.cloths.values())):
            if cloth not in known:
                raise FileError(
                    f"piece {piece.slug!r} is cut from {cloth!r}, which is no material.",
                    where=costume.where.get(piece.slug, ""),
                    advice=did_you_mean(cloth, known) or f"Add it to {MATERIALS_FILE}.",
                )


def design_of(
    costume: Costume,
    *,
    marked: Mapping[str, Sequence[EdgePoint]],
    charts: Mapping[str, RegionChart],
    level_heights: Mapping[str, float],
) -> Design:
    """The design for one wearer: marks as the study read them, words on her own body.

    marked : slug in the marks to points. charts, level_heights : of her Form. An edge that is stated for both
    sides and marked on one is mirrored. Raises PlacementError for an edge neither said nor marked.
    """
    edges: dict[str, DesignEdge] = {}
    rulers = Rulers(charts, level_heights)
    cut_out = {slug for piece in costume.pieces for slug in piece.windows}
    relative: dict[str, RelativeEdge] = {}
    for slug, statement in costume.edges.items():
        if isinstance(statement.words, RelativeEdge):
            relative[slug] = statement.words
        elif statement.words is not None:
            edges[slug] = words_along(statement.words, rulers, meaning=statement.meaning)
        else:
            edges[slug] = DesignEdge(
                slug=slug,
                points=_marked_points(statement, marked),
                closed=statement.closed,
                goes_round=statement.closed and slug not in cut_out,
                meaning=statement.meaning,
                source="marks",
            )
    for edge in in_order(relative, lambda slug: costume.edges[slug].where):
        meaning = costume.edges[edge.slug].meaning
        edges[edge.slug] = resolve_relative(edge, edges, rulers, meaning=meaning)
    edges = {slug: edges[slug] for slug in costume.edges}
    rows = tuple(costume.rows.values())
    return Design(name=costume.name, edition=costume.edition, edges=edges, pieces=costume.pieces, rows=rows)


def _marked_points(
    statement: EdgeStatement, marked: Mapping[str, Sequence[EdgePoint]]
) -> tuple[EdgePoint, ...]:
    own = marked.get(statement.slug)
    if own:
        return tuple(own)
    shared = marked.get(statement.marked_as)
    if not shared:
        raise PlacementError(
            f"edge {statement.slug!r} is neither said in words nor marked on a picture.",
            where=statement.where,
            advice=f'Mark {statement.marked_as!r} in {MARKS_FILE}, or write words = "…".',
        )
    side = side_of_points(shared)
    if side == "middle":
        raise PlacementError(
            f"edge {statement.marked_as!r} is stated for both sides and marked on neither limb alone.",
            where=statement.where,
            advice=f"Mark {statement.marked_as}_left and {statement.marked_as}_right instead.",
        )
    return tuple(shared) if side == statement.side else mirrored_points(shared)
