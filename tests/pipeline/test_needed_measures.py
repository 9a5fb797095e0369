"""Which measures decide which piece, asked of the demonstration."""

from pathlib import Path

import pytest

from layfigure.body.measures import all_stored_names
from layfigure.pipeline.folder import open_costume
from layfigure.pipeline.needed_measures import NeededMeasures, needed_measures
from layfigure.pipeline.stages import run_study

DEMONSTRATION = Path(__file__).parents[2] / "examples" / "brindle"


@pytest.fixture(scope="module")
def needed() -> NeededMeasures:
    costume = open_costume(DEMONSTRATION)
    return needed_measures(costume.costume, run_study(costume.marks))


def test_a_piece_asks_for_what_lies_under_it(needed: NeededMeasures) -> None:
    assert set(needed.by_piece["thigh_band"]) >= {"mid_thigh_girth_right", "knee_height_right"}
    assert not any(name.endswith("_left") for name in needed.by_piece["thigh_band"])
    assert set(needed.by_piece["helm"]) == {"head_girth", "head_length", "head_breadth"}
    # A hem at the ankle still covers the calf.
    assert "calf_girth_left" in needed.by_piece["leggings"]


def test_names_are_those_of_the_catalogue_with_the_stature_first(needed: NeededMeasures) -> None:
    assert needed.names[0] == "stature"
    assert set(needed.names) <= set(all_stored_names())
    assert not any(name.startswith("foot") for name in needed.names)


def test_pieces_are_found_by_a_measure(needed: NeededMeasures) -> None:
    assert "shin_plate_left" in needed.pieces_for(("calf_girth_left",))
    assert needed.pieces_for(("foot_girth_left",)) == ()


def test_a_costume_that_cannot_be_placed_yet_goes_by_what_its_kinds_cover() -> None:
    costume = open_costume(DEMONSTRATION).costume
    needed = needed_measures(costume, None)  # nothing is marked
    assert "bust_girth" in needed.by_piece["bodysuit"]
    assert needed.by_piece["thigh_band"] == ()
