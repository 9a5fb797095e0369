from dataclasses import replace

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from layfigure.piece.draw import Heading, draw_piece
from layfigure.piece.lettering import DESCENT, text_width
from layfigure.piece.pen import DrawnText, RecordingPen
from layfigure.piece.piece import Piece, Window
from layfigure.piece.seam_book import SeamBook
from layfigure.piece.toile import TOILE_ALLOWANCE, toile
from sample_pieces import all_samples, frustum_guard, leg_panel, small_tab, windowed_front

SAMPLES = all_samples()
HEADING = Heading(costume="Brindle", wearer="Ada", seams=SeamBook.of(SAMPLES))


def drawn(piece: Piece) -> RecordingPen:
    pen = RecordingPen()
    draw_piece(piece, pen, HEADING)
    return pen


def box_of(text: DrawnText) -> shapely.Polygon:
    flat = shapely.box(0.0, -DESCENT * text.height, text_width(text.words, text.height), text.height)
    turned = shapely.affinity.rotate(flat, text.angle, origin=(0.0, 0.0))
    return shapely.affinity.translate(turned, *text.at)


def assert_words_are_clear(pen: RecordingPen) -> None:
    """No words on a line, none on others."""
    lines = [
        shapely.LinearRing(line.points) if line.closed else shapely.LineString(line.points)
        for line in pen.lines
    ]
    boxes = [box_of(text) for text in pen.texts]
    for index, box in enumerate(boxes):
        for line, shape in zip(pen.lines, lines, strict=True):
            assert not box.intersects(shape), f"{pen.texts[index].words!r} lies on a {line.ink} line"
        for other in boxes[index + 1 :]:
            assert box.intersection(other).area < 1e-6


@pytest.mark.parametrize("piece", SAMPLES, ids=lambda piece: piece.slug)
def test_words_lie_on_nothing(piece: Piece) -> None:
    assert_words_are_clear(drawn(piece))


@given(st.floats(0.12, 2.5), st.floats(0.12, 2.5), st.integers(0, len(SAMPLES) - 1))
@settings(max_examples=40, deadline=None)
def test_words_lie_on_nothing_at_any_size(wide: float, high: float, index: int) -> None:
    piece = SAMPLES[index]
    scale = np.array([wide, high])
    resized = replace(
        piece,
        edges=tuple(
            replace(edge, curve=edge.curve * scale, notches=(), allowance=min(edge.allowance, 6.0))
            for edge in piece.edges
        ),
        windows=tuple(replace(window, curve=window.curve * scale) for window in piece.windows),
        lines=tuple(replace(line, curve=line.curve * scale) for line in piece.lines),
        grainline=replace(
            piece.grainline,
            start=tuple(np.array(piece.grainline.start) * scale),
            end=tuple(np.array(piece.grainline.end) * scale),
        ),
    )
    pen = drawn(resized)
    assert_words_are_clear(pen)
    assert piece.label in [text.words for text in pen.texts]


def test_words_fit_a_piece_that_is_large_enough() -> None:
    piece = leg_panel("leg_front")
    inside = shapely.Polygon(piece.stitch_line)
    pen = drawn(piece)
    assert all(inside.contains(box_of(text)) for text in pen.texts)
    assert not [line for line in pen.lines if line.ink == "leader"]


@pytest.mark.parametrize("radius", [3.0, 6.0, 12.0, 30.0])
def test_a_window_is_named_however_small_it_is_and_whatever_long_name_lies_behind_it(radius: float) -> None:
    guard = frustum_guard()
    middle = shapely.Polygon(guard.stitch_line).representative_point()
    curve = np.asarray(middle.buffer(radius, quad_segs=16).exterior.coords)[:-1]
    window = Window(slug="lamp_1", curve=curve, backing="owl_head_part_1_behind_lamp_1")
    pen = drawn(replace(guard, windows=(window,)))
    assert_words_are_clear(pen)
    (name,) = [text for text in pen.texts if text.words.startswith("lamp 1")]
    # It stands beside its window, not somewhere on the piece.
    assert box_of(name).distance(shapely.Polygon(curve)) < 12.0


def test_a_small_piece_carries_its_words_beside_it_on_a_leader() -> None:
    pen = drawn(small_tab())
    (leader,) = [line for line in pen.lines if line.ink == "leader"]
    inside = shapely.Polygon(small_tab().stitch_line)
    assert inside.contains(shapely.Point(leader.points[-1]))
    label = next(text for text in pen.texts if text.words == "Closing tab")
    assert not inside.intersects(box_of(label))


