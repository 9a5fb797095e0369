"""Piece kinds: each is one module with one draft function and a schema, registered here by name.

A kind from another package registers itself through the entry point group ``layfigure.kinds``: the entry
point loads to a ``PieceKind``.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from importlib.metadata import EntryPoint, entry_points
from typing import Any, Literal, Protocol

from pydantic import BaseModel

from layfigure.body.form import Form
from layfigure.body.levels import Side
from layfigure.design.design import DesignEdge, PieceStatement
from layfigure.draft.bulk import Bulk
from layfigure.errors import DraftError, FileError, UnknownKeyError
from layfigure.files.validation import validated
from layfigure.materials.cloth import Cloth
from layfigure.piece.cloth_field import ClothField
from layfigure.piece.item import Item
from layfigure.piece.piece import Piece
from layfigure.piece.worn import WornSurface
from layfigure.place.placement import Placement


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class DraftRequest:
    """Everything a draft function may read.

    statement : the piece as designed. options : its options, validated into the kind's schema.
    form, placement : the wearer and the design on her. cloths : materials by slug.
    edition : of the design. stack : thickness lying under this piece [mm], from the layers below it.
    spans, folds : more of what lies below, as in ``Beneath``.
    assumed : what was assumed beyond the measures, for the verdict.
    """

    statement: PieceStatement
    options: BaseModel
    form: Form
    placement: Placement
    cloths: Mapping[str, Cloth]
    edition: int = 1
    stack: float = 0.0
    spans: bool = False
    folds: float = 0.0
    assumed: tuple[str, ...] = ()

    @property
    def cloth(self) -> Cloth:
        """What the piece is cut from. Raises DraftError where that is no material, or none is named."""
        named = self.statement.cloth
        if named not in self.cloths:
            raise DraftError(
                f"there is no material {named!r}." if named else "nothing says what it is cut from.",
                where=f"piece {self.statement.slug}",
                advice="Add it to materials.toml." if named else "Add cloth = 'name of a material'.",
            )
        return self.cloths[named]

    def leaves_open(self, *options: str) -> bool:
        """Whether the costume says none of these options, so that the kind chooses."""
        return not set(options) & set(self.statement.options)


@dataclass(frozen=True, slots=True, kw_only=True)
class Check:
    """One thing that was verified after drafting, in words, with its number and limit in ``unit``."""

    what: str
    value: float
    limit: float
    passed: bool
    advice: str = ""
    unit: str = ""

    @classmethod
    def at_most(cls, *, what: str, value: float, limit: float, advice: str = "", unit: str = "") -> Check:
        """Passed up to the limit. advice : for when it is not."""
        passed = bool(value <= limit)
        return cls(
            what=what, value=value, limit=limit, passed=passed, advice="" if passed else advice, unit=unit
        )

    @classmethod
    def at_least(cls, *, what: str, value: float, limit: float, advice: str = "", unit: str = "") -> Check:
        """Passed from the limit on. advice : for when it is not."""
        passed = bool(value >= limit)
        return cls(
            what=what, value=value, limit=limit, passed=passed, advice="" if passed else advice, unit=unit
        )


class Wearing(Protocol):
    """Lays a drafted piece on the wearer once a picture asks for it: nobody needs that to cut it."""

    def on(self, form: Form) -> tuple[WornSurface, ...]:
        """Surfaces in the standing pose."""
        ...


class Working(Protocol):
    """Tells what wearing asks of the cloth, place by place, once a screen shows it."""

    def over(self, form: Form) -> Mapping[str, tuple[ClothField, ...]]:
        """Fields over flat pieces, by the piece's slug."""
        ...


