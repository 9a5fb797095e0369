"""Panels on surfaces whose flat shape is known, and panels sewn to each other."""

from __future__ import annotations

import numpy as np
import pytest
from analytic_panels import Points, Side, meshed_panel, rectangle, sleeve, straight, tube

from layfigure.draft.flatten.checks import check_flat_panels, mate_difference
from layfigure.draft.flatten.panel import Ease, FlatPanel
from layfigure.draft.flatten.truing import flatten_panels
from layfigure.draft.flatten.worn_stretch import greatest_stretch_p95
from layfigure.errors import DraftError
from layfigure.geometry.polyline import arc_lengths

NO_EASE = Ease(around=0.0, along=0.0)


def names(k: int, count: int) -> dict[str, str]:
    return {"left": f"seam_{k}", "right": f"seam_{(k + 1) % count}"}


def whole_stretch(flat: FlatPanel) -> float:
    return float(np.max(np.abs(flat.stretch)))


def test_a_cylinder_unrolls_to_a_rectangle() -> None:
    girth, height = 400.0, 500.0
    surface = tube(lambda turn, v: np.full_like(turn, girth / (2 * np.pi)), girth)
    panel = meshed_panel("wrap", surface, rectangle((0.0, girth), (0.0, height), left="back", right="back"))
    flat = flatten_panels([panel], NO_EASE)["wrap"]
    assert whole_stretch(flat) < 1e-3
    assert np.degrees(flat.corner_angles) == pytest.approx([90.0] * 4, abs=0.1)
    diagonal = np.linalg.norm(flat.curves["bottom"][0] - flat.curves["top"][0])
    assert diagonal == pytest.approx(np.hypot(girth, height), rel=2e-4)


def test_ease_shrinks_a_cylinder_round_and_along_by_its_own_share() -> None:
    girth, height = 400.0, 500.0
    surface = tube(lambda turn, v: np.full_like(turn, girth / (2 * np.pi)), girth)
    panel = meshed_panel("wrap", surface, rectangle((0.0, girth), (0.0, height), left="back", right="back"))
    flat = flatten_panels([panel], Ease(around=-0.12, along=-0.03))["wrap"]
    assert whole_stretch(flat) < 1e-3
    assert arc_lengths(flat.curves["bottom"])[-1] == pytest.approx(0.88 * girth, rel=3e-4)
    assert arc_lengths(flat.curves["left"])[-1] == pytest.approx(0.97 * height, rel=3e-4)


def test_a_cone_unrolls_to_a_sector() -> None:
    # A cone of slant s and base radius r unrolls to a sector of angle 2 pi r / s (elementary geometry).
    radius, height, top = 150.0, 400.0, 0.25
    slant = float(np.hypot(radius, height))

    def cone(parameters: Points) -> Points:
        turn, share = parameters[:, 0] / radius, 1.0 - parameters[:, 1] / slant
        return np.stack(
            [radius * share * np.cos(turn), radius * share * np.sin(turn), height * (1 - share)], axis=1
        )

    span = radius * 4.0  # four radians of the base
    sides = rectangle((0.0, span), (0.0, (1 - top) * slant), left=None, right=None)
    flat = flatten_panels([meshed_panel("horn", cone, sides)], NO_EASE)["horn"]
    assert whole_stretch(flat) < 4e-3
    sector = 4.0 * radius / slant
    bottom, high = flat.curves["bottom"], flat.curves["top"]
    assert np.linalg.norm(bottom[-1] - bottom[0]) == pytest.approx(2 * slant * np.sin(sector / 2), rel=2e-3)
    assert arc_lengths(bottom)[-1] == pytest.approx(slant * sector, rel=1e-3)
    assert arc_lengths(high)[-1] == pytest.approx(top * slant * sector, rel=3e-3)


def deformed_leg(turn: Points, v: Points) -> Points:
    radius = 70.0 + 22.0 * np.cos(2 * np.pi * v / 700.0) + 8.0 * np.cos(2 * turn) * np.sin(v / 120.0)
    return np.asarray(radius + 10.0 * np.cos(turn - 1.0) * v / 600.0)


@pytest.mark.parametrize("count", [2, 4])
def test_panels_round_a_leg_have_equal_mates_and_smooth_hems(count: int) -> None:
    girth, height = 440.0, 600.0
    cuts = np.linspace(0.0, girth, count + 1)
    surface = tube(deformed_leg, girth)
    panels = [
        meshed_panel(
            f"panel_{k}",
            surface,
            rectangle(
                (cuts[k], cuts[k + 1]), (0.0, height), left=f"seam_{k}", right=f"seam_{(k + 1) % count}"
            ),
        )
        for k in range(count)
    ]
    ease = Ease(around=-0.1, along=0.0)
    flats = flatten_panels(panels, ease)
    assert all(check.passed for check in check_flat_panels(flats, ease))
    for k in range(count):
        here, following = flats[f"panel_{k}"], flats[f"panel_{(k + 1) % count}"]
        # Edges run bottom, right, top, left: corners 1 and 2 end the right seam, 0 and 3 the left.
        low = here.corner_angles[1] + following.corner_angles[0]
        high = here.corner_angles[2] + following.corner_angles[3]
        assert np.degrees([low, high]) == pytest.approx([180.0, 180.0], abs=0.1)
        assert whole_stretch(here) < 0.3


