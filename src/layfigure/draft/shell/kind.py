"""The kind ``shell``: domes, shoulder caps, cups, helms and horns of sheet, and meshes of the maker's own."""

from __future__ import annotations

from pydantic import BaseModel

from layfigure.design.design import PieceStatement
from layfigure.draft.registry import DraftRequest, DraftResult, PieceKind, register
from layfigure.draft.shell.covering import covered_regions
from layfigure.draft.shell.dome import draft_dome
from layfigure.draft.shell.helm import draft_helm
from layfigure.draft.shell.horn import draft_horn
from layfigure.draft.shell.mesh_shell import draft_mesh
from layfigure.draft.shell.options import ShellOptions
from layfigure.errors import DraftError

_DRAFTS = {"dome": draft_dome, "cup": draft_dome, "helm": draft_helm, "horn": draft_horn, "mesh": draft_mesh}


def draft_shell(request: DraftRequest) -> DraftResult:
    """Pieces of a shell. Raises DraftError for a shape that cannot be made as asked."""
    options, statement = request.options, request.statement
    assert isinstance(options, ShellOptions)
    where = f"piece {statement.slug}"
    cloth = request.cloths.get(statement.cloth)
    if cloth is None:
        raise DraftError(
            f"there is no material {statement.cloth!r}.", where=where, advice="Add it to materials.toml."
        )
    label = statement.label or statement.slug.replace("_", " ")
    try:
        return _DRAFTS[options.shape](request, options, cloth, label)
    except DraftError as error:
        raise DraftError(error.what, where=error.where or where, advice=error.advice) from error


def _unused(statement: PieceStatement, options: BaseModel) -> dict[str, str]:
    assert isinstance(options, ShellOptions)
    unused = {}
    if statement.trace is not None and statement.trace.mesh is not None and options.shape != "mesh":
        unused["trace"] = f"a {options.shape} has a shape of its own, and the traced mesh would be lost."
    return unused


KIND = register(
    PieceKind(
        name="shell",
        summary="a dome, shoulder cap, breastplate cup, helm or horn of sheet, or a mesh of your own",
        options=ShellOptions,
        draft=draft_shell,
        covers=covered_regions,
        reads_mesh=True,
        windows=True,
        backing=True,
        unused=_unused,
        edges={
            "rim": "rim of a dome or cup: a closed line on one side of a limb or the trunk",
            "line": "horn: line on the body that its middle follows, or where a horn through places stands",
        },
    )
)