@dataclass(frozen=True, slots=True, kw_only=True)
class DraftResult:
    """Pieces of one statement and the checks they passed or failed.

    items : what it needs beside cut pieces. worn : how it lies on the standing wearer; wearing : what of that
    takes long and waits until a picture asks (:meth:`worn_on`). working : what wearing asks of the cloth
    of its pieces, which waits likewise. notes : what to know of the whole, where no single piece can carry
    it, a sentence each. decisions, departures : as its statement says them. chosen :
    what the costume left open and was chosen here, a sentence each. bulk : what is thick, wherever it lies on
    the body.
    """

    pieces: tuple[Piece, ...]
    checks: tuple[Check, ...] = ()
    items: tuple[Item, ...] = ()
    worn: tuple[WornSurface, ...] = ()
    notes: tuple[str, ...] = ()
    decisions: tuple[str, ...] = ()
    departures: tuple[str, ...] = ()
    chosen: tuple[str, ...] = ()
    bulk: tuple[Bulk, ...] = ()
    wearing: Wearing | None = None
    working: Working | None = None

    def worn_on(self, form: Form) -> tuple[WornSurface, ...]:
        """How it lies on the standing wearer that it was drafted for, the whole of it."""
        return self.worn if self.wearing is None else (*self.worn, *self.wearing.on(form))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class QuickBody:
    """What a few tapes make of a quick piece: a body, edges by role, and options of its kind, as typed."""

    form: Form
    edges: Mapping[str, DesignEdge] = field(default_factory=dict)
    options: Mapping[str, Any] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class QuickRecipe:
    """A piece that its kind can draft from a few tapes, without a costume.

    name : as typed. summary : one line for the maker. tapes : name to where the tape runs. cloth : what it is
    cut from when nothing is said. body : from the tapes [mm] and how far a point rises in front [mm].
    assumed : said in the verdict.
    """

    name: str
    summary: str
    tapes: Mapping[str, str]
    cloth: Cloth
    body: Callable[[Mapping[str, float], float], QuickBody]
    assumed: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class PieceKind:
    """A kind of piece.

    name : as written in costume.toml. summary : one line for the maker.
    options : pydantic schema of its options, extra keys forbidden.
    edges : role to description of the edges it needs or may use; required : the roles it cannot do without.
    draft : DraftRequest to DraftResult. reads_tracing : what is traced is no outline to cut by, but something
    that the kind itself reads, always or with some options. quick : what it drafts from a few tapes alone.
    covers : options and side to the regions of the body that it covers, with how many layers of its cloth lie
    there, where its edges do not tell. spans : whether it covers them as one sheet, over their hollows, and
    not as a band. spares : options to required roles that they make needless.
    windows, backing, seams : whether it makes something of them. panels : of a statement, the names
    of panels that may be of another cloth, a panel and the sides of its seams each for itself: ``front``,
    ``above_hip_yoke`` for ``front_above_hip_yoke``. cloths : what it makes of other materials, by their
    role. reads_mesh : a traced mesh is something that it lays flat. unused : what of all this one statement
    leaves no use for, by role of cloth or as ``windows``, ``backing``, ``seams`` or ``trace``, each with a
    sentence that says so. What a kind does not state here it does not take: a statement that names it is
    refused.
    choices : of a draft, what the costume left open (``how it closes``) to what was done (``it has a snap``).
    """

    name: str
    summary: str
    options: type[BaseModel]
    draft: Callable[[DraftRequest], DraftResult]
    edges: Mapping[str, str] = field(default_factory=dict)
    required: frozenset[str] = frozenset()
    reads_tracing: bool | Callable[[BaseModel], bool] = False
    covers: Callable[[BaseModel, Side | Literal["both"]], Mapping[str, float]] | None = None
    spans: bool = True
    quick: tuple[QuickRecipe, ...] = ()
    spares: Callable[[BaseModel], frozenset[str]] | None = None
    windows: bool = False
    backing: bool = False
    seams: bool = False
    panels: Callable[[PieceStatement, BaseModel], tuple[str, ...]] | None = None
    cloths: Mapping[str, str] = field(default_factory=dict)
    reads_mesh: bool = False
    unused: Callable[[PieceStatement, BaseModel], Mapping[str, str]] | None = None
    choices: Callable[[DraftRequest, DraftResult], Mapping[str, str]] | None = None

    def needs(self, options: BaseModel) -> frozenset[str]:
        """Roles of the edges that a piece with these options cannot do without."""
        return self.required if self.spares is None else self.required - self.spares(options)

    def leaves_out(self, statement: PieceStatement, options: BaseModel) -> Mapping[str, str]:
        """What a statement names and has no use for, and why."""
        return {} if self.unused is None else self.unused(statement, options)

    def cuts_by_outline(self, statement: PieceStatement, options: BaseModel) -> bool:
        """Whether a piece is cut by its tracing and by nothing else."""
        if statement.trace is None or statement.trace.mesh is not None:
            return False
        reads = self.reads_tracing
        return not (reads(options) if callable(reads) else reads)


_GROUP = "layfigure.kinds"
_KINDS: dict[str, PieceKind] = {}


def register(kind: PieceKind) -> PieceKind:
    """Make a kind known. Raises ValueError when its name is taken by another."""
    if _KINDS.setdefault(kind.name, kind) is not kind:
        raise ValueError(f"piece kind {kind.name!r} is registered already")
    return kind


def known_kinds() -> Mapping[str, PieceKind]:
    """Every kind by name, our own and those of other packages. Raises DraftError for one that cannot load.

    In the order of their names, whichever was loaded first for other work.
    """
    for entry in entry_points(group=_GROUP):
        _load(entry)
    return dict(sorted(_KINDS.items()))


def find_kind(name: str) -> PieceKind:
    """The kind of that name, loading no other. Raises DraftError listing the known ones."""
    if name not in _KINDS:
        for entry in entry_points(group=_GROUP, name=name):
            _load(entry)
    if name not in _KINDS:
        known = sorted({*_KINDS, *entry_points(group=_GROUP).names})
        raise DraftError(f"there is no piece kind {name!r}.", advice=f"Known kinds: {', '.join(known)}.")
    return _KINDS[name]


def _load(entry: EntryPoint) -> None:
    if entry.name in _KINDS:
        return
    try:
        kind = entry.load()
    except (ImportError, AttributeError) as error:
        raise DraftError(
            f"piece kind {entry.name!r} cannot be loaded: {error}.",
            where=entry.value,
            advice="Install or remove the package that brings it.",
        ) from error
    if entry.name not in _KINDS:
        register(kind)


def validated_options(kind: PieceKind, options: Mapping[str, Any], *, where: str) -> BaseModel:
    """Options checked against the kind's schema. Raises DraftError naming the first bad key."""
    try:
        return validated(kind.options, dict(options), where=lambda *_: where)
    except FileError as error:
        name, _, told = error.what.removeprefix("key ").partition(" ")
        colon = ":" if name.endswith(":") else ""
        unknown, known = isinstance(error, UnknownKeyError), ", ".join(sorted(kind.options.model_fields))
        raise DraftError(
            f"option {name.strip(chr(39) + ':')!r} of kind {kind.name!r}{colon} {told}",
            where=where,
            advice=error.advice or (f"Options of this kind: {known}." if unknown else ""),
        ) from error
