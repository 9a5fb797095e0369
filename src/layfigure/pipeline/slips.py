"""What is wrong with a piece on any body, told before anything is computed or replaced."""

from __future__ import annotations

from collections.abc import Callable, Collection

from pydantic import BaseModel

from layfigure.design.design import PieceStatement
from layfigure.draft.registry import PieceKind, find_kind, known_kinds, validated_options
from layfigure.errors import DraftError
from layfigure.files.nearest import did_you_mean


def refuse_slips(statement: PieceStatement, where: str = "") -> None:
    """Raise DraftError for a kind nobody knows, or for what it would drop without a word.

    That is an option or an edge that it does not have, an edge that it lacks, and windows, seams, a backing
    or a material that it makes nothing of.
    """
    where = where or f"piece {statement.slug}"
    try:
        kind = find_kind(statement.kind)
    except DraftError as error:
        raise DraftError(error.what, where=where, advice=error.advice) from error
    options = piece_options(statement, kind, where)
    needed = kind.needs(options) if statement.trace is None else frozenset()
    for role in sorted(needed - set(statement.edges)):
        raise DraftError(
            f"a {kind.name} needs the edge {role!r}: {kind.edges[role]}.",
            where=where,
            advice=f'Write edges = {{ {role} = "NAME OF AN EDGE" }}.',
        )
    for role in sorted(set(statement.edges) - set(kind.edges)):
        raise DraftError(
            f"a {kind.name} has no edge {role!r}.", where=where, advice=did_you_mean(role, kind.edges)
        )
    if kind.cuts_by_outline(statement, options):
        _refuse_beside_outline(statement, kind, options, where)
    else:
        _refuse_mesh(statement, kind, options, where)
        _refuse_windows(statement, kind, options, where)
        _refuse_seams(statement, kind, options, where)
        _refuse_cloths(statement, kind, options, where)


def piece_options(statement: PieceStatement, kind: PieceKind, where: str) -> BaseModel:
    """The options of a piece, checked.

    A traced outline needs none, not even those that its kind cannot do without. Raises DraftError.
    """
    if statement.trace is not None and statement.trace.mesh is None and not statement.options:
        bare = kind.options.model_construct()
        if kind.cuts_by_outline(statement, bare):
            return bare
    return validated_options(kind, statement.options, where=where)


def _refuse_mesh(statement: PieceStatement, kind: PieceKind, options: BaseModel, where: str) -> None:
    if statement.trace is None or statement.trace.mesh is None:
        return
    reason = kind.leaves_out(statement, options).get("trace", "")
    if reason or not kind.reads_mesh:
        raise DraftError(
            reason or f"a {kind.name} is not made from a mesh, and {statement.trace.file} would be lost.",
            where=where,
            advice=f"Kinds that lay a mesh flat: {_kinds(lambda other: other.reads_mesh)}"
            " (shape = 'mesh'). Or leave trace out.",
        )


def _refuse_windows(statement: PieceStatement, kind: PieceKind, options: BaseModel, where: str) -> None:
    left_out = kind.leaves_out(statement, options)
    if statement.windows and ("windows" in left_out or not kind.windows):
        raise DraftError(
            left_out.get("windows")
            or f"a {kind.name} makes no windows, and {statement.windows[0]!r} would be lost.",
            where=where,
            advice=f"Kinds that do: {_kinds(lambda other: other.windows)}. Leave windows out here.",
        )
    if statement.backing is not None and ("backing" in left_out or not kind.backing):
        raise DraftError(
            left_out.get("backing")
            or f"a {kind.name} makes nothing of a backing, and {statement.backing!r} would be lost.",
            where=where,
            advice=f"Kinds that do: {_kinds(lambda other: other.backing)}. Leave backing out here"
            + (
                f', or write cloths = {{ lining = "{statement.backing}" }}.'
                if "lining" in kind.cloths
                else "."
            ),
        )
    if statement.backing is not None and not statement.windows:
        raise DraftError(
            "its backing lies behind windows, and it names none.",
            where=where,
            advice='Write windows = ["NAME OF AN EDGE"], or leave backing out'
            + (
                f'; for a lining write cloths = {{ lining = "{statement.backing}" }}.'
                if "lining" in kind.cloths
                else "."
            ),
        )


