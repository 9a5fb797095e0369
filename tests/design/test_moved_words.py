"""Words that follow an edge moved on a body: read again, they lie where it was moved to.

No outside source: the words are read back by the same reader that files go through, and the distances are
measured on the body's own charts.
"""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from layfigure.design.moved_words import both_ways, grips, moved, nearest_words
from layfigure.design.relative_words import RelativeEdge, parse_placement
from layfigure.design.words import WordEdge
from layfigure.design.words_on_body import ruler_of
from layfigure.errors import PlacementError
from layfigure.pipeline.stages import neutral_body

BODY = neutral_body()
EDGES = {"shin_top": "shin_top_left", "belt": "belt"}


def ruler(chain="leg", side="left"):
    return ruler_of(chain, side, BODY.charts, BODY.level_heights)


def read(words, side="left") -> WordEdge | RelativeEdge:
    return parse_placement(words, edges=EDGES, side=side)


@pytest.mark.parametrize(
    ("words", "grip", "by", "after"),
    [
        ("12 cm above the knee", "line", 20.0, "10 cm above the knee"),
        ("12 cm above the Knee, pointing up 4 cm at the outside", "line", 20.0,
         "10 cm above the knee, pointing up 4 cm at the outside"),
        ("at the knee", "line", -31.0, "3.1 cm above the knee"),
        ("3 cm below the knee", "line", -30.2, "at the knee"),
        ("at the knee, pointing up 4 cm at the outside", "lift 0", -10.0,
         "at the knee, pointing up 5 cm at the outside"),
        ("at the knee, pointing up 4 cm at the outside", "lift 0", 60.0,
         "at the knee, pointing down 2 cm at the outside"),
        ("at the knee, 3 cm higher at the back", "lift 0", 30.1, "at the knee"),
        ("at the knee", "slant back", -12.0, "at the knee, 1.2 cm higher at the back"),
        ("at the knee", "slant inside", 0.2, "at the knee"),
        ("at the knee, from 20 % to 60 % round", "last", 0.05, "at the knee, from 20 % to 65 % round"),
        ("at the knee, from front to back", "first", -0.1, "at the knee, from 90 % to 50 % round"),
        ("2 cm below shin_top", "line", 15.0, "3.5 cm below shin_top"),
        ("2 cm below shin_top", "line", -20.0, "along shin_top"),
        ("2 cm below shin_top", "line", -30.0, "1 cm above shin_top"),
        ("along belt, 3 cm below", "line", 5.0, "along belt, 3.5 cm below"),
        ("level with the bottom of belt", "line", -20.0, "2 cm above the bottom of belt"),
        ("Along the outside from hip to ankle", "line", 0.05, "Along 30 % round from hip to ankle"),
        ("along 30 % round from hip to ankle", "line", -0.05, "along the outside from hip to ankle"),
        ("along the outside from hip to ankle", "top", 10.0,
         "along the outside from 1 cm below the hip to ankle"),
        ("along the outside from hip to ankle", "bottom", -45.0,
         "along the outside from hip to 4.5 cm above the ankle"),
        # From the level it was said from, though the crotch is nearer.
        ("along 30 % round from 4 cm below the hip to ankle", "top", 12.0,
         "along 30 % round from 5.2 cm below the hip to ankle"),
        ("up the outside from ankle to hip", "bottom", -45.0,
         "up the outside from 4.5 cm above the ankle to hip"),
        ("down the back side from 2 cm below the knee to ankle", "top", -20.0,
         "down the back from knee to ankle"),
    ],
)  # fmt: skip
def test_only_the_number_that_was_moved_changes(words, grip, by, after):
    assert moved(read(words), grip, by, ruler(), unit="cm") == after


def test_a_line_between_two_edges_keeps_its_share():
    assert moved(read("halfway from shin_top to ankle"), "line", 20.0, ruler(), unit="cm", reach=200.0) == (
        "60 % from shin_top to ankle"
    )
    assert moved(read("20 % from knee to shin_top"), "line", 5.0, ruler(), unit="cm", reach=-50.0) == (
        "30 % from knee to shin_top"
    )
    with pytest.raises(PlacementError, match="leave what it lies between"):
        moved(read("halfway from shin_top to ankle"), "line", 200.0, ruler(), unit="cm", reach=200.0)


def test_an_inch_maker_reads_inches():
    assert moved(read("at the knee"), "line", -25.4 * 1.5, ruler(), unit="in") == "1 1/2 in above the knee"


