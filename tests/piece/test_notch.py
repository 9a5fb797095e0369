import numpy as np
import pytest
import shapely

from layfigure.geometry.polyline import points_at
from layfigure.piece.notch import INWARD_TICK, STROKE_GAP, notch_marks
from layfigure.piece.seam_allowance import cut_line
from sample_pieces import frustum_guard, leg_panel


def test_strokes_run_square_from_the_stitch_line_to_the_cut_line() -> None:
    piece = leg_panel("leg_front")
    cut = cut_line(piece.edges)
    ring = shapely.LinearRing(cut)
    seen = 0
    for edge in piece.edges:
        stitch = shapely.LineString(edge.curve)
        for mark in notch_marks(edge, cut):
            for foot, tip in mark.strokes:
                assert stitch.distance(shapely.Point(foot)) < 1e-6
                assert ring.distance(shapely.Point(tip)) < 1e-3
                # Square to the seam: as long as the allowance is wide.
                assert np.linalg.norm(tip - foot) == pytest.approx(edge.allowance, rel=2e-3)
                seen += 1
    assert seen == 8


def test_a_double_notch_stands_about_its_place() -> None:
    piece = leg_panel("leg_front")
    edge = piece.edge("inner_side")
    (double, *_) = notch_marks(edge, cut_line(piece.edges))
    assert double.notch.count == 2
    assert double.strokes[:, 0].mean(axis=0) == pytest.approx(
        points_at(edge.curve, [double.notch.distance])[0], abs=0.01
    )
    assert np.linalg.norm(double.strokes[1, 0] - double.strokes[0, 0]) == pytest.approx(STROKE_GAP, rel=1e-3)


def test_without_allowance_the_stroke_goes_into_the_piece() -> None:
    piece = frustum_guard()
    inside = shapely.Polygon(piece.stitch_line)
    for mark in notch_marks(piece.edge("back_edge"), cut_line(piece.edges)):
        for foot, tip in mark.strokes:
            assert inside.contains(shapely.Point(tip))
            assert np.linalg.norm(tip - foot) == pytest.approx(INWARD_TICK)
