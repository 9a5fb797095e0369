"""Windows cut as told, worn on an independent finer mesh, have the wanted outline."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from layfigure.draft.flatten.panel import Ease, FlatPanel, Panel, PanelEdge
from layfigure.draft.window import window_mesh
from layfigure.draft.window.membrane import equilibrium
from layfigure.draft.window.membrane_law import NOMINAL
from layfigure.draft.window.rest_windows import rest_windows, window_spreads
from layfigure.draft.window.worn_plane import worn_plane
from layfigure.errors import DraftError

Points = np.ndarray

WIDTH, HEIGHT = 260.0, 420.0


def sheet_panel(turn: float = 0.0) -> FlatPanel:
    """A flat rectangle of cloth, its direction round the body turned from the x axis."""
    x, y = np.meshgrid(np.linspace(0.0, WIDTH, 14), np.linspace(0.0, HEIGHT, 22))
    flat = np.stack([x.ravel(), y.ravel()], axis=1)
    index = np.arange(flat.shape[0]).reshape(x.shape)
    a, b, c, d = (part.ravel() for part in (index[:-1, :-1], index[:-1, 1:], index[1:, 1:], index[1:, :-1]))
    faces = np.concatenate([np.stack([a, b, c], 1), np.stack([a, c, d], 1)])
    loops = {"bottom": index[0], "right": index[:, -1], "top": index[-1, ::-1], "left": index[::-1, 0]}
    around = np.tile([np.cos(turn), np.sin(turn), 0.0], (len(faces), 1))
    panel = Panel(
        slug="front",
        vertices=np.column_stack([flat, np.zeros(len(flat))]),
        faces=faces,
        outline=tuple(PanelEdge(slug=slug, vertices=line) for slug, line in loops.items()),
        around=around,
    )
    return FlatPanel(
        panel=panel,
        vertices=flat,
        curves={slug: flat[line] for slug, line in loops.items()},
        stretch=np.zeros((len(faces), 2)),
        corner_angles=np.full(4, np.pi / 2),
    )


def round_window(centre: Points, radius: float = 31.0) -> Points:
    angle = np.linspace(0.0, 2 * np.pi, 120, endpoint=False)
    return centre + radius * np.stack([np.cos(angle), np.sin(angle)], axis=1)


def lens_window(centre: Points, turn: float = 0.8, half: float = 75.0, bulge: float = 20.0) -> Points:
    x = np.linspace(-1.0, 1.0, 50)
    upper, lower = np.stack([half * x, bulge * (1 - x**2)], 1), np.stack([half * x, -bulge * (1 - x**2)], 1)
    rotation = np.array([[np.cos(turn), np.sin(turn)], [-np.sin(turn), np.cos(turn)]])
    return centre + np.concatenate([lower, upper[::-1][1:-1]]) @ rotation


def worn_edge(flat: FlatPanel, cut: Points, ease: Ease, monkeypatch: pytest.MonkeyPatch) -> Points:
    """The cut window as worn, from a forward solution on a mesh of the flat panel, twice as fine."""
    for name, size in (("FINEST", 0.4), ("FINE", 1.5), ("COARSE", 6.0)):
        monkeypatch.setattr(window_mesh, name, size)
    to_worn = worn_plane(flat, ease)
    hole = window_mesh.sampled_hole(cut)
    outline = np.concatenate([flat.curves[edge.slug][:-1] for edge in flat.panel.outline])
    outline, _ = window_mesh.sampled_outline(outline, 10.0)
    vertices, faces = window_mesh.sheet_with_holes(outline, [hole])
    free = np.arange(len(outline), len(vertices))
    worn = equilibrium(vertices, vertices @ to_worn.T, faces, free, NOMINAL.stiffness(), sought="worn")
    return worn[len(outline) : len(outline) + len(hole)]


def edge_errors(worn: Points, wanted: Points) -> Points:
    return np.asarray(shapely.distance(shapely.LinearRing(wanted), shapely.points(worn)))


@pytest.mark.parametrize("shape", [round_window, lens_window])
@pytest.mark.parametrize("around", [-0.05, -0.10, -0.15])
def test_windows_worn_have_the_wanted_outline(shape, around: float, monkeypatch: pytest.MonkeyPatch) -> None:
    flat, ease = sheet_panel(), Ease(around=around, along=-0.03)
    wanted = shape(worn_plane(flat, ease) @ np.array([WIDTH / 2, HEIGHT / 2]))
    (window,) = rest_windows(flat, [("side", wanted)], ease, backing=False)
    # Rounding of tips is the tool's choice and stated; away from tips the worn outline is the wanted one.
    lost = shapely.Polygon(wanted).difference(shapely.Polygon(window.worn).buffer(0.1))
    assert lost.area < 0.02 * shapely.Polygon(wanted).area
    errors = edge_errors(worn_edge(flat, window.curve, ease, monkeypatch), window.worn)
    assert np.quantile(errors, 0.95) < 0.5
    assert errors.max() < 2.0


def test_a_window_cut_as_carried_would_gape(monkeypatch: pytest.MonkeyPatch) -> None:
    flat, ease = sheet_panel(), Ease(around=-0.10, along=0.0)
    wanted = round_window(worn_plane(flat, ease) @ np.array([WIDTH / 2, HEIGHT / 2]))
    (carried,) = rest_windows(flat, [("side", wanted)], ease, backing=True)
    errors = edge_errors(worn_edge(flat, carried.curve, ease, monkeypatch), wanted)
    assert 2.5 < errors.max() < 6.0


def test_with_backing_a_window_shrinks_by_the_ease_alone() -> None:
    flat, ease = sheet_panel(), Ease(around=-0.20, along=-0.05)
    wanted = round_window(worn_plane(flat, ease) @ np.array([130.0, 200.0]), 30.0)
    (window,) = rest_windows(flat, [("side", wanted)], ease, backing=True)
    assert np.ptp(window.curve, axis=0) == pytest.approx([60.0 * 0.8, 60.0 * 0.95], abs=0.05)
    np.testing.assert_array_equal(window.worn, wanted)


def test_ease_is_undone_along_the_cloths_own_directions() -> None:
    turned = sheet_panel(turn=np.pi / 2)
    ease = Ease(around=-0.20, along=-0.05)
    np.testing.assert_allclose(worn_plane(turned, ease), np.diag([1 / 0.95, 1 / 0.8]), atol=1e-12)


def test_turning_the_grain_turns_the_compensation() -> None:
    # A square panel: what holds for x round the body holds for y when the grain is turned.
    ease = Ease(around=-0.10, along=0.0)
    centre = np.array([WIDTH / 2, HEIGHT / 2])
    straight_grain, turned = sheet_panel(), sheet_panel(np.pi / 2)
    sizes = []
    for flat in (straight_grain, turned):
        wanted = round_window(worn_plane(flat, ease) @ centre, 25.0)
        (window,) = rest_windows(flat, [("side", wanted)], ease, backing=False)
        sizes.append(np.ptp(window.curve, axis=0))
    assert sizes[0][0] < sizes[0][1] - 3.0
    assert sizes[1][1] < sizes[1][0] - 3.0


def test_the_stated_spread_is_of_millimetres_and_grows_with_ease() -> None:
    flat = sheet_panel()
    spreads = []
    for around in (-0.05, -0.15):
        ease = Ease(around=around, along=0.0)
        wanted = round_window(worn_plane(flat, ease) @ np.array([WIDTH / 2, HEIGHT / 2]))
        (spread,) = window_spreads(flat, [("side", wanted)], ease)
        spreads.append(spread)
        assert spread.p95 <= spread.greatest
    assert 0.3 < spreads[0].p95 < spreads[1].p95 < 4.0


@pytest.mark.parametrize(
    ("wanted", "words"),
    [
        (round_window(np.array([145.0, 210.0]), 180.0), "wider than its panel"),
        (round_window(np.array([10.0, 210.0]), 30.0), "leaves its panel"),
        (round_window(np.array([40.0, 210.0]), 30.0), "mm of cloth is left"),
        (lens_window(np.array([145.0, 210.0]))[::-1][[0, 40, 20, 60]], "crosses itself"),
        (lens_window(np.array([145.0, 210.0]), bulge=3.0), "slit"),
    ],
)
def test_windows_that_cannot_be_cut_are_refused_in_words(wanted: Points, words: str) -> None:
    with pytest.raises(DraftError, match=words) as caught:
        rest_windows(sheet_panel(), [("side", wanted)], Ease(around=-0.10, along=0.0), backing=False)
    assert "window side" in str(caught.value)


def test_two_windows_too_near_are_refused() -> None:
    pair = [
        (slug, round_window(np.array([145.0, y]), 30.0)) for slug, y in (("upper", 170.0), ("lower", 240.0))
    ]
    with pytest.raises(DraftError, match="between this window and 'upper'"):
        rest_windows(sheet_panel(), pair, Ease(around=-0.10, along=0.0), backing=False)


def test_more_than_fifteen_percent_without_backing_is_refused() -> None:
    wanted = round_window(np.array([160.0, 210.0]))
    with pytest.raises(DraftError, match="backing"):
        rest_windows(sheet_panel(), [("side", wanted)], Ease(around=-0.16, along=0.0), backing=False)