def test_gores_of_a_hemisphere_meet_at_the_crown_in_a_full_turn() -> None:
    radius, count = 100.0, 6

    def sphere(parameters: Points) -> Points:
        # u is length round at the base, so gores narrow toward the crown only in the surface.
        climb = parameters[:, 1] / radius
        half = np.pi * radius / count * np.cos(climb)
        turn = parameters[:, 0] / np.maximum(half, 1e-9) * np.pi / count
        return radius * np.stack(
            [np.cos(climb) * np.cos(turn), np.cos(climb) * np.sin(turn), np.sin(climb)], axis=1
        )

    climb = np.linspace(0.0, np.pi / 2, 60)
    half = np.pi * radius / count * np.cos(climb)
    half[-1] = 0.0
    right = np.stack([half, radius * climb], axis=1)
    left = np.stack([-half, radius * climb], axis=1)[::-1]
    panels = [
        meshed_panel(
            f"gore_{k}",
            sphere,
            [
                Side("base", straight((-half[0], 0.0), (half[0], 0.0))),
                Side("right", right, seam=f"seam_{k}"),
                Side("left", left, seam=f"seam_{(k - 1) % count}", against=True),
            ],
            size=6.0,
        )
        for k in range(count)
    ]
    flats = flatten_panels(panels, NO_EASE)
    crown = sum(flat.corner_angles[2] for flat in flats.values())
    assert np.degrees(crown) == pytest.approx(360.0, abs=0.1)
    assert all(check.passed for check in check_flat_panels(flats, NO_EASE))
    # Exact gores are impossible: the number is ours, kept from growing.
    assert greatest_stretch_p95(flats["gore_0"]) < 0.04


def test_a_sleeve_whose_seam_meets_itself() -> None:
    ease = Ease(around=-0.1, along=0.0)
    flats = flatten_panels([sleeve()], ease)
    assert all(check.passed for check in check_flat_panels(flats, ease, stretch_limit=0.10))
    flat = flats["sleeve"]
    assert mate_difference(flat.curves["back_seam"], flat.curves["front_seam"], opposed=True) < 0.05
    # Armhole and hem run on smoothly across the seam: corners 0 and 1, and corners 2 and 3, make half a turn.
    armhole, hem = flat.corner_angles[[0, 1]].sum(), flat.corner_angles[[2, 3]].sum()
    assert np.degrees([armhole, hem]) == pytest.approx([180.0, 180.0], abs=0.1)


def test_a_fold_is_straight_and_meets_its_openings_square() -> None:
    surface = tube(deformed_leg, 440.0)
    sides = rectangle((0.0, 180.0), (0.0, 500.0), left=None, right="side", fold=True)
    panel = meshed_panel("front", surface, sides)
    flat = flatten_panels([panel], Ease(around=-0.1, along=0.0))["front"]
    fold = flat.curves["left"]
    direction = (fold[-1] - fold[0]) / np.linalg.norm(fold[-1] - fold[0])
    off = (fold - fold[0]) @ np.array([-direction[1], direction[0]])
    assert np.abs(off).max() < 1e-6
    assert np.degrees(flat.corner_angles[[0, 3]]) == pytest.approx([90.0, 90.0], abs=0.1)


def test_a_seam_to_the_panels_own_mirror_image_meets_openings_square() -> None:
    surface = tube(deformed_leg, 440.0)
    half = meshed_panel(
        "half", surface, rectangle((0.0, 220.0), (0.0, 500.0), left="centre_front", right="centre_back")
    )
    flat = flatten_panels([half], Ease(around=-0.1, along=0.0))["half"]
    assert np.degrees(flat.corner_angles) == pytest.approx([90.0] * 4, abs=0.1)


def test_a_panel_that_no_cloth_could_cover_is_refused_with_the_place_to_move_a_seam_to() -> None:
    def ball(parameters: Points) -> Points:
        turn, climb = parameters[:, 0] / 100.0, parameters[:, 1] / 100.0
        across = np.cos(climb)
        return 100.0 * np.stack([across * np.cos(turn), across * np.sin(turn), np.sin(climb)], axis=1)

    panel = meshed_panel("cap", ball, rectangle((-280.0, 280.0), (-140.0, 140.0), left="back", right="back"))
    with pytest.raises(DraftError, match=r"cap: .*edge") as caught:
        flatten_panels([panel], NO_EASE)
    assert "seam" in str(caught.value)


def test_a_panel_that_winds_over_itself_is_refused() -> None:
    # A wide flat ring cut open and running on past a full turn: it has no stretch, but two layers.
    def ring(parameters: Points) -> Points:
        turn, radius = parameters[:, 0] / 110.0, 110.0 + parameters[:, 1]
        return np.stack([-radius * np.cos(turn), radius * np.sin(turn), 0.5 * turn], axis=1)

    sides = rectangle((0.0, 110.0 * 2.3 * np.pi), (-30.0, 30.0), left=None, right=None)
    with pytest.raises(DraftError, match="covers part of itself"):
        flatten_panels([meshed_panel("collar", ring, sides)], NO_EASE)
