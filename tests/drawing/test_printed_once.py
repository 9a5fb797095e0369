"""What is cut twice to the same shape is printed once, and nothing to cut is forgotten."""

from dataclasses import replace

import numpy as np
import pytest

from layfigure.drawing.paper.pattern_pdf import laid_out, pattern_pdf
from layfigure.drawing.paper.printed_once import SAME, copy_of, printed_once
from layfigure.drawing.paper.sizes import PAPERS
from layfigure.piece.draw import Heading
from layfigure.piece.piece import Piece
from layfigure.piece.seam_book import SeamBook
from printed_pages import page_words
from sample_pieces import frustum_guard, leg_panel

PANEL = leg_panel("leg_left")
LEFT = replace(
    PANEL,
    side="left",
    label="Leg",
    note=("Sew the left leg.",),
    grainline=replace(PANEL.grainline, kind="grain"),
)


def turned_over(piece: Piece, slug: str) -> Piece:
    """The piece for the other side: every line seen in a mirror, run counter-clockwise again."""
    flip = np.array([-1.0, 1.0])
    edges = [
        replace(
            edge,
            curve=(edge.curve * flip)[::-1],
            against=not edge.against,
            seam=f"{edge.seam}_other" if edge.seam else None,
            notches=tuple(
                replace(notch, distance=edge.length - notch.distance) for notch in reversed(edge.notches)
            ),
        )
        for edge in reversed(piece.edges)
    ]
    ends = [(-x, y) for x, y in (piece.grainline.start, piece.grainline.end)]
    return replace(
        piece,
        slug=slug,
        side="right",
        edges=tuple(edges),
        lines=tuple(replace(line, curve=line.curve * flip) for line in piece.lines),
        windows=tuple(replace(window, curve=(window.curve * flip)[::-1]) for window in piece.windows),
        grainline=replace(piece.grainline, start=ends[0], end=ends[1]),
        note=("Sew the right leg.",),
    )


RIGHT = turned_over(LEFT, "leg_right")
LINING = replace(LEFT, slug="leg_lining", label="Leg, lining", cloth="lining", count=3)
BOTH = SeamBook.of([LEFT, RIGHT, LINING])


def test_a_mirror_image_is_cut_from_the_same_paper_turned_over() -> None:
    found = copy_of(LEFT, RIGHT, BOTH)
    assert found is not None
    assert found.turned
    here = {BOTH.mark(edge) for edge in LEFT.edges if edge.seam}
    there = {BOTH.mark(edge) for edge in RIGHT.edges if edge.seam}
    assert {one for one, _ in found.marks} == here
    assert {other for _, other in found.marks} == there


def test_another_cloth_of_the_same_shape_is_cut_from_it_as_it_stands() -> None:
    found = copy_of(LEFT, LINING, BOTH)
    assert found is not None
    assert not found.turned
    assert found.marks == ()


def wider(piece: Piece, by: float) -> Piece:
    low, high = piece.stitch_line[:, 0].min(), piece.stitch_line[:, 0].max()
    stretch = np.array([1.0 + by / (high - low), 1.0])
    return replace(piece, edges=tuple(replace(edge, curve=edge.curve * stretch) for edge in piece.edges))


@pytest.mark.parametrize(
    "other",
    [
        wider(RIGHT, 3.0 * SAME),
        replace(RIGHT, thickness=2.0),
        replace(RIGHT, lines=RIGHT.lines[:-1]),
        replace(RIGHT, edges=(replace(RIGHT.edges[0], allowance=21.0), *RIGHT.edges[1:])),
        replace(RIGHT, grainline=replace(RIGHT.grainline, kind="stretch")),
        replace(
            RIGHT, grainline=replace(RIGHT.grainline, start=RIGHT.grainline.end, end=RIGHT.grainline.start)
        ),
        replace(
            RIGHT,
            edges=tuple(
                replace(
                    edge, notches=tuple(replace(n, distance=n.distance + 2.0 * SAME) for n in edge.notches)
                )
                for edge in RIGHT.edges
            ),
        ),
    ],
    ids=["wider", "thicker", "a line fewer", "allowance", "stretch", "arrow turned", "notches moved"],
)
def test_whatever_would_be_drawn_otherwise_is_printed_itself(other: Piece) -> None:
    assert copy_of(LEFT, RIGHT, BOTH) is not None
    assert RIGHT.lines
    assert any(edge.notches for edge in RIGHT.edges)
    assert copy_of(LEFT, other, SeamBook.of([LEFT, other])) is None


def test_the_plan_names_every_piece_with_its_count_and_the_print_says_what_else() -> None:
    pieces = [LEFT, RIGHT, LINING, frustum_guard()]
    heading = Heading(costume="Brindle", seams=SeamBook.of(pieces), cloths={"lining": "satin"})
    printed, copies = printed_once(pieces, heading.seams)
    assert [piece.slug for piece in printed] == ["leg_left", frustum_guard().slug]
    assert [copy.piece.slug for copy in copies] == ["leg_right", "leg_lining"]
    plan = " ".join(page_words(pattern_pdf(pieces, PAPERS["a4"], heading), 1))
    for words in (
        "1b Leg, right",
        "cut from 1, turned over",
        "1c Leg, lining, left 3 of satin, layer 0 cut the good material cut from 1",
        "Sew the right leg.",
    ):
        assert words in plan, words
    assert plan.index("1b Leg, right") < plan.index("2 Forearm guard")
    tiling = laid_out(pieces, PAPERS["a4"], heading)
    said = {text.words for text in tiling.sheet.placed[0][0].texts}
    assert f"also, turned over: Leg, right, cut {RIGHT.count} of {RIGHT.cloth.replace('_', ' ')}" in said
    assert "also: Leg, lining, left, cut 3 of satin" in said


def test_a_projected_page_shows_every_piece() -> None:
    heading = Heading(costume="Brindle", seams=BOTH)
    assert len(laid_out([LEFT, RIGHT, LINING], PAPERS["projector"], heading).sheet.placed) == 3
    assert len(laid_out([LEFT, RIGHT, LINING], PAPERS["a4"], heading).sheet.placed) == 1
