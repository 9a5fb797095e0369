from dataclasses import replace

import numpy as np
import pytest
import shapely

from layfigure.geometry.polyline import points_at
from layfigure.piece.notch import INWARD_TICK, LONGEST, STROKE_GAP, notch_marks
from layfigure.piece.seam_allowance import cut_line
from sample_pieces import frustum_guard, leg_panel


def test_strokes_run_square_from_the_cut_line_toward_the_stitch_line() -> None:
    piece = leg_panel("leg_front")
    cut = cut_line(piece.edges)
    ring = shapely.LinearRing(cut)
    seen = 0
    for edge in piece.edges:
        stitch = shapely.LineString(edge.curve)
        for mark in notch_marks(edge, cut):
            for (start, tip), short in zip(mark.strokes, mark.short, strict=True):
                assert ring.distance(shapely.Point(tip)) < 1e-3
                # An allowance of 10 mm: the stroke is 8 mm, square to the seam, and stops short of it.
                assert np.linalg.norm(tip - start) == pytest.approx(LONGEST)
                assert short == pytest.approx(edge.allowance - LONGEST, abs=0.02)
                foot = start - short * (tip - start) / LONGEST
                assert stitch.distance(shapely.Point(foot)) < 1e-6
                seen += 1
    assert seen == 8


@pytest.mark.parametrize(("allowance", "long"), [(5.0, 5.0), (8.0, 8.0), (50.0, LONGEST)])
def test_a_stroke_never_reaches_past_the_stitch_line(allowance: float, long: float) -> None:
    piece = leg_panel("leg_front")
    edges = tuple(replace(edge, allowance=allowance) for edge in piece.edges)
    cut = cut_line(edges)
    for edge in edges:
        for mark in notch_marks(edge, cut):
            lengths = np.linalg.norm(mark.strokes[:, 1] - mark.strokes[:, 0], axis=1)
            assert lengths == pytest.approx(long, rel=5e-3)
            assert lengths + mark.short == pytest.approx(allowance, rel=5e-3)


def test_a_double_notch_stands_about_its_place() -> None:
    piece = leg_panel("leg_front")
    edge = piece.edge("inner_side")
    (double, *_) = notch_marks(edge, cut_line(piece.edges))
    assert double.notch.count == 2
    outward = (double.strokes[:, 1] - double.strokes[:, 0]) / LONGEST
    feet = double.strokes[:, 0] - double.short[:, None] * outward
    assert feet.mean(axis=0) == pytest.approx(points_at(edge.curve, [double.notch.distance])[0], abs=0.01)
    assert np.linalg.norm(feet[1] - feet[0]) == pytest.approx(STROKE_GAP, rel=1e-3)


def test_without_allowance_the_stroke_goes_into_the_piece() -> None:
    piece = frustum_guard()
    inside = shapely.Polygon(piece.stitch_line)
    for mark in notch_marks(piece.edge("back_edge"), cut_line(piece.edges)):
        for foot, tip in mark.strokes:
            assert inside.contains(shapely.Point(tip))
            assert np.linalg.norm(tip - foot) == pytest.approx(INWARD_TICK)