@given(share=st.floats(0.0, 1.0), by=st.floats(-150.0, 150.0))
@settings(max_examples=60, deadline=None)
def test_words_read_again_lie_where_the_line_was_moved_to(share, by):
    """Within what is written: a tenth of a percent of the way, or a millimetre."""
    edge = read(f"{share:.1%} from crotch to knee".replace("%", " %"))
    down = ruler()
    wanted = down.position(edge.top) + by
    # Above the crotch there are no sides, and the reader says so.
    assume(wanted > down.down[down.names.index("crotch")] + 2.0)
    again = read(moved(edge, "line", by, down, unit="cm"))
    assert abs(down.position(again.top) - wanted) <= 0.51
    for words in both_ways(again, down, unit="cm").values():
        assert abs(down.position(read(words).top) - wanted) <= 1.02


def test_a_line_moved_past_a_level_is_said_from_the_next():
    down = ruler()
    far = float(down.down[down.names.index("crotch")] - down.down[down.names.index("knee")])
    assert moved(read("at the knee"), "line", far - 20.0, down, unit="cm") == "2 cm above the crotch"


def test_words_do_not_follow_off_the_limb():
    with pytest.raises(PlacementError, match="beyond the ankle"):
        moved(read("at the ankle"), "line", 40.0, ruler(), unit="cm")


def test_the_ends_of_a_line_along_a_limb_stay_on_it_and_apart():
    edge = read("along the outside from knee to ankle")
    with pytest.raises(PlacementError, match="beyond the ankle"):
        moved(edge, "bottom", 40.0, ruler(), unit="cm")
    far = ruler().position(edge.bottom) - ruler().position(edge.top)
    with pytest.raises(PlacementError, match="two ends would meet"):
        moved(edge, "top", far - 5.0, ruler(), unit="cm")


@given(top=st.floats(0.0, 150.0), bottom=st.floats(-150.0, 0.0), round_it=st.floats(-0.5, 0.5))
@settings(max_examples=40, deadline=None)
def test_a_line_along_a_limb_read_again_lies_where_it_was_moved_to(top, bottom, round_it):
    down, edge = ruler(), read("along the outside from knee to ankle")
    ends = down.position(edge.top) + top, down.position(edge.bottom) + bottom
    again = edge
    for grip, by in (("top", top), ("bottom", bottom), ("line", round_it)):
        again = read(moved(again, grip, by, down, unit="cm"))
    assert (down.position(again.top), down.position(again.bottom)) == pytest.approx(ends, abs=0.51)
    assert abs((again.around - 0.25 - round_it + 0.5) % 1.0 - 0.5) <= 0.0021


def test_a_traced_line_is_said_by_the_nearest_level_and_slant():
    down = ruler(side="middle")
    around = np.linspace(0.0, 1.0, 40, endpoint=False)
    turn = 2.0 * np.pi * around
    level = float(down.down[down.names.index("hip")]) - 40.0
    line = level + 20.0 * np.cos(turn) - 10.0 * np.sin(turn)
    words, miss = nearest_words(line, around, down, "middle", unit="cm")
    assert miss < 1e-6
    edge = read(words, side="middle")
    assert [(round(lift.at, 2), round(lift.up)) for lift in edge.lifts] == [(0.5, 40), (0.25, 20)]
    lifted = sum(lift.up * 0.5 * (1 + np.cos(turn - 2 * np.pi * lift.at)) for lift in edge.lifts)
    assert np.abs(down.position(edge.top) - lifted - line).max() < 0.5
    wavy = line + 5.0 * np.cos(3.0 * turn)
    assert nearest_words(wavy, around, down, "middle", unit="cm")[1] == pytest.approx(5.0, abs=0.2)


def test_every_edge_is_held_where_its_words_say_something():
    names = [grip.name for grip in grips(read("at the knee, pointing up 4 cm at the outside"))]
    assert names == ["line", "lift 0", "slant front", "slant back", "slant inside"]
    part = grips(read("at the waist, from left to back", side="middle"))
    assert [(grip.name, grip.at) for grip in part] == [("line", 0.375), ("first", 0.25), ("last", 0.5)]
    along = grips(read("along the outside from hip to ankle"))
    assert [(grip.name, grip.moves) for grip in along] == [
        ("line", "round"),
        ("top", "down"),
        ("bottom", "down"),
    ]
    assert [grip.name for grip in grips(read("2 cm below shin_top"))] == ["line"]
