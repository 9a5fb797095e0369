"""A costume is read as written, both sides written out, and every slip found on its line."""

import numpy as np
import pytest

from cylinder_body import CHARTS, LEVELS
from layfigure.body.chart import ChartPoint
from layfigure.design.costume import check_cloths, design_of
from layfigure.design.costume_file import parse_costume
from layfigure.design.design import EdgePoint
from layfigure.design.mirror import mirrored_place, mirrored_points
from layfigure.errors import FileError, LayfigureError, PlacementError, UnknownKeyError

GOOD = """format = 1
name = "Trial figure"
edition = 2

[[references]]
file = "references/front.png"
photograph = true

[edges.shin_top]
words = "15 % from knee to ankle, pointing up 3 cm at the outside"
side = "both"

[edges.shin_bottom]
side = "both"
meaning = "anatomy"

[edges.waist_line]
words = "at the waist"

[edges.window]
[edges.slash]
closed = false

[[pieces]]
slug = "shin_guard"
kind = "wrap"
cloth = "eva_foam_5mm"
side = "both"
label = "Shin guard"
edges = { top = "shin_top", bottom = "shin_bottom" }
backing = "lining"
layer = 1
[pieces.options]
clearance = "6 mm"

[[pieces]]
slug = "lining"
kind = "knit"
cloth = "jersey"
side = "both"

[[pieces]]
slug = "belt"
kind = "belt"
cloth = "leather"
edges = { along = "waist_line" }
windows = ["window"]

[[errata]]
edition = 2
what = "the shin guards grew shorter"
pieces = ["shin_guard"]
"""


def at(region: str, station: float, around: float) -> EdgePoint:
    return EdgePoint(at=ChartPoint(region=region, station=station, around=around))


def test_both_sides_are_written_out() -> None:
    costume = parse_costume(GOOD)
    assert (costume.name, costume.edition) == ("Trial figure", 2)
    assert [piece.slug for piece in costume.pieces] == [
        "shin_guard_left",
        "shin_guard_right",
        "lining_left",
        "lining_right",
        "belt",
    ]
    left, right, _, _, belt = costume.pieces
    assert left.edges == {"top": "shin_top_left", "bottom": "shin_bottom_left"}
    assert right.edges == {"top": "shin_top_right", "bottom": "shin_bottom_right"}
    assert (left.side, left.backing, left.layer, left.label) == ("left", "lining_left", 1, "Shin guard")
    assert left.options == {"clearance": "6 mm"}
    assert (belt.side, belt.edges, belt.windows) == ("middle", {"along": "waist_line"}, ("window",))
    belt = line_of(GOOD, 'slug = "belt"')
    assert costume.where["belt"] == f"costume.toml, line {belt - 1}"
    assert set(costume.edges) == {
        "shin_top_left", "shin_top_right", "shin_bottom_left", "shin_bottom_right",
        "waist_line", "window", "slash",
    }  # fmt: skip
    assert costume.marked_slugs() == {
        "shin_bottom",
        "shin_bottom_left",
        "shin_bottom_right",
        "window",
        "slash",
    }
    assert costume.references[0].photograph
    assert costume.errata[0].pieces == ("shin_guard",)


def test_a_costume_becomes_a_design_on_a_wearer() -> None:
    shin = (at("shank_left", 0.9, 0.0), at("shank_left", 0.8, 0.25), at("shank_left", 0.9, 0.6))
    window = (at("torso", 1.0, 0.1), at("torso", 2.0, 0.1), at("torso", 1.5, 0.2))
    design = design_of(
        parse_costume(GOOD),
        marked={"shin_bottom": shin, "window": window, "slash": window},
        charts=CHARTS,
        level_heights=LEVELS,
    )
    assert design.edges["shin_bottom_left"].points == shin
    assert [p.at for p in design.edges["shin_bottom_right"].points] == [
        ChartPoint(region="shank_right", station=p.at.station, around=p.at.around) for p in shin
    ]
    assert design.edges["shin_bottom_left"].meaning == "anatomy"
    assert design.edges["window"].closed
    assert not design.edges["slash"].closed
    assert design.edges["shin_top_left"].source == "words"
    stations = [p.at.station for p in design.edges["shin_top_right"].points]
    assert min(stations) == pytest.approx(0.15 - 30.0 / 400.0)
    assert max(stations) == pytest.approx(0.15)
    assert {p.at.region for p in design.edges["shin_top_right"].points} == {"shank_right"}


def test_each_side_may_be_marked_by_itself() -> None:
    marked = {
        "shin_bottom_left": (at("shank_left", 0.9, 0.0),) * 2,
        "shin_bottom_right": (at("shank_right", 0.8, 0.0),) * 2,
        "window": (at("torso", 1.0, 0.1),) * 3,
        "slash": (at("torso", 1.0, 0.1),) * 3,
    }
    design = design_of(parse_costume(GOOD), marked=marked, charts=CHARTS, level_heights=LEVELS)
    assert design.edges["shin_bottom_left"].points[0].at.station == 0.9
    assert design.edges["shin_bottom_right"].points[0].at.station == 0.8


