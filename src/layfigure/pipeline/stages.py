"""The stages of the job as plain functions of the earlier ones; the recompute graph runs them.

A stage imports its solvers where it runs: an answer from the cache needs none of them, and loading them all
takes longer than reading it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from functools import lru_cache
from typing import TYPE_CHECKING

from layfigure.body.chart import RegionChart
from layfigure.body.form import Form
from layfigure.body.wearer import Wearer
from layfigure.design.costume import Costume, design_of
from layfigure.design.design import PieceStatement
from layfigure.design.marks import Marks
from layfigure.draft.beneath import Beneath
from layfigure.errors import DraftError
from layfigure.materials.cloth import Cloth
from layfigure.place.placement import Placement

if TYPE_CHECKING:
    from layfigure.body.fit import FitResult
    from layfigure.draft.registry import DraftResult
    from layfigure.study.reading import StudyResult


@lru_cache(maxsize=1)
def neutral_body() -> Form:
    """The template's own body, between woman and man: the skin that placing by anatomy refers to."""
    from layfigure.body.shape import form_of_points
    from layfigure.body.template import load_template

    template = load_template()
    points = template.linear_points(0.5 * (template.presets["woman"] + template.presets["man"]))
    points[:, 2] -= points[: template.vertex_count, 2].min()
    return form_of_points(template, points, "template")


def run_study(marks: Marks | None) -> StudyResult | None:
    """What the marks read as on the character; None when nothing is marked yet: the design is all in words.

    A picture that is barely begun waits, unless a line is traced on it: it says nothing yet.
    """
    from layfigure.study.fit import says_where
    from layfigure.study.reading import study_marks

    begun = [] if marks is None else [one for one in marks.pictures if one.edges or says_where(one)]
    return study_marks(begun, neutral_body()) if begun else None


def run_body(wearer: Wearer) -> FitResult:
    """The wearer's Form, with guesses for what was not taken and warnings in words."""
    from layfigure.body.fit import fit_form
    from layfigure.body.prior import estimate
    from layfigure.body.seated import standing_heights
    from layfigure.body.seated_pose import seated_form
    from layfigure.body.template import load_template

    taken = wearer.standing_measures
    heights = standing_heights(wearer.seated_measures, wearer.sex, known=taken)
    # Lengths follow stature more than anything else, so its guess stands in for the tape.
    known = taken | {name: guess.value for name, guess in heights.items() if name == "stature"}
    guessed = {**estimate(known, wearer.sex), **heights}
    guesses = {name: (guess.value, guess.spread) for name, guess in guessed.items()}
    fit = fit_form(taken, wearer=wearer.name, estimated=guesses, sex=wearer.sex)
    if wearer.posture == "seated":
        return replace(fit, form=seated_form(fit.form, load_template(), fit.state.points))
    return fit


def body_messages(wearer: Wearer, fit: FitResult) -> tuple[str, ...]:
    """What measuring and fitting want to say, most pressing first, without sizes."""
    from layfigure.body.prior import tape_to_take_again

    doubts = [doubt.words for doubt in tape_to_take_again(wearer.standing_measures, wearer.sex)]
    return (*fit.warnings, *doubts, *wearer.warnings)


def run_place(costume: Costume, study: StudyResult | None, fit: FitResult) -> Placement:
    """Every edge on the wearer, from marks and from words."""
    from layfigure.place.place import place_design

    form = fit.form
    design = design_of(
        costume,
        marked={} if study is None else study.edges,
        charts=form.charts,
        level_heights=form.level_heights,
    )
    anatomy = any(edge.meaning == "anatomy" for edge in design.edges.values())
    figure: Mapping[str, RegionChart] | None = None if study is None else study.charts
    return place_design(design, form, figure=figure, skin=neutral_body() if anatomy else None)


def what_placing_reads(costume: Costume) -> tuple[object, ...]:
    """The part of a costume that decides where its edges lie; pieces only by what they cut out."""
    edges = {slug: replace(edge, where="") for slug, edge in costume.edges.items()}
    rows = {slug: replace(row, where="") for slug, row in costume.rows.items()}
    return edges, rows, frozenset(slug for piece in costume.pieces for slug in piece.windows)


def run_draft(
    statement: PieceStatement,
    fit: FitResult,
    own: Placement,
    cloths: Mapping[str, Cloth],
    beneath: Beneath,
    edition: int,
    where: str = "",
) -> DraftResult:
    """One statement's pieces.

    own : the statement's own edges. cloths : that it is cut from. beneath : what it is worn over.
    Raises DraftError naming the statement's own line.
    """
    from layfigure.draft.decided import with_decisions
    from layfigure.draft.on_the_seat import seat_check
    from layfigure.draft.registry import DraftRequest, find_kind
    from layfigure.draft.traced import draft_traced
    from layfigure.piece.seam_allowance import whole_outline
    from layfigure.pipeline.slips import piece_options, refuse_slips

    name = where or f"piece {statement.slug}"
    refuse_slips(statement, name)
    kind = find_kind(statement.kind)
    request = DraftRequest(
        statement=statement,
        options=piece_options(statement, kind, name),
        form=fit.form,
        placement=own,
        cloths=cloths,
        edition=edition,
        stack=beneath.thickness,
        spans=beneath.spans,
        folds=beneath.folds,
    )
    try:
        by_outline = kind.cuts_by_outline(statement, request.options)
        result = draft_traced(request) if by_outline else kind.draft(request)
        for piece in result.pieces:
            # Told here it is this piece's trouble; on paper it would be the whole costume's.
            whole_outline(piece.edges)
    except DraftError as error:
        raise DraftError(error.what, where=error.where or name, advice=error.advice) from error
    # A traced outline is the maker's own: nothing was chosen here.
    result = with_decisions(result, request, None if by_outline else kind.choices)
    result = seat_check(result, fit.form, cloths)
    return result if statement.count == 1 else _repeated(result, statement.count)


def _repeated(result: DraftResult, count: int) -> DraftResult:
    """What it takes to make as many of a piece."""
    return replace(
        result,
        pieces=tuple(replace(piece, count=piece.count * count) for piece in result.pieces),
        items=tuple(replace(item, count=item.count * count) for item in result.items),
    )


def own_placement(statement: PieceStatement, placement: Placement) -> Placement:
    """The edges, windows and seams that a statement names."""
    named = {*statement.edges.values(), *statement.windows, *statement.seams}
    edges = {slug: edge for slug, edge in placement.edges.items() if slug in named}
    return Placement(wearer=placement.wearer, edges=edges)


def own_cloths(statement: PieceStatement, cloths: Mapping[str, Cloth]) -> dict[str, Cloth]:
    """The cloths that a statement is cut from."""
    own = {statement.cloth, statement.backing, *statement.cloths.values()}
    return {slug: cloth for slug, cloth in cloths.items() if slug in own}
