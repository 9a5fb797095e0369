"""A mesh of the maker's own laid flat: put on the wearer, cut where it pays, seams made equal."""

from __future__ import annotations

from dataclasses import replace

from layfigure.draft.registry import Check, DraftRequest, DraftResult
from layfigure.draft.sheet_practice import cautions_for, sheet_practice
from layfigure.draft.shell.cut_shell import MOST_PIECES, CutShell, cut_shell
from layfigure.draft.shell.flattening import STRETCH_MOST, STRETCH_P95
from layfigure.draft.shell.gore_pieces import PieceWords
from layfigure.draft.shell.mesh_pieces import mesh_pieces, parts_of
from layfigure.draft.shell.mesh_place import head_need
from layfigure.draft.shell.mesh_worn import WornMesh, weighed, worn_mesh
from layfigure.draft.shell.note import joining_words, mass_words
from layfigure.draft.shell.options import ShellOptions
from layfigure.draft.shell.own_mesh import own_mesh
from layfigure.draft.shell.shell_checks import join_check, mass_of, outline_check, stretch_checks
from layfigure.draft.shell.shell_windows import mesh_sheets
from layfigure.draft.verdict import wrap_verdict
from layfigure.draft.window.cut_out import with_windows
from layfigure.errors import DraftError
from layfigure.geometry.mesh_offset import offset_mesh
from layfigure.materials.cloth import Cloth
from layfigure.piece.piece import Verdict
from layfigure.piece.worn import WornSurface


def draft_mesh(request: DraftRequest, options: ShellOptions, cloth: Cloth, label: str) -> DraftResult:
    """Pieces of a mesh.

    Raises DraftError where there is none, where it cannot be mended or worn, or where no sheet would take
    what its pieces ask.
    """
    own = own_mesh(request, options)
    worn = worn_mesh(request, options, cloth, own)
    shell = _cut(options, cloth, worn, own.file)
    mass = mass_of(shell.cut_mesh.mesh, cloth)
    worn = weighed(worn, mass)
    cautions = (*cautions_for(cloth), *worn.cautions)
    blank = PieceWords(verdict=Verdict(level="paper"), note=(), cautions=cautions)
    drawn = mesh_pieces(request, cloth, blank, shell, label, worn.marks)
    checks = (
        *stretch_checks(shell.p95, shell.most, "Allow more pieces."),
        join_check(drawn),
        outline_check(drawn),
        turned_check(shell),
        *worn.checks,
    )
    verdict = wrap_verdict(checks, form=request.form, cloth=cloth, measures=worn.measures, spread=0.0)
    told = (*own.told, *worn.told)
    note = (
        f"Cut {len(drawn)} pieces from {cloth.name}; the drawing is the outside.",
        f"Edges with the same letter meet: {joining_words(cloth)}.",
        "Close the darts of each piece first, then join the pieces, small to large.",
        *told,
        *(f"{item.name}: {item.use}" for item in worn.items),
        mass_words(mass),
        *(check.advice for check in checks if check.advice),
        "Make it in card first, at half its size."
        if options.on is None
        else "Try it in card over the hair or wig worn with it: nod, look up, turn, and take it off again.",
    )
    shown = () if options.on is None else (_shown(request, shell, cloth),)
    if request.statement.windows and options.on is None:
        raise DraftError(
            "it is not worn, so nothing says where its windows lie.",
            advice="Say on = 'head', 'over_head' or 'face', or cut them in the mesh itself.",
        )
    cut = with_windows(
        request,
        [replace(piece, verdict=verdict, note=note) for piece in drawn],
        lambda: mesh_sheets(
            parts_of(shell, request.statement.slug),
            drawn,
            head_need(request.form, options, request.stack).middle,
        ),
    )
    return DraftResult(
        pieces=cut.pieces,
        checks=(*(replace(check, what=f"{label}: {check.what}") for check in checks), *cut.checks),
        items=worn.items,
        worn=shown,
        notes=tuple(f"{label}: {line}" for line in told),
    )


def _cut(options: ShellOptions, cloth: Cloth, worn: WornMesh, file: str) -> CutShell:
    """The mesh cut at its neutral surface. Raises DraftError where sheets cannot follow it."""
    inward = (1.0 - sheet_practice(cloth).neutral_share) * cloth.thickness
    neutral = offset_mesh(worn.mesh, -inward)
    shell = cut_shell(neutral, most_pieces=options.most_pieces, held=worn.held)
    if shell.fits:
        return shell
    # As many as it takes: what this finds is what allowing so many gives, here and the next time.
    whole = cut_shell(neutral, most_pieces=MOST_PIECES, held=worn.held)
    if whole.fits and len(whole.charts) <= options.most_pieces:
        return whole
    coarser = max(40.0, 2.0 * options.detail)
    raise DraftError(
        f"cut into {len(shell.charts)} pieces, {file} asks the sheet to stretch by {shell.most:.1%} at its "
        f"worst and {shell.p95:.1%} but for a twentieth of its area; it takes {STRETCH_MOST:.0%} and "
        f"{STRETCH_P95:.0%}.",
        advice=f"Say most_pieces = {len(whole.charts)}: so many will do."
        if whole.fits
        else f"Even {MOST_PIECES} pieces would not do. Take eyelets, teeth, thin bars and handles off it "
        f"and make them by themselves, or say detail = '{coarser:.0f} mm' to smooth small things away.",
    )


def turned_check(shell: CutShell) -> Check:
    """Whether every face lies the right way up."""
    return Check.at_most(
        what="how many of its triangles would lie upside down",
        value=float(sum(laid.turned for laid in shell.charts)),
        limit=0.0,
        advice="Allow more pieces.",
    )


def _shown(request: DraftRequest, shell: CutShell, cloth: Cloth) -> WornSurface:
    return WornSurface(name=request.statement.slug, mesh=shell.cut_mesh.mesh, cloth=cloth.slug)