def test_an_edge_neither_said_nor_marked_is_named() -> None:
    with pytest.raises(
        PlacementError, match=r"costume\.toml, line \d+: edge 'shin_bottom_left' is neither said"
    ):
        design_of(parse_costume(GOOD), marked={}, charts=CHARTS, level_heights=LEVELS)
    with pytest.raises(PlacementError, match="marked on neither limb alone"):
        design_of(
            parse_costume(GOOD),
            marked={"shin_bottom": (at("torso", 1, 0),)},
            charts=CHARTS,
            level_heights=LEVELS,
        )


def test_mirroring_twice_changes_nothing_and_once_mirrors_the_body() -> None:
    points = (at("torso", 1.3, 0.2), at("thigh_left", 0.2, 0.7), at("head", 1.0, 0.0))
    for point, twice in zip(points, mirrored_points(mirrored_points(points)), strict=True):
        assert (twice.at.region, twice.at.station) == (point.at.region, point.at.station)
        assert twice.at.around == pytest.approx(point.at.around)
    # On the symmetric body of cylinders the mirrored place lies at -x.
    for point in points:
        there = mirrored_place(point.at)
        place = CHARTS[point.at.region].points([point.at.station], [point.at.around])[0]
        other = CHARTS[there.region].points([there.station], [there.around])[0]
        if point.at.region == "thigh_left":
            continue  # both thighs of the fixture carry the left one's way round
        assert other == pytest.approx(place * np.array([-1.0, 1.0, 1.0]), abs=1e-6)


def replaced(old: str, new: str) -> str:
    assert GOOD.count(old) >= 1
    return GOOD.replace(old, new, 1)


def line_of(text: str, needle: str) -> int:
    """The line a text stands on, from 1."""
    return text[: text.index(needle)].count("\n") + 1


@pytest.mark.parametrize(
    ("old", "new", "kind", "message"),
    [
        (
            'kind = "wrap"',
            'knid = "wrap"',
            UnknownKeyError,
            "key 'knid' is unknown in pieces[0]. Did you mean",
        ),
        (
            'edges = { top = "shin_top"',
            'edges = { top = "shin_tpo"',
            FileError,
            "piece 'shin_guard' names the edge",
        ),
        ('name = "Trial figure"', "name = 3", FileError, "name must be text in quotes."),
        ('slug = "belt"', 'slug = "lining_left"', FileError, "two pieces are called 'lining_left'."),
        ('slug = "belt"', 'slug = "My Belt"', FileError, "pieces[2].slug must be small letters, digits and"),
        ("[edges.window]", "[edges.shin_top_left]", FileError, "two edges are called 'shin_top_left'."),
        (
            "[edges.slash]",
            "[edges.slash]\nwords = 'at the hip'",
            FileError,
            "closed goes with a marked edge;",
        ),
        ('side = "both"', 'side = "top"', FileError, "edges.shin_top.side must be one of 'left', 'right'"),
        ("edition = 2", 'edition = "two"', FileError, "edition must be a whole number."),
        ("edition = 2", "edition = 0", FileError, "edition is not as expected: input should be greater than"),
        ("layer = 1", "layer = -1", FileError, "pieces[0].layer is not as expected: input should be"),
    ],
)
def test_slips_are_found_on_their_line(old: str, new: str, kind: type[LayfigureError], message: str) -> None:
    text = GOOD.replace(old, new, 1)
    assert text != GOOD
    with pytest.raises(kind) as caught:
        parse_costume(text)
    assert str(caught.value).startswith(f"costume.toml, line {line_of(text, new)}: {message}")
    assert type(caught.value) is kind


def test_words_that_mean_nothing_are_found_on_the_line_of_their_edge() -> None:
    text = GOOD.replace("15 % from knee", "15 from knee")
    with pytest.raises(PlacementError) as caught:
        parse_costume(text)
    line = line_of(text, "[edges.shin_top]")
    assert str(caught.value).startswith(f"costume.toml, line {line}: '15' is not a share of the way.")


def test_a_piece_without_side_cannot_use_an_edge_with_two() -> None:
    with pytest.raises(FileError, match="piece 'shin_guard' has no side, and its edge 'shin_top' has two"):
        parse_costume(GOOD.replace('side = "both"\nlabel', "label"))


def test_a_missing_name_is_asked_for() -> None:
    with pytest.raises(FileError, match=r"^costume\.toml: name is missing\.$"):
        parse_costume(GOOD.replace('name = "Trial figure"\n', ""))


def test_every_piece_is_of_a_known_cloth() -> None:
    costume = parse_costume(GOOD)
    check_cloths(costume, {"eva_foam_5mm", "jersey", "leather"})
    with pytest.raises(
        FileError, match=r"line \d+: piece 'belt' is cut from 'leather', which is no material"
    ):
        check_cloths(costume, {"eva_foam_5mm", "jersey"})
    with pytest.raises(FileError, match="Did you mean 'leathre'"):
        check_cloths(costume, {"eva_foam_5mm", "jersey", "leathre"})