def _refuse_seams(statement: PieceStatement, kind: PieceKind, options: BaseModel, where: str) -> None:
    left_out = kind.leaves_out(statement, options)
    if statement.seams and ("seams" in left_out or not kind.seams):
        raise DraftError(
            left_out.get("seams")
            or f"a {kind.name} puts its own seams, and {statement.seams[0]!r} would be lost.",
            where=where,
            advice=f"Kinds that take seams: {_kinds(lambda other: other.seams)}. Leave seams out here.",
        )


def _refuse_cloths(statement: PieceStatement, kind: PieceKind, options: BaseModel, where: str) -> None:
    left_out = kind.leaves_out(statement, options)
    panels = () if kind.panels is None else kind.panels(statement, options)
    for role in sorted(statement.cloths):
        if role not in kind.cloths and role not in left_out and not _joined_from(role, panels):
            raise DraftError(
                f"a {kind.name} makes nothing of cloths.{role}.",
                where=where,
                advice=_instead_of(role, kind, panels),
            )
        if role in left_out:
            raise DraftError(
                left_out[role], where=where, advice=f"Leave cloths.{role} out, or change that option."
            )


def _joined_from(role: str, names: Collection[str]) -> bool:
    """Whether a role is one of some names, or several in a row."""
    return any(
        role == name or (role.startswith(f"{name}_") and _joined_from(role[len(name) + 1 :], names))
        for name in names
    )


def _instead_of(role: str, kind: PieceKind, panels: tuple[str, ...]) -> str:
    """What to write in place of a material that a kind does not take."""
    if role in kind.options.model_fields:
        return f"It has an option for it: write options = {{ {role} = … }}."
    near = did_you_mean(role, {*kind.cloths, *panels})
    if panels:
        return f"{near} It takes another cloth for a panel: {', '.join(panels)}.".strip()
    taken = ", ".join(f"{name} ({what})" for name, what in kind.cloths.items())
    own = f"It takes {taken}." if taken else "It takes no other material than its cloth."
    others = _kinds(lambda other: role in other.cloths)
    return " ".join(filter(None, (near, own, f"Kinds that take a {role}: {others}." if others else "")))


def _refuse_beside_outline(
    statement: PieceStatement, kind: PieceKind, options: BaseModel, where: str
) -> None:
    """Refuse what a traced outline would lose: nothing is drafted there, so nothing else is read."""
    again = "trace it too, as a piece of its own with its own cloth"
    if statement.windows:
        raise DraftError(
            "a traced piece is cut by its outline, and its windows would be lost.",
            where=where,
            advice="Draw them in the tracing, as closed lines inside the outline, and leave windows out.",
        )
    if statement.seams:
        raise DraftError(
            "a traced piece is cut by its outline, and its seams would be lost.",
            where=where,
            advice="Trace each part as an outline of its own, and leave seams out.",
        )
    if statement.backing is not None:
        raise DraftError(
            "a traced piece is cut by its outline, and its backing would be lost.",
            where=where,
            advice=f"Leave backing out and {again}.",
        )
    for role in sorted(statement.cloths):
        raise DraftError(
            f"a traced piece is cut by its outline, and cloths.{role} would be lost.",
            where=where,
            advice=f"Leave cloths out; for a {role}, {again}.",
        )
    for name in _lost(statement, kind, options):
        raise DraftError(
            f"a traced piece is cut by its outline, and the option {name!r} would be lost.",
            where=where,
            advice="Leave it out: draw in the tracing what it should change, and say in decisions how "
            "it closes.",
        )


def _lost(statement: PieceStatement, kind: PieceKind, options: BaseModel) -> list[str]:
    """Options of a traced piece that nothing reads: all but those that tell what of the body it covers."""

    def covered(asked: BaseModel) -> object:
        return None if kind.covers is None else kind.covers(asked, statement.side)

    fields = kind.options.model_fields
    lost = []
    for name in sorted(statement.options):
        usual = fields[name].get_default(call_default_factory=True)
        if fields[name].is_required() or getattr(options, name) == usual:
            continue
        if covered(options) == covered(options.model_copy(update={name: usual})):
            lost.append(name)
    return lost


def _kinds(that: Callable[[PieceKind], object]) -> str:
    """Names of the kinds that do something, one after the other."""
    try:
        kinds = known_kinds().values()
    except DraftError:  # a broken package of somebody else's is not what this error is about
        return ""
    return ", ".join(sorted(kind.name for kind in kinds if that(kind)))