def test_the_label_says_what_to_cut_and_nothing_of_the_body() -> None:
    words = [text.words for text in drawn(frustum_guard()).texts]
    assert "Forearm guard" in words
    assert "Brindle · edition 1 · Ada" in words
    assert "left · cut 1 of foam 5 · layer 1" in words
    assert "check: elbow edge 32.7 cm" in words  # arc of 36° at radius 520: 326.7 mm
    assert "trust: mock it up in paper first" in words


def test_numbers_of_edges_are_written_only_where_there_is_something_to_tell_apart() -> None:
    tab = small_tab()
    numbered = [replace(edge, slug=f"edge_{k}", seam=None) for k, edge in enumerate(tab.edges, start=1)]
    disk = replace(tab, edges=tuple(numbered))
    assert not [text.words for text in drawn(disk).texts if text.words.startswith("edge")]
    named = replace(tab, edges=(replace(numbered[0], slug="rim", role="opening"), *numbered[1:]))
    assert [text.words for text in drawn(named).texts if text.words.startswith(("edge", "rim"))]


def test_a_seam_carries_the_same_mark_on_both_pieces_and_names_its_mate() -> None:
    front = " ".join(text.words for text in drawn(leg_panel("leg_front")).texts)
    back = " ".join(text.words for text in drawn(leg_panel("leg_back", mirrored=True)).texts)
    assert "B inner side, meets inner side of Leg back" in front
    assert "B inner side, meets inner side of Leg front" in back


def test_notches_that_meet_carry_the_same_short_mark() -> None:
    front, back = leg_panel("leg_front"), leg_panel("leg_back", mirrored=True)
    for piece in (front, back):
        words = [text.words for text in drawn(piece).texts]
        assert sorted(w for w in words if w in {"B1", "B2", "B3", "C1", "C2", "C3"}) == [
            *("B1", "B2", "B3"),
            *("C1", "C2", "C3"),
        ]
    for slug in ("inner_side", "outer_side"):
        ours, theirs = front.edge(slug), back.edge(slug)
        marks = {notch.name: HEADING.seams.notch_mark(ours, notch) for notch in ours.notches}
        assert marks == {notch.name: HEADING.seams.notch_mark(theirs, notch) for notch in theirs.notches}


def test_every_kind_of_line_is_drawn_once() -> None:
    inks = [line.ink for line in drawn(windowed_front()).lines]
    assert inks.count("boundary") == 1
    assert inks.count("cut") == 1
    assert inks.count("stitch") == 3
    assert inks.count("fold") == 1
    assert inks.count("window") == 2


def test_nobody_is_told_to_cut_along_a_fold() -> None:
    piece = windowed_front()
    fold = shapely.LineString(piece.edge("centre_front").curve)
    (cut,) = [line for line in drawn(piece).lines if line.ink == "cut"]
    (boundary,) = [line for line in drawn(piece).lines if line.ink == "boundary"]
    assert not cut.closed
    assert shapely.LineString(cut.points).intersection(fold.buffer(0.1)).length < 0.5
    assert shapely.LinearRing(boundary.points).buffer(0.01).contains(fold)
    # Nothing else is lost: what is not cut is the fold, with the hem's and the neck's allowance.
    missing = shapely.LinearRing(boundary.points).length - shapely.LineString(cut.points).length
    assert missing == pytest.approx(fold.length + 20.0 + 8.0, abs=0.5)


def test_a_toile_is_wider_everywhere_but_on_folds() -> None:
    trial = toile(windowed_front())
    for edge in trial.edges:
        assert edge.allowance == (0.0 if edge.role == "fold" else TOILE_ALLOWANCE)
    assert "Top front (toile)" in [text.words for text in drawn(trial).texts]
    # Windows are drawn where they were, and not cut.
    lines = drawn(trial).lines
    assert not [line for line in lines if line.ink == "window"]
    placed = [line.points for line in lines if line.ink == "placement"]
    windows = [line.points for line in drawn(windowed_front()).lines if line.ink == "window"]
    assert [line.tolist() for line in placed] == [line.tolist() for line in windows]
    assert_words_are_clear(drawn(trial))


def test_the_label_check_can_fail() -> None:
    pen = drawn(frustum_guard())
    pen.text("misplaced", (0.0, -400.0), height=5.0)
    with pytest.raises(AssertionError, match="misplaced"):
        assert_words_are_clear(pen)
